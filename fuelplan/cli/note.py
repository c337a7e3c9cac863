"""`fuelplan note`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import OK, day_asked, show_json

if TYPE_CHECKING:
    from fuelplan.answers import Site


@dataclass(frozen=True)
class NoteGiven:
    """What is noted of a look at a store or a stack, or of fuel that came; an empty text is left out."""

    came: bool
    undo: bool
    on: str | None
    fuel: str
    stack: str
    wood: str
    water: str
    how: str
    note: str
    of_buffer: bool
    clock: str | None


def run(path: str, amount: str | None, as_json: bool, noted: NoteGiven) -> int:
    """Write a reading or a delivery into the folder of a house, or take the last change back."""
    from fuelplan import answers
    from fuelplan.messages import in_document, message, render

    site = answers.open_site(path)
    if noted.undo:
        what = answers.undo_change(site.path, answers.last_change(site.path)).what
        said = message("note.taken_back", "Taken back: {what}.", what=what)
    else:
        _write(site, amount, noted)
        last = answers.last_change(site.path)
        what = message("note.nothing", "nothing") if last is None else last.what
        said = message("note.noted", "Noted: {what}. Take it back with --undo.", what=what)
    if as_json:
        show_json({"noted": in_document(said)})
    else:
        click.echo(render(said))
    return OK


def _write(site: Site, amount: str | None, noted: NoteGiven) -> None:
    from fuelplan import answers, units
    from fuelplan.messages import Refusal

    if not amount:
        raise Refusal.because(
            "note.no_amount", 'write an amount with its unit, e.g. "4 stacked m3" or "2.1 t"'
        )
    day = day_asked(site, None) if noted.on is None else units.parse_date(noted.on)
    if noted.of_buffer:
        if noted.came or noted.fuel or noted.stack or noted.wood or noted.water or noted.how or noted.note:
            raise Refusal.because("note.buffer_alone", "--buffer goes with --on and --at alone")
        answers.record_buffer(site.path, day, noted.clock or "18:00", amount)
        return
    if noted.clock is not None:
        raise Refusal.because("note.clock_of_buffer", "--at is of the buffer; leave it out")
    if noted.came:
        if noted.how:
            raise Refusal.because("note.how_of_delivery", "--how is of a look at the store; leave it out")
        answers.record_delivery(
            site.path, day, amount, fuel=noted.fuel, stack=noted.stack, wood=noted.wood, water=noted.water,
            note=noted.note,
        )  # fmt: skip
        return
    if noted.wood:
        raise Refusal.because(
            "note.wood_of_count", "a count is of the wood that lies in the stack; leave --wood out"
        )
    answers.record_reading(
        site.path, day, amount, how=noted.how, fuel=noted.fuel, stack=noted.stack, water=noted.water,
        note=noted.note,
    )  # fmt: skip
