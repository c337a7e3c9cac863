"""What stands in the report, as plain data for the template: texts and tables, in the order of reading."""

from __future__ import annotations

from typing import Any

from fuelplan.answers import SizeAnswer, how_big
from fuelplan.answers.how_big import HopperPart, SizeFact, SizeRow, headings
from fuelplan.charts.store import cost_alt, hopper_words, section_alt, section_table, winter_words
from fuelplan.messages import Day, Message, Own, as_text, counted_message, message, paragraph
from fuelplan.messages.cautions import DEFER, undeferred
from fuelplan.units import unbroken

NOTHING = "–"


@unbroken()
def document_of(answer: SizeAnswer) -> dict[str, Any]:
    """Return the data of the report, in the language and units of whom is written for."""
    found: dict[str, Any] = _read(_data(answer))
    return found


def _read(data: Any) -> Any:
    """Return the data with every message and value as text."""
    if data is None or isinstance(data, bool | int | float):
        return data
    if isinstance(data, list):
        return [_read(part) for part in data]
    if isinstance(data, dict):
        return {key: _read(part) for key, part in data.items()}
    return as_text(data)


def _data(answer: SizeAnswer) -> dict[str, Any]:
    drawing, winter = answer.drawing, answer.worst_winter
    return {
        "words": _words(answer),
        "site": Own(answer.site),
        "day": Day(answer.as_of, year=True),
        "question": answer.question,
        "answer": answer.sentence,
        "present": answer.present_said,
        "why": answer.why,
        "facts": [_fact(f) for f in (*how_big.size_facts(answer), *how_big.more_facts(answer))],
        "sizes": [_size(row) for row in how_big.size_rows(answer)],
        "size_marks": [as_text(Own(row.mark)) for row in how_big.size_rows(answer)],
        "cost_alt": cost_alt(answer),
        "winter_words": None if winter is None else winter_words(winter),
        "section_alt": None if drawing is None else section_alt(drawing),
        "section": [] if drawing is None else [list(row) for row in section_table(drawing)],
        "section_note": _section_note(answer),
        "hopper": None if answer.hopper is None else _hopper(answer.hopper),
        "cellar": _cellar(answer),
        "thumbs": how_big.thumbs(answer),
        "fit": [[row.answer, row.question, row.guidance, row.seen] for row in how_big.fit_rows(answer)],
        "fit_not_met": [row.not_met for row in how_big.fit_rows(answer)],
        "assumptions": [how_big.assumption_said(taken) for taken in answer.assumptions],
        "questions": [*how_big.own_questions(answer), *_asks(answer)],
        "cautions": [undeferred(c.text) for c in answer.cautions],
        "defer": DEFER,
        "warnings": list(answer.warnings),
        "weather": how_big.weather_said(answer),
    }


def _words(answer: SizeAnswer) -> dict[str, Any]:
    """Return headings and heads of tables."""
    return {
        "no_verdict": message("size.no_verdict", "no verdict of law"),
        "sizes": headings.SIZES,
        "size_columns": [
            headings.SIZE_COLUMN[answer.thing],
            headings.TO_USE,
            headings.LASTS,
            headings.DELIVERIES,
            headings.EMPTY,
            headings.LOWEST,
            headings.FUEL_COST,
            headings.STORE_COST,
            headings.INTEREST,
            headings.COST,
        ],
        "sizes_how": paragraph([headings.SIZES_HOW, headings.INTEREST_HOW]),
        "winter": headings.WINTER,
        "section": headings.SECTION,
        "hopper": headings.HOPPER,
        "hopper_columns": [
            headings.HOLDS,
            headings.FILLINGS,
            headings.FILLINGS_COLDEST,
            headings.NIGHTS_EMPTY,
            headings.MOSTLY_AT,
            headings.COLDEST_WEEK,
        ],
        "room": headings.ROOM,
        "room_columns": [
            headings.FLOOR,
            headings.TO_USE,
            headings.DELIVERIES,
            headings.EMPTY,
            headings.WORKS,
        ],
        "thumbs": headings.THUMBS,
        "fit": headings.FIT,
        "fit_columns": [headings.WHAT, headings.GUIDANCE, headings.SEEN],
        "fit_how": headings.FIT_HOW,
        "ask": headings.ASK,
        "assumed": headings.ASSUMED,
        "safety": headings.SAFETY,
    }


def _section_note(answer: SizeAnswer) -> Message:
    mat = answer.drawing is not None and answer.drawing.along.mat is not None
    return paragraph([headings.SECTION_HOW, *([headings.SECTION_MAT] if mat else [])])


def _fact(fact: SizeFact) -> list[Any]:
    if fact.note is None:
        return [fact.name, fact.value]
    both = message("size.fact_with_note", "{value}; {note}", value=fact.value, note=fact.note)
    return [fact.name, both]


def _size(row: SizeRow) -> list[Any]:
    cells = (
        row.size,
        row.usable,
        row.lasts,
        row.deliveries,
        row.empty,
        row.lowest,
        row.fuel,
        row.store,
        row.interest,
        row.cost,
        "" if row.mark_said is None else row.mark_said,
    )
    return [NOTHING if cell is None else cell for cell in cells]


def _hopper(hopper: HopperPart) -> dict[str, Any]:
    return {
        "why": hopper.why,
        "problems": list(hopper.problems),
        "rows": [
            [row.size, row.fillings, row.fillings_coldest, row.nights_empty, row.hours, row.result]
            for row in how_big.hopper_rows(hopper)
        ],
        "bags": how_big.bags_sentence(hopper),
        "how": how_big.how_filled(hopper),
        "words": hopper_words(hopper),
    }


def _cellar(answer: SizeAnswer) -> dict[str, Any] | None:
    if answer.cellar is None:
        return None
    rows = how_big.room_rows(answer)
    return {
        "sentence": answer.cellar.sentence,
        "rows": [
            [
                row.floor,
                row.usable,
                NOTHING if row.deliveries is None else row.deliveries,
                row.empty,
                row.works,
            ]
            for row in rows
        ],
        "best": [row.best for row in rows],
        "note": how_big.rooms_left_out(answer),
    }


def _asks(answer: SizeAnswer) -> list[Message]:
    """Return how many lines of the list are marked ask; nothing where none is."""
    asks = sum(line.answer == "ask" for line in answer.fit)
    if not asks:
        return []
    return [
        counted_message(
            "size.lines_to_ask",
            "{n} line of the table above is marked ask.",
            "{n} lines of the table above are marked ask.",
            asks,
        )
    ]
