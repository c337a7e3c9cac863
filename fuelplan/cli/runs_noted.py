"""`fuelplan runs`: what stands noted in the folder, and how to take any of it back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fuelplan.answers import Round


def take_back(round_: Round, names: Sequence[str]) -> list[str]:
    """Take entries out of the folder; return a line for each."""
    from fuelplan import answers
    from fuelplan.messages import Own, message, render

    entries = answers.noted_by_name(round_, names)
    answers.take_out(round_, entries)
    return [
        render(
            message("cli.taken_back", "taken back: {name}, {entry}", name=Own(entry.name), entry=entry.said)
        )
        for entry in entries
    ]


def lines(round_: Round) -> list[str]:
    """Return what is noted, each with the name by which it is taken back."""
    from fuelplan import answers
    from fuelplan.messages import Own, message, render

    entries = answers.noted(round_)
    if not entries:
        return []
    rows = [f"  {entry.name}: {render(entry.said)}" for entry in entries]
    head = message("cli.noted", 'Noted (take one back with --take-back "{name}"):', name=Own(entries[0].name))
    return ["", render(head), *rows]


def as_json(round_: Round) -> list[dict[str, Any]]:
    """Return what is noted as a document lists it."""
    from fuelplan import answers

    return [
        {
            "kind": e.kind,
            "row": e.row,
            "name": e.name,
            "date": dict(e.cells)["date"] or None,
            **answers.plain(e.said),
        }
        for e in answers.noted(round_)
    ]
