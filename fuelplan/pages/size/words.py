"""The size answer as the page shows it: facts and tables."""

from __future__ import annotations

from fuelplan.answers import SizeAnswer, how_big, invented_headline
from fuelplan.answers.how_big import HopperPart, headings
from fuelplan.messages import Message, Own
from fuelplan.messages.cautions import undeferred
from fuelplan.pages.parts.pieces import Fact, Shown

NOTHING = Own("–")
NO_HEAD = Own("")


def headline(found: SizeAnswer) -> Message:
    """Return the answer as a heading."""
    return invented_headline(how_big.headline(found), found.weather.invented)


def facts(found: SizeAnswer) -> list[Fact]:
    """Return the few facts that go with the answer."""
    return [Fact(f.name, f.value, NO_HEAD if f.note is None else f.note) for f in how_big.size_facts(found)]


def size_head(found: SizeAnswer) -> tuple[Shown, ...]:
    """Return the heads of the table of sizes."""
    return (
        headings.SIZE_COLUMN[found.thing],
        headings.TO_USE,
        headings.LASTS,
        headings.DELIVERIES,
        headings.EMPTY,
        headings.LOWEST,
        headings.COST,
        NO_HEAD,
    )


def size_rows(found: SizeAnswer) -> list[tuple[Shown, ...]]:
    """Return a row for every size."""
    return [
        (
            row.size,
            row.usable,
            row.lasts,
            row.deliveries or NOTHING,
            row.empty or NOTHING,
            row.lowest or NOTHING,
            row.cost or NOTHING,
            row.mark_said or NO_HEAD,
        )
        for row in how_big.size_rows(found)
    ]


def best_sizes(found: SizeAnswer) -> list[bool]:
    """Return which row of the sizes is the best one."""
    return [row.mark == "best" for row in how_big.size_rows(found)]


HOPPER_HEAD = (
    headings.HOLDS,
    headings.FILLINGS,
    headings.FILLINGS_COLDEST,
    headings.NIGHTS_EMPTY,
    headings.MOSTLY_AT,
    headings.COLDEST_WEEK,
)


def hopper_rows(hopper: HopperPart) -> list[tuple[Shown, ...]]:
    """Return a row for every hopper size."""
    return [
        (row.size, row.fillings, row.fillings_coldest, row.nights_empty, row.hours, row.result)
        for row in how_big.hopper_rows(hopper)
    ]


ROOM_HEAD = (headings.FLOOR, headings.TO_USE, headings.DELIVERIES, headings.EMPTY, headings.WORKS)


def room_rows(found: SizeAnswer) -> list[tuple[Shown, ...]]:
    """Return a row for every way to build the room that can be built."""
    return [
        (row.floor, row.usable, row.deliveries or NOTHING, row.empty, row.works)
        for row in how_big.room_rows(found)
    ]


FIT_HEAD = (headings.WHAT, headings.ANSWER, headings.GUIDANCE, headings.SEEN)


def fit_rows(found: SizeAnswer) -> list[tuple[Shown, ...]]:
    """Return a row for every line about delivery and the store."""
    return [(row.question, row.answer, row.guidance, row.seen) for row in how_big.fit_rows(found)]


def assumed(found: SizeAnswer) -> list[Shown]:
    """Return what was assumed, each with its source, and the thanks for the weather."""
    return [*map(how_big.assumption_said, found.assumptions), how_big.weather_said(found)]


def cautions(found: SizeAnswer) -> list[tuple[Shown, Shown]]:
    """Return the cautions with their reasons; what all of them defer to is said once beside them."""
    return [(undeferred(c.text), c.why) for c in found.cautions]
