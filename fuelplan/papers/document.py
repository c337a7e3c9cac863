"""What stands in the report, as plain data for the template: texts and tables, in the order of reading."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fuelplan import units
from fuelplan.answers import SizeAnswer
from fuelplan.answers.how_big import (
    HopperPart,
    SizeOption,
    hours_words,
    option_said,
    still_as_likely,
    winters_empty,
)
from fuelplan.charts.store import cost_alt, hopper_words, section_alt, section_table, winter_words
from fuelplan.messages import Message, Said, as_text
from fuelplan.messages.cautions import DEFER, undeferred

ANSWERS = {"met": "met", "not met": "not met", "ask": "ask"}


def document_of(answer: SizeAnswer) -> dict[str, Any]:
    """Return the data of the report, in the units of whom is written for."""
    found: dict[str, Any] = _in_readers_units(_data(answer))
    return found


def _in_readers_units(data: Any) -> Any:
    """Return the data with every sentence in the reader's units; names of things have none."""
    if isinstance(data, (str, Message)):
        return as_text(data)
    if isinstance(data, list):
        return [_in_readers_units(part) for part in data]
    if isinstance(data, dict):
        return {key: part if key == "site" else _in_readers_units(part) for key, part in data.items()}
    return data


def _data(answer: SizeAnswer) -> dict[str, Any]:
    return {
        "site": answer.site,
        "day": units.show_date(answer.as_of, year=True),
        "question": answer.question,
        "answer": answer.sentence,
        "present": answer.present_said,
        "why": answer.why,
        "facts": _facts(answer),
        "sizes": _sizes(answer),
        "cost_alt": cost_alt(answer),
        "winter_words": None if answer.worst_winter is None else winter_words(answer.worst_winter),
        "section_alt": None if answer.drawing is None else section_alt(answer.drawing),
        "section": [] if answer.drawing is None else [list(row) for row in section_table(answer.drawing)],
        "section_note": _section_note(answer),
        "hopper": None if answer.hopper is None else _hopper(answer.hopper),
        "cellar": _cellar(answer),
        "thumbs": [t.sentence for t in answer.rules_of_thumb]
        + ([answer.order_mark] if answer.order_mark else []),
        "fit": [[ANSWERS[f.answer], f.question, f.guidance, f.source, f.seen] for f in answer.fit],
        "assumptions": [[a.text, a.source] for a in answer.assumptions],
        "questions": list(_own_questions(answer)),
        "asks": sum(f.answer == "ask" for f in answer.fit),
        "cautions": [undeferred(c.text) for c in answer.cautions],
        "defer": DEFER,
        "warnings": list(answer.warnings),
        "weather": _weather(answer),
    }


def _section_note(answer: SizeAnswer) -> str:
    note = "To scale. Dotted: a full store. Dashed: what stays behind."
    if answer.drawing is not None and answer.drawing.along.mat is not None:
        note += " The inlet and the deflector mat are at opposite ends."
    return note


def _facts(answer: SizeAnswer) -> list[list[str]]:
    use = answer.use
    low, high = use.mean_kg * use.doubt_low, use.mean_kg * use.doubt_high
    facts = [
        ["Burned in a usual year", units.show_range(low, high, "mass")],
        [
            "Mildest and coldest winter",
            f"{units.show(use.mildest_kg, 'mass')} and {units.show(use.coldest_kg, 'mass')}",
        ],
        [
            "By the kg-per-kW rule",
            f"{units.show(use.rule_kg, 'mass')} ({abs(use.rule_off_share):.0%} too "
            f"{'much' if use.rule_off_share > 0 else 'little'})",
        ],
        ["Heat load", f"{units.show_as(answer.load_kw, 'kW', '.0f')}, {answer.load_said}"],
    ]
    best = answer.store
    if best is not None:
        facts.append(
            [
                "Chance of an empty store",
                f"{winters_empty(best.empty_winters, best)}; {still_as_likely(best)}",
            ]
        )
        facts.append(
            ["Money lying in the store", units.show_money(best.tied_up, answer.currency) + " on average"]
        )
    return facts


def _sizes(answer: SizeAnswer) -> list[list[str]]:
    rows = []
    never_work = [o for o in answer.options if _never(o)]
    for o in answer.options:
        never = _never(o)
        if never and o is not never_work[-1]:
            continue  # the largest of those that can never work stands for all
        rows.append(
            [
                option_said(answer, o),
                units.show(o.usable_kg, "mass"),
                _lasts(o.years_stock),
                "–" if never else f"{o.deliveries_per_year:.1f}",
                "cannot work" if never else o.empty_said,
                "–" if never else units.show(o.lowest_kg, "mass"),
                *_costs(o, answer.currency, never=never),
                "best" if o is answer.store else ("in range" if _in_range(o.room_m3, answer) else ""),
            ]
        )
    return rows


def _costs(option: SizeOption, currency: str, *, never: bool) -> list[str]:
    """Return fuel, store and interest of a year and their sum, which is the sum of what is shown."""
    fuel, store, whole = (round(v) for v in (option.fuel_cost, option.store_cost, option.yearly_cost))
    shown = [units.show_money(value, currency) for value in (fuel, store, whole - fuel - store, whole)]
    return ["–", shown[1], "–", "–"] if never else shown


def _never(option: SizeOption) -> bool:
    return option.problem is not None and option.problem.startswith("can never")


def _in_range(room_m3: float, answer: SizeAnswer) -> bool:
    return answer.best_range_m3 is not None and answer.best_range_m3[0] <= room_m3 <= answer.best_range_m3[1]


def _lasts(years: float) -> str:
    return f"{12 * years:.0f} months" if years < 1.95 else f"{years:.1f} years"


def _hopper(hopper: HopperPart) -> dict[str, Any]:
    rows = [
        [
            units.show(o.size_kg, "mass"),
            f"{o.fillings_per_day:.1f}",
            f"{o.fillings_per_day_coldest_week:.1f}",
            f"{o.nights_empty_per_winter:.0f}",
            hours_words(o.main_hours),
            _verdict(hopper, o.size_kg, o.works_in_coldest_week),
        ]
        for o in hopper.options
    ]
    bags = ""
    if hopper.bags_per_week is not None:
        bags = (
            f"Bags to carry: about {hopper.bags_per_day:.1f} a day and "
            f"{hopper.bags_per_week:.0f} a week over the year, "
            f"{hopper.bags_per_week_coldest} in the coldest week."
        )
    rule = (
        "the fire burns out first, then fuel is conveyed"
        if hopper.burn_out_first
        else "filled while burning, as the maker allows"
    )
    return {
        "why": hopper.why,
        "problems": [f"{p[0].upper()}{p[1:]}." for p in hopper.problems],
        "rows": rows,
        "bags": bags,
        "how": f"Filled by {hopper.how}{' (assumed)' if hopper.assumed else ''}; {rule}.",
        "words": hopper_words(hopper),
    }


def _verdict(hopper: HopperPart, size_kg: float, works: bool) -> str:
    marks = ["yes" if works else "no"]
    marks += ["proposed"] if size_kg == hopper.proposed_kg else []
    marks += ["yours"] if size_kg == hopper.present_kg else []
    return ", ".join(marks)


def _cellar(answer: SizeAnswer) -> dict[str, Any] | None:
    if answer.cellar is None:
        return None
    rows = []
    for i, b in enumerate(answer.cellar.builds):
        if b.usable_kg is None:
            continue
        rows.append(
            [
                ("best: " if i == answer.cellar.best else "") + b.words,
                units.show(b.usable_kg, "mass"),
                f"{b.deliveries_per_year:.1f}" if b.deliveries_per_year else "–",
                f"{b.empty_winters}",
                "yes" if b.works else "no",
            ]
        )
    left = len(answer.cellar.builds) - len(rows)
    note = (
        f"{left} further ways cannot be built: their sloped floors would reach the ceiling." if left else ""
    )
    return {"sentence": answer.cellar.sentence, "rows": rows, "note": note}


def _own_questions(answer: SizeAnswer) -> Sequence[Said]:
    """Return the open questions beyond the lines marked ask."""
    return answer.open_questions[: len(answer.open_questions) - sum(f.answer == "ask" for f in answer.fit)]


def _weather(answer: SizeAnswer) -> str:
    w = answer.weather
    return (
        f"Weather: {w.attribution or w.source}; {w.winters} real winters, {w.first_day.year} to "
        f"{w.last_day.year}."
    )
