"""`fuelplan runs`: what stands noted in the folder, and how to take any of it back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fuelplan.answers import Round


def take_back(round_: Round, names: Sequence[str]) -> list[str]:
    """Take entries out of the folder; return a line for each."""
    from fuelplan import answers
    from fuelplan.papers import dated

    entries = answers.noted_by_name(round_, names)
    answers.take_out(round_, entries)
    return [f"taken back: {entry.name}, {dated(entry.said)}" for entry in entries]


def lines(round_: Round) -> list[str]:
    """Return what is noted, each with the name by which it is taken back."""
    from fuelplan import answers
    from fuelplan.papers import dated

    entries = answers.noted(round_)
    if not entries:
        return []
    rows = [f"  {entry.name}: {dated(entry.said)}" for entry in entries]
    return ["", f'Noted (take one back with --take-back "{entries[0].name}"):', *rows]


def as_json(round_: Round) -> list[dict[str, Any]]:
    """Return what is noted as a document lists it; days stay as 2026-01-20."""
    from fuelplan import answers

    return [{"kind": e.kind, "row": e.row, "name": e.name, "text": e.said} for e in answers.noted(round_)]
