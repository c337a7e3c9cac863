"""What should be known beside an outlook: rows that were left out, readings that were settled, weather."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np

from fuelplan.dispatch.outlook import Doubted, Season
from fuelplan.learning import SharedFactor
from fuelplan.messages import (
    Day,
    Fault,
    Listed,
    Message,
    Own,
    Percent,
    Said,
    as_message,
    counted_message,
    message,
)
from fuelplan.records.round import UNKNOWN, Round

MOST_TOLD = 3
MOST_SETTLED = 3


def this_winter(round_: Round, season: Season) -> list[Message]:
    """Return by how much the customers of each area burn more or less this winter, where that is clear."""
    return [
        _this_winter(area.table.name, common)
        for area, common in zip(round_.areas, season.areas, strict=False)
        if common.is_clear
    ]


def _this_winter(area: str, common: SharedFactor) -> Message:
    share, *ends = (Percent(abs(x)) for x in (common.mean, *common.band))
    low, high = ends if common.mean > 0 else ends[::-1]
    if area and common.mean > 0:
        return message(
            "outlook.area_burns_more",
            "This year customers in {area} burn about {share} more than in a usual winter ({low} to {high}); "
            "the books of {houses} tell it together, and it is counted for each of them.",
            area=Own(area), share=share, low=low, high=high, houses=common.houses,
        )  # fmt: skip
    if area:
        return message(
            "outlook.area_burns_less",
            "This year customers in {area} burn about {share} less than in a usual winter ({low} to {high}); "
            "the books of {houses} tell it together, and it is counted for each of them.",
            area=Own(area), share=share, low=low, high=high, houses=common.houses,
        )  # fmt: skip
    if common.mean > 0:
        return message(
            "outlook.all_burn_more",
            "This year customers burn about {share} more than in a usual winter ({low} to {high}); the books "
            "of {houses} tell it together, and it is counted for each of them.",
            share=share, low=low, high=high, houses=common.houses,
        )  # fmt: skip
    return message(
        "outlook.all_burn_less",
        "This year customers burn about {share} less than in a usual winter ({low} to {high}); the books of "
        "{houses} tell it together, and it is counted for each of them.",
        share=share, low=low, high=high, houses=common.houses,
    )  # fmt: skip


def notes_on_books(round_: Round) -> list[Message]:
    """Return what was left out or read as empty because of faults, and whose rows nobody knows."""
    out = []
    if round_.left_out:
        out.append(
            counted_message(
                "outlook.rows_left_out",
                "{n} faulty row is left out, such as {fault}",
                "{n} faulty rows are left out, such as {fault}",
                len(round_.left_out),
                fault=round_.left_out[0].as_line(),
            )
        )
    if round_.emptied:
        out.append(
            counted_message(
                "outlook.cells_emptied",
                "{n} faulty cell is read as empty, such as {fault}",
                "{n} faulty cells are read as empty, such as {fault}",
                len(round_.emptied),
                fault=round_.emptied[0].as_line(),
            )
        )
    unknown = [f for f in round_.warnings if f.rule == UNKNOWN]
    return [*out, _unknown(unknown)] if unknown else out


def _unknown(faults: Sequence[Fault]) -> Message:
    """Return whose rows are left out because the customers' file does not name them any more."""
    first, more = Listed(tuple(f.as_line() for f in faults[:MOST_TOLD]), "; "), len(faults) - MOST_TOLD
    if more <= 0:
        return message("outlook.unknown_customers", "{faults}", faults=first)
    return message(
        "outlook.unknown_customers_more", "{faults}; and {more} more like it", faults=first, more=more
    )


def settled_readings(round_: Round, first_day: date, found: Doubted) -> list[Message]:
    """Return which readings a later one has settled, the newest first."""
    if not len(found.settled):
        return []
    newest = np.argsort(-found.settled[:, 1], kind="stable")
    told = Listed(tuple(_settled(round_, first_day, found, int(k)) for k in newest[:MOST_SETTLED]), "; ")
    more = len(newest) - len(told.items)
    if not more:
        return [
            message(
                "outlook.readings_settled",
                "Readings that disagree with what came before them, settled by a later one or by a person: "
                "{readings}.",
                readings=told,
            )
        ]
    return [
        message(
            "outlook.readings_settled_more",
            "Readings that disagree with what came before them, settled by a later one or by a person: "
            "{readings}, and {more} more.",
            readings=told,
            more=more,
        )
    ]


def _settled(round_: Round, first_day: date, found: Doubted, k: int) -> Message:
    i, day = (int(x) for x in found.settled[k])
    customer, when = Own(str(round_.customers.id[i])), Day(first_day + timedelta(days=day), year=True)
    if found.set_aside[k]:
        return message("outlook.reading_set_aside", "{customer} {day} set aside", customer=customer, day=when)
    return message("outlook.reading_right", "{customer} {day} taken as right", customer=customer, day=when)


def once(notes: Sequence[Said]) -> list[Message]:
    """Return the notes, those of further areas that differ in their figures alone left out."""
    first: dict[object, Said] = {}
    for note in notes:
        first.setdefault(_but_figures(note), note)
    return [as_message(note) for note in first.values()]


def _but_figures(note: Said) -> object:
    """Return what a note says apart from its figures; of a text that is no message yet, its other letters."""
    if isinstance(note, str):
        return "".join(c for c in note if not c.isdigit())
    words = [value for _, value in note.values if isinstance(value, Own)]
    inner = [_but_figures(value) for _, value in note.values if isinstance(value, Message)]
    return note.code, *words, *inner
