"""`fuelplan size`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from fuelplan.cli.outcome import (
    OK,
    day_asked,
    hung,
    progress,
    refetch_asked,
    show_json,
    wrapped,
)

if TYPE_CHECKING:
    from fuelplan.answers import SizeAnswer
    from fuelplan.answers.how_big import HopperPart
    from fuelplan.messages import Message, Value


def run(path: str, as_of: str | None, seed: int, as_json: bool, cellar: str | None) -> int:
    """Print how big store, hopper and buffer should be."""
    answer = answer_for(path, as_of, seed, cellar)
    if as_json:
        show_json(answer.to_json())
    else:
        click.echo(text_of(answer))
    return OK


def answer_for(path: str, as_of: str | None, seed: int, cellar: str | None) -> SizeAnswer:
    """Return the answer for a folder, with the room that was asked about."""
    from fuelplan import answers

    room = None if cellar is None else cellar_asked(cellar)
    site = answers.open_for_sizing(path)
    day = day_asked(site, as_of)
    weather = answers.weather_for(site, day, progress, refetch=refetch_asked([site]))
    return answers.size(site, weather, day, seed, cellar=room)


def cellar_asked(text: str) -> Any:
    """Return the room of "2.1 x 2.6 x 2.2 m": length, width, height.

    Raises
    ------
    ValueError
        Where it is none.
    """
    from fuelplan import answers, units
    from fuelplan.messages import Own, Refusal, message

    parts = [p.strip() for p in re.split(r"[x×*]", text.strip())]
    unit = re.search(r"[A-Za-z]+$", parts[-1])
    if len(parts) != 3 or unit is None:
        raise Refusal(
            message(
                "size.not_a_room",
                '"{text}" is not a valid room; write length, width and height with their unit, e.g. '
                '"2.1 x 2.6 x 2.2 m"',
                text=Own(text),
            )
        )
    sides = [units.parse(p if re.search(r"[A-Za-z]$", p) else f"{p} {unit[0]}", "length") for p in parts]
    return answers.cellar_of(*sides)


def text_of(answer: SizeAnswer) -> str:
    """Return the answer as a person reads it in a terminal."""
    from fuelplan.answers import how_big
    from fuelplan.answers.how_big import headings
    from fuelplan.messages import Day, Own, message

    title = message(
        "size.cli_title", "{site}, {day}", site=Own(answer.site), day=Day(answer.as_of, year=True)
    )
    lines = [wrapped(title), "", wrapped(answer.sentence), "", wrapped(answer.present_said)]
    lines += ["", _head(headings.WHY), hung("  ", answer.why), "", *_sizes(answer)]
    if answer.hopper is not None:
        lines += ["", *_hopper(answer.hopper)]
    if answer.cellar is not None:
        lines += ["", _head(headings.ROOM), hung("  ", answer.cellar.sentence), *_builds(answer)]
    thumbs = [wrapped(said, "- ") for said in how_big.thumbs(answer)]
    lines += ["", _head(headings.THUMBS), *thumbs] if thumbs else []
    lines += ["", _head(headings.FIT), wrapped(headings.FIT_HOW), *_fit(answer)]
    lines += [wrapped(warning, "! ") for warning in answer.warnings]
    lines += ["", _head(headings.ASSUMED)]
    lines += [wrapped(how_big.assumption_said(taken), "- ") for taken in answer.assumptions]
    lines += [wrapped(how_big.weather_said(answer), "- ")]
    own = [wrapped(question, "- ") for question in how_big.own_questions(answer)]
    lines += ["", _head(headings.ASK), *own] if own else []
    return "\n".join([*lines, "", _head(headings.SAFETY), *caution_lines(answer)])


def _head(heading: Message) -> str:
    """Return a heading over a paragraph."""
    from fuelplan.messages import as_text, message

    return as_text(message("size.cli_heading", "{heading}:", heading=heading))


def _columns(head: Sequence[Value], rows: Sequence[Sequence[Value | None]], *, left: int = 0) -> list[str]:
    """Return a table: the last `left` columns to the left, all others to the right."""
    from fuelplan.messages import as_text

    cells = [["–" if cell is None else as_text(cell) for cell in row] for row in (head, *rows)]
    wide = [max(map(len, column)) for column in zip(*cells, strict=True)]
    right = len(wide) - left
    return [
        "  " + "".join(
            f"  {cell:>{wide[k]}}" if k < right else f"   {cell:<{wide[k]}}" for k, cell in enumerate(row)
        ).rstrip()
        for row in cells
    ]  # fmt: skip


def _sizes(answer: SizeAnswer) -> list[str]:
    from fuelplan.answers import how_big
    from fuelplan.answers.how_big import headings

    rows = how_big.size_rows(answer)
    head = (
        headings.SIZE_COLUMN[answer.thing],
        headings.TO_USE,
        headings.LASTS,
        headings.DELIVERIES,
        headings.EMPTY,
        headings.LOWEST,
        headings.COST,
    )
    cells = [
        (row.size, row.usable, row.lasts, row.deliveries, row.empty, row.lowest, row.cost) for row in rows
    ]
    first, *lines = _columns(head, cells)
    return [first, *_marked(lines, [row.mark_said for row in rows])]


def _marked(lines: Sequence[str], marks: Sequence[Message | None]) -> list[str]:
    """Return lines with what is said of some of them behind."""
    from fuelplan.messages import as_text

    return [
        line if mark is None else f"{line} <- {as_text(mark)}"
        for line, mark in zip(lines, marks, strict=True)
    ]


def _hopper(hopper: HopperPart) -> list[str]:
    from fuelplan.answers import how_big
    from fuelplan.answers.how_big import headings

    head = (
        headings.HOLDS,
        headings.FILLINGS,
        headings.FILLINGS_COLDEST,
        headings.NIGHTS_EMPTY,
        headings.MOSTLY_AT,
    )
    rows = how_big.hopper_rows(hopper)
    cells = [(row.size, row.fillings, row.fillings_coldest, row.nights_empty, row.hours) for row in rows]
    first, *table = _columns(head, cells, left=1)
    lines = [_head(headings.HOPPER), hung("  ", hopper.why)]
    lines += [hung("  ! ", problem) for problem in hopper.problems]
    lines += [first, *_marked(table, [row.noted for row in rows])]
    bags = how_big.bags_sentence(hopper)
    return lines if bags is None else [*lines, hung("  ", bags)]


def _builds(answer: SizeAnswer) -> list[str]:
    from fuelplan.answers import how_big
    from fuelplan.answers.how_big import headings

    rows = how_big.room_rows(answer)
    cells = [(row.usable, row.deliveries, row.empty, row.floor) for row in rows]
    head = (headings.TO_USE, headings.DELIVERIES, headings.EMPTY, headings.FLOOR)
    first, *lines = _columns(head, cells, left=1)
    found = [first, *_marked(lines, [row.mark for row in rows])]
    left = how_big.rooms_left_out(answer)
    return found if left is None else [*found, hung("  ", left)]


def _fit(answer: SizeAnswer) -> list[str]:
    from fuelplan.answers import how_big
    from fuelplan.messages import as_text, message

    lines = []
    for row in how_big.fit_rows(answer):
        mark = as_text(row.answer).upper() if row.not_met else as_text(row.answer)
        said = message(
            "size.cli_fit",
            "{question}: {guidance} – {seen}.",
            question=row.question,
            guidance=row.guidance,
            seen=row.seen,
        )
        lines.append(hung(f"  {mark:<9}", said))
    return lines


def caution_lines(answer: SizeAnswer) -> list[str]:
    """Return the cautions; what all of them defer to is said once, at the end."""
    from fuelplan.messages import as_text
    from fuelplan.messages.cautions import DEFER, undeferred

    return [*(wrapped(undeferred(c.text), "- ") for c in answer.cautions), as_text(DEFER)]
