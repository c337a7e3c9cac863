"""`fuelplan import`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import BAD_INPUT, OK, report_errors, show_error, show_json

if TYPE_CHECKING:
    from fuelplan.answers import RoundImport


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
    return report_errors(lambda: _run(path, file, as_json, asked), as_json=as_json)


def _run(path: str, file: str, as_json: bool, asked: ImportAsked) -> int:
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
    bad = len({fault.line for fault in look.faults})
    said = f"{bad:,} of {look.rows:,} rows of {look.source} have faults; nothing was written"
    show_error("import", said, look.faults, as_json=as_json)
    if not as_json:
        click.echo(f"{said}. Mend them, or take the sound ones with --sound-only", err=True)
    return BAD_INPUT


def as_text(look: RoundImport, *, preview: bool, refused: bool) -> str:
    """Return what the import brings as people read it."""
    lines = [f"{look.source} → {look.kind}.csv, {_counted(look.rows)}"]
    lines += [f"  {own} → {ours}" for own, ours in look.columns.items()]
    if look.not_taken:
        lines.append(f"  not taken: {', '.join(look.not_taken)}")
    if look.encodings and not look.encoding.startswith("utf"):
        sample, *others = (f'"{sample}" ({name})' for name, sample in look.encodings.items())
        lines.append(f"  letters read as {sample}")
        for other, name in zip(others, list(look.encodings)[1:], strict=True):
            lines.append(f"  or as {other}: --encoding {name}")
    if preview:
        for row in look.to_json()["first_rows"]:
            cells = ", ".join(f"{name} {cell}" for name, cell in row.items() if name != "row")
            lines.append(f"  row {row['row']}: {cells}")
    would = "would be" if preview else "were" if look.added != 1 else "was"
    if not refused:
        lines.append(f"{_counted(look.added)} {would} added; {look.already:,} stood there already")
    left = look.rows - len(look.frame)
    if left:
        lines.append(f"{_counted(left)} with faults {'is' if left == 1 else 'are'} left out")
    if preview:
        lines.append("Nothing was written.")
    return "\n".join(lines)


def _counted(rows: int) -> str:
    return f"{rows:,} row{'' if rows == 1 else 's'}"
