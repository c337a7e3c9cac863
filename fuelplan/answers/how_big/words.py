"""The size answer in a person's words: ranges, and whole cubic metres."""

from __future__ import annotations

import math

from fuelplan import units
from fuelplan.answers.how_big.answer import BufferPart, HopperPart, SizeAnswer
from fuelplan.answers.how_big.rooms import PALLET_KG, PALLET_M2, StoreQuestion
from fuelplan.answers.how_big.store import Sized
from fuelplan.sizing import COST_TOLERANCE, SizeOption

SAME_SIZE = 0.03  # holding so much more or less than the range is still in it


def room_range(low_m3: float, high_m3: float) -> str:
    """Return a range of rooms in whole cubic metres, rounded outwards."""
    if units.reader().system == "us":
        return units.show_range(low_m3, high_m3, "volume")
    low, high = math.floor(low_m3 + 1e-9), math.ceil(high_m3 - 1e-9)
    return f"about {high} m³" if low >= high else f"{low} to {high} m³"


def room_ends(low_m3: float, high_m3: float) -> str:
    """Return both ends of a range of rooms: "9 to 24 m³"."""
    return room_range(low_m3, high_m3).removeprefix("about ")


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
    """Return how big the store should be: one size first, then what costs about the same."""
    answer, thing = sized.answer, sized.asked.thing
    if answer.best is None or answer.best_range_m3 is None:
        return answer.why
    low, high = answer.best_range_m3
    best = answer.options[answer.best]
    drops = deliveries(best.deliveries_per_year, best.deliveries_per_year)
    text = (
        f"A store of {size_said(best, thing, sized.fuel)}{built_said(sized.asked, answer.best)} serves best: "
        f"{drops}, "
        f"{winters_empty(best.empty_winters, best)}"
    )
    if high - low >= 1:
        text += f"; anything from {room_ends(low, high)} costs within {COST_TOLERANCE:.0%}"
    text += "."
    kept = next(
        (o for o in answer.options if o.works and o.room_m3 >= low and o.lowest_kg >= sized.reserve_kg), None
    )
    if best.lowest_kg < sized.reserve_kg:
        text += f" At the lowest {units.show(best.lowest_kg, 'mass')} are left in it, below the reserve"
        text += "." if kept is None else f"; from {room(kept.room_m3)} on the reserve is kept."
    if sized.high_use_range_m3 is not None and sized.high_use_range_m3[0] > low:
        more = room_range(*sized.high_use_range_m3)
        text += f" Should the building burn as much as it plausibly could: {more}."
    return text


def size_said(option: SizeOption, thing: str, fuel: str) -> str:
    """Return a size by what it is: a room, a tank or a bag silo of a fuel, or bags on pallets."""
    tonnes = units.show(option.usable_kg, "mass")
    if thing == "pallets":
        count = math.ceil(option.usable_kg / PALLET_KG - 1e-9)
        floor = units.show(count * PALLET_M2, "area")
        pallets = f"{count} pallet{'' if count == 1 else 's'}"
        return f"{tonnes} of {fuel} in bags ({pallets}, {floor} of floor if not stacked)"
    return f"{room(option.room_m3)} of {thing} ({tonnes} of {fuel} to use)"


def option_said(answer: SizeAnswer, option: SizeOption) -> str:
    """Return the size of one row of the table, with its inlets where it needs more than one."""
    at = answer.options.index(option)
    inlets = answer.builds[at].inlets if answer.builds else 1
    return room(option.room_m3) + (f", {inlets} inlets" if inlets > 1 else "")


def built_said(asked: StoreQuestion, index: int) -> str:
    """Return how a room of that size would be built; nothing where the folder gives no room."""
    if not asked.builds:
        return ""
    build = asked.builds[index]
    length, width = (units.show(m, "length") for m in (build.length_m, build.width_m))
    if build.inlets == 1:
        return f", {length} x {width} inside"
    where = "a long side" if build.inlets_at == "side" else "its end"
    return f", {length} x {width} inside with {build.inlets} inlets in {where}"


def present_sentence(sized: Sized) -> str:
    """Return how the folder's own store does beside the best range, by what can be used of each."""
    present, answer, thing = sized.present, sized.answer, sized.asked.thing
    own = {"room": "store", "pallets": "stock"}.get(thing, thing)
    tonnes = units.show(present.usable_kg, "mass")
    size = f"{tonnes} in bags" if thing == "pallets" else f"{room(present.room_m3)}, {tonnes} to use"
    text = f"The {own} of the folder ({size})"
    if not present.works:
        return f"{text} does not do: it {present.problem}."
    does = (
        f"{deliveries(present.deliveries_per_year, present.deliveries_per_year)}, "
        f"{winters_empty(present.empty_winters, present)}"
    )
    if answer.best_range_m3 is None:
        return f"{text} works: {does}."
    low, high = answer.best_range_m3
    inside = [o.usable_kg for o in answer.options if low <= o.room_m3 <= high]
    if present.usable_kg < (1 - SAME_SIZE) * min(inside):
        return f"{text} holds less than that, yet works: {does}."
    if present.usable_kg > (1 + SAME_SIZE) * max(inside):
        return f"{text} holds more than it need, and works: {does}."
    return f"{text} lies in that range: {does}."


def hopper_sentence(hopper: HopperPart) -> str:
    """Return how big the day hopper should be."""
    assumed = " (suction and quiet hours 22 to 6 assumed)" if hopper.assumed else ""
    if hopper.smallest_kg is None:
        return f"No day hopper alone gets through the coldest week on record{assumed}: {_reason(hopper)}."
    asked = hopper.smallest_kg if hopper.proposed_kg is None else hopper.proposed_kg
    size = units.show(asked, "mass")
    text = f"The day hopper{assumed} should hold at least {size}, so that no night empties it"
    if hopper.present_kg is None:
        return f"{text}."
    here = units.show(hopper.present_kg, "mass")
    return (
        f"{text}; yours holds {here}, "
        f"{'which is enough' if hopper.present_kg >= asked else 'which is too little'}."
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
        f"buffer of about {_litres(round(buffer.asked_l, -1))} ({rule.rule}; {rule.source})"
    )
    if buffer.present_l <= 0:
        return f"{text}; the folder names none."
    if units.reader().system == "us":
        return f"{text}; yours holds {_litres(buffer.present_l)}."
    return f"{text}; yours holds {buffer.present_l:,.0f}."


def _litres(volume_l: float) -> str:
    return units.show_as(volume_l, "l", word="litres")
