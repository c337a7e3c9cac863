"""The size answer in a person's words: ranges, and whole cubic metres."""

from __future__ import annotations

import math
import re

from fuelplan import units
from fuelplan.answers.size_answer import BufferPart, HopperPart
from fuelplan.answers.size_store import Sized
from fuelplan.sizing import SizeOption


def tidy(text: str) -> str:
    """Return a sentence of the model rooms with the signs that people read."""
    return re.sub(r"(\d) deg\b", r"\1°", re.sub(r"\bm3\b", "m³", re.sub(r"\bcm2\b", "cm²", text)))


def room_range(low_m3: float, high_m3: float) -> str:
    """Return a range of rooms in whole cubic metres, rounded outwards."""
    if units.reader().system == "us":
        return units.show_range(low_m3, high_m3, "volume")
    low, high = math.floor(low_m3 + 1e-9), math.ceil(high_m3 - 1e-9)
    return f"about {high} m³" if low >= high else f"{low} to {high} m³"


def room(m3: float) -> str:
    """Return a room in whole cubic metres."""
    return units.show(m3, "volume") if units.reader().system == "us" else f"{m3:.0f} m³"


def deliveries(low: float, high: float) -> str:
    """Return how many deliveries a year, as people count them."""
    a, b = sorted((low, high))
    if b < 0.95:
        return "a delivery in most years"
    first, last = max(1, math.floor(a + 0.25)), math.ceil(b - 0.25)
    if first >= last:
        return f"about {last} deliver{'y' if last == 1 else 'ies'} a year"
    return f"{first} to {last} deliveries a year"


def winters_empty(empty: int, of: SizeOption) -> str:
    """Return in how many winters the store ran empty, and which winters these are."""
    said = of.winters_said + ("" if of.real_winters else "; no past winter stands behind it")
    return f"never empty in {said}" if empty == 0 else f"empty in {empty} of {said}"


def still_as_likely(of: SizeOption) -> str:
    """Return how likely an empty store may still be, as far as the real winters show."""
    if not of.real_winters:
        return "simulated winters prove nothing: none of them is a real one"
    odds = units.show_odds(of.empty_risk_high)
    return f"a year with an empty store could still be as likely as {odds}"


def sentence(sized: Sized, hopper: HopperPart, buffer: BufferPart) -> str:
    """Return the whole answer in a few sentences."""
    return " ".join(s for s in (store_sentence(sized), hopper_sentence(hopper), buffer_sentence(buffer)) if s)


def store_sentence(sized: Sized) -> str:
    """Return how big the store should be."""
    answer = sized.answer
    if answer.best is None or answer.best_range_m3 is None:
        return tidy(answer.why)
    low, high = answer.best_range_m3
    inside = [o for o in answer.options if low <= o.room_m3 <= high]
    least, most = (f(o.usable_kg for o in inside) for f in (min, max))
    tonnes = (
        units.show(least, "mass")
        if least == most
        else f"{units.show(least, 'mass')} to {units.show(most, 'mass')}"
    )
    drops = deliveries(min(o.deliveries_per_year for o in inside), max(o.deliveries_per_year for o in inside))
    most_empty = max(o.empty_winters for o in inside)
    best = answer.options[answer.best]
    text = (
        f"A store of {room_range(low, high)} of room ({tonnes} of pellets to use) serves best: {drops}, "
        f"{winters_empty(most_empty, best)}."
    )
    if high - low >= 1:
        text += f" Within it cost hardly differs; {room(best.room_m3)} is the cheapest."
    kept = next(
        (o for o in answer.options if o.works and o.room_m3 >= low and o.lowest_kg >= sized.reserve_kg), None
    )
    if best.lowest_kg < sized.reserve_kg:
        text += f" At the lowest {units.show(best.lowest_kg, 'mass')} are left in it, below the reserve"
        text += "." if kept is None else f"; from {room(kept.room_m3)} on the reserve is kept."
    if sized.high_use_range_m3 is not None and sized.high_use_range_m3[0] > low:
        text += f" Should the building burn as much as it well may, {room_range(*sized.high_use_range_m3)}."
    return text


def present_sentence(present: SizeOption, best_range_m3: tuple[float, float] | None) -> str:
    """Return how the folder's own store does beside the best range."""
    text = (
        f"The store of the folder ({room(present.room_m3)}, {units.show(present.usable_kg, 'mass')} to use)"
    )
    if not present.works:
        return f"{text} does not do: it {present.problem}."
    does = (
        f"{deliveries(present.deliveries_per_year, present.deliveries_per_year)}, "
        f"{winters_empty(present.empty_winters, present)}"
    )
    if best_range_m3 is None:
        return f"{text} works: {does}."
    low, high = best_range_m3
    if present.room_m3 < low - 0.5:
        return f"{text} is smaller than that, yet works: {does}."
    if present.room_m3 > high + 0.5:
        return f"{text} is larger than it need be, and works: {does}."
    return f"{text} lies in that range: {does}."


def hopper_sentence(hopper: HopperPart) -> str:
    """Return how big the day hopper should be."""
    assumed = " (suction and quiet hours 22 to 6 assumed)" if hopper.assumed else ""
    if hopper.smallest_kg is None:
        return f"No day hopper alone gets through the coldest week on record{assumed}: {_reason(hopper)}."
    size = units.show(hopper.smallest_kg, "mass")
    text = f"The day hopper{assumed} should hold at least {size}"
    if hopper.smallest_kg < hopper.night_kg and hopper.quiet is not None:
        text += (
            f", better {units.show(math.ceil(hopper.night_kg / 10) * 10, 'mass')}, which the "
            f"hungriest night takes"
        )
    if hopper.present_kg is None:
        return f"{text}."
    here = units.show(hopper.present_kg, "mass")
    return (
        f"{text}; yours holds {here}, "
        f"{'which is enough' if hopper.present_kg >= hopper.smallest_kg else 'which is too little'}."
    )


def _reason(hopper: HopperPart) -> str:
    """Return what stands in the way: a boiler that is too small before all else, then the pauses."""
    others = [p for p in hopper.problems if not p.startswith("hoppers up to")]
    return (others or list(hopper.problems) or [hopper.why])[0]


def hours_words(hours: tuple[int, ...]) -> str:
    """Return clock hours as people say them: "6 to 8, 21"."""
    if not hours:
        return "none"
    if len(hours) > 12:
        return "spread over the day"
    spans: list[list[int]] = []
    for hour in sorted(hours):
        if spans and hour == spans[-1][1]:
            spans[-1][1] = hour + 1
        else:
            spans.append([hour, hour + 1])
    return ", ".join(f"{a} to {b} h" for a, b in spans)


def buffer_sentence(buffer: BufferPart) -> str:
    """Return the buffer that the strictest rule asks for, beside what is there."""
    rule = buffer.rules[0]
    text = (
        f"The strictest rule {'for a boiler fed by hand' if buffer.by_hand else 'looked at'} asks for a "
        f"buffer of about {round(buffer.asked_l, -1):,.0f} litres ({rule.rule}; {rule.source})"
    )
    if buffer.present_l <= 0:
        return f"{text}; the folder names none."
    return f"{text}; yours holds {buffer.present_l:,.0f}."
