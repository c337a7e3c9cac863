"""The words and rows of the page about store sizes, from a size answer."""

from __future__ import annotations

from fuelplan import units
from fuelplan.answers import SizeAnswer
from fuelplan.answers.how_big import (
    HopperPart,
    deliveries,
    hours_words,
    option_said,
    room_ends,
    size_said,
    still_as_likely,
)
from fuelplan.messages import Said, as_message, as_text
from fuelplan.messages.cautions import undeferred
from fuelplan.pages.parts.pieces import Fact
from fuelplan.pages.texts import size as texts
from fuelplan.pages.texts.common import invented_headline


def headline(found: SizeAnswer) -> Said:
    """Return the answer as a heading: one size first, then what costs about the same."""
    if found.best_range_m3 is None or found.store is None:
        text = texts.HEADLINE_NONE
    else:
        low, high = found.best_range_m3
        size = size_said(found.store, found.thing, found.fuel)
        if high - low < 1:
            text = texts.HEADLINE.format(size=size)
        else:
            text = texts.HEADLINE_RANGE.format(size=size, low_high=room_ends(low, high))
    return invented_headline(as_message(text)) if found.weather.invented else text


def facts(found: SizeAnswer) -> list[Fact]:
    """Return the few facts that go with the answer."""
    use, best, items = found.use, found.store, []
    if best is not None and found.best_range_m3 is not None:
        low, high = found.best_range_m3
        inside = [o for o in found.options if low <= o.room_m3 <= high]
        tonnes = units.show_range(inside[0].usable_kg, inside[-1].usable_kg, "mass")
        items.append(Fact(texts.FACT_STORE.format(fuel=found.fuel.capitalize()), tonnes, texts.NOTE_STORE))
        drops = deliveries(
            min(o.deliveries_per_year for o in inside), max(o.deliveries_per_year for o in inside)
        )
        items.append(
            Fact(
                texts.FACT_DELIVERIES,
                drops.removesuffix(" a year"),
                "a year" if drops.endswith(" a year") else "",
            )
        )
        items.append(
            Fact(
                texts.FACT_EMPTY,
                best.empty_said,
                still_as_likely(best),
            )
        )
    if found.hopper is not None:
        night = units.show(found.hopper.night_kg, "mass")
        if found.hopper.smallest_kg is None:
            items.append(Fact(texts.FACT_HOPPER, "–", texts.NOTE_HOPPER_NONE))
        else:
            size = texts.AT_LEAST.format(amount=units.show(found.hopper.proposed_kg or 0.0, "mass"))
            items.append(Fact(texts.FACT_HOPPER, size, texts.NOTE_HOPPER.format(night=night)))
    buffer = texts.AT_LEAST.format(amount=units.show_as(round(found.buffer_l, -1), "l"))
    items.append(
        Fact(texts.FACT_BUFFER, buffer, texts.NOTE_BUFFER.format(source=found.buffer.rules[0].source))
    )
    spread = units.show_range(use.mean_kg * use.doubt_low, use.mean_kg * use.doubt_high, "mass")
    ends = {"low": units.show(use.mildest_kg, "mass"), "high": units.show(use.coldest_kg, "mass")}
    items.append(Fact(texts.FACT_USE, spread, texts.NOTE_USE.format(**ends)))
    return items


def size_rows(found: SizeAnswer) -> list[tuple[str, ...]]:
    """Return a row for every size; the largest of those that can never work stands for all of them."""
    rows: list[tuple[str, ...]] = []
    hopeless = [o for o in found.options if o.problem is not None and o.problem.startswith("can never")]
    for o in found.options:
        never = o in hopeless
        if never and o is not hopeless[-1]:
            continue
        inside = (
            found.best_range_m3 is not None and found.best_range_m3[0] <= o.room_m3 <= found.best_range_m3[1]
        )
        mark = texts.BEST if o is found.store else texts.IN_RANGE if inside else texts.NEVER if never else ""
        rows.append(
            (
                option_said(found, o),
                units.show(o.usable_kg, "mass"),
                lasts(o.years_stock),
                "–" if never else f"{o.deliveries_per_year:.1f}",
                "–" if never else o.empty_said,
                "–" if never else units.show(o.lowest_kg, "mass"),
                "–" if never else units.show_money(o.yearly_cost, found.currency),
                mark,
            )
        )
    return rows


def lasts(years: float) -> str:
    """Return how long a full store lasts."""
    return f"{12 * years:.0f} months" if years < 1.95 else f"{years:.1f} years"


def hopper_rows(hopper: HopperPart) -> list[tuple[str, ...]]:
    """Return a row for every hopper size."""
    return [
        (
            units.show(o.size_kg, "mass"),
            f"{o.fillings_per_day:.1f}",
            f"{o.fillings_per_day_coldest_week:.1f}",
            f"{o.nights_empty_per_winter:.0f}",
            hours_words(o.main_hours),
            texts.HOPPER_WORKS if o.works_in_coldest_week else texts.HOPPER_FAILS,
        )
        for o in hopper.options
    ]


def room_rows(found: SizeAnswer) -> tuple[list[tuple[str, ...]], int]:
    """Return a row for every way to build the room that can be built, and how many cannot."""
    assert found.cellar is not None
    built = [b for b in found.cellar.builds if b.usable_kg is not None]
    rows: list[tuple[str, ...]] = [
        (
            b.words,
            units.show(b.usable_kg or 0.0, "mass"),
            f"{b.deliveries_per_year:.1f}" if b.deliveries_per_year else "–",
            f"{b.empty_winters}",
            texts.YES if b.works else texts.NO,
        )
        for b in built
    ]
    return rows, len(found.cellar.builds) - len(built)


def fit_rows(found: SizeAnswer) -> list[tuple[str, ...]]:
    """Return a row for every line about delivery and the store."""
    return [(f.question, f.answer, f"{f.guidance} ({f.source})", f.seen) for f in found.fit]


def fit_count(found: SizeAnswer) -> str:
    """Return how many lines are met, not met and to ask."""
    count = {a: sum(f.answer == a for f in found.fit) for a in ("met", "not met", "ask")}
    return texts.FIT_COUNT.format(met=count["met"], not_met=count["not met"], ask=count["ask"])


def own_questions(found: SizeAnswer) -> list[Said]:
    """Return the open questions beyond the lines marked ask."""
    return list(found.open_questions[: len(found.open_questions) - sum(f.answer == "ask" for f in found.fit)])


def assumed(found: SizeAnswer) -> list[str]:
    """Return what was assumed, each with its source, and the thanks for the weather."""
    w = found.weather
    said = texts.WEATHER.format(
        source=w.attribution or w.source, winters=w.winters, first=w.first_day.year, last=w.last_day.year
    )
    return [*(f"{as_text(a.text)} – {as_text(a.source)}." for a in found.assumptions), said]


def cautions(found: SizeAnswer) -> list[tuple[Said, Said]]:
    """Return the cautions with their reasons; what all of them defer to is said once beside them."""
    return [(undeferred(c.text), c.why) for c in found.cautions]
