"""`fuelplan import`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import BAD_INPUT, OK, show_error, show_json

if TYPE_CHECKING:
    from fuelplan.answers import RoundImport
    from fuelplan.messages import Message


@dataclass(frozen=True)
class ImportAsked:
    """What the command line asked for."""

    kind: str
    columns: Sequence[str] = ()
    preview: bool = False
    sound_only: bool = False
    instead: bool = False
    encoding: str = ""


def run(path: str, file: str, as_json: bool, asked: ImportAsked) -> int:
    """Take a supplier's spreadsheet into a round, or show what that would bring."""
    from fuelplan import answers

    look = answers.look_at_import(
        path,
        file,
        asked.kind,
        answers.column_pairs(asked.columns),
        instead=asked.instead,
        sound_only=asked.sound_only,
        encoding=asked.encoding or "",
    )
    refused = bool(look.faults) and not asked.sound_only
    if not (refused or asked.preview):
        answers.take_import(look)
    if as_json and not refused:
        show_json({**look.to_json(), "written": not asked.preview})
    elif not as_json and (asked.preview or not refused):
        click.echo(as_text(look, preview=asked.preview, refused=refused))
    if refused:
        return _refuse(look, as_json)
    if look.faults and not as_json:
        show_error("import", "", look.faults, as_json=False)
    return OK


def _refuse(look: RoundImport, as_json: bool) -> int:
    """Show the faults; nothing was written."""
    from fuelplan.messages import Own, counted_message, message, render

    bad = len({fault.line for fault in look.faults})
    said = counted_message(
        "import.refused",
        "{n} of {rows} rows of {source} has faults; nothing was written",
        "{n} of {rows} rows of {source} have faults; nothing was written",
        bad, rows=look.rows, source=Own(look.source),
    )  # fmt: skip
    show_error("import", said, look.faults, as_json=as_json)
    if not as_json:
        mend = message(
            "import.mend", "{refused}. Mend them, or take the sound ones with --sound-only", refused=said
        )
        click.echo(render(mend), err=True)
    return BAD_INPUT


def as_text(look: RoundImport, *, preview: bool, refused: bool) -> str:
    """Return what the import brings as people read it."""
    from fuelplan.messages import Own, counted_message, message, render

    title = counted_message(
        "import.title", "{source} → {table}.csv, {n} row", "{source} → {table}.csv, {n} rows",
        look.rows, source=Own(look.source), table=Own(look.kind),
    )  # fmt: skip
    lines = [title]
    lines += [
        message("import.column", "  {own} → {ours}", own=Own(own), ours=Own(ours))
        for own, ours in look.columns.items()
    ]
    if look.not_taken:
        names = Own(", ".join(look.not_taken))
        lines.append(message("import.not_taken", "  not taken: {names}", names=names))
    lines += _letters(look)
    lines += _first_rows(look) if preview else []
    lines += [] if refused else [_added(look, preview)]
    left = look.rows - len(look.frame)
    if left:
        lines.append(
            counted_message(
                "import.left_out",
                "{n} row with faults is left out",
                "{n} rows with faults are left out",
                left,
            )
        )
    if preview:
        lines.append(message("import.nothing_written", "Nothing was written."))
    return "\n".join(map(render, lines))


def _letters(look: RoundImport) -> list[Message]:
    """Return in what encoding the letters were read, and in which others they may be."""
    from fuelplan.messages import Own, message

    if not look.encodings or look.encoding.startswith("utf"):
        return []
    (first, sample), *others = look.encodings.items()
    as_read = message(
        "import.letters", '  letters read as "{sample}" ({encoding})', sample=Own(sample), encoding=Own(first)
    )
    return [
        as_read,
        *(
            message(
                "import.other_letters", '  or as "{sample}" ({encoding}): --encoding {encoding}',
                sample=Own(other), encoding=Own(name),
            )
            for name, other in others
        ),
    ]  # fmt: skip


def _first_rows(look: RoundImport) -> list[Message]:
    from fuelplan.messages import Own, message

    return [
        message(
            "import.row", "  row {number}: {cells}", number=Own(str(row["row"])),
            cells=Own(", ".join(f"{name} {cell}" for name, cell in row.items() if name != "row")),
        )
        for row in look.to_json()["first_rows"]
    ]  # fmt: skip


def _added(look: RoundImport, preview: bool) -> Message:
    from fuelplan.messages import counted_message

    if preview:
        return counted_message(
            "import.would_be_added",
            "{n} row would be added; {already} stood there already",
            "{n} rows would be added; {already} stood there already",
            look.added,
            already=look.already,
        )
    return counted_message(
        "import.added",
        "{n} row was added; {already} stood there already",
        "{n} rows were added; {already} stood there already",
        look.added,
        already=look.already,
    )
