"""The size answer in sentences: ranges, and whole cubic metres."""

from __future__ import annotations

import math

from fuelplan.answers.how_big.answer import BufferPart, HopperPart, SizeAnswer
from fuelplan.answers.how_big.store import Sized
from fuelplan.heat import fuels
from fuelplan.messages import (
    Chance,
    Listed,
    Message,
    Number,
    Percent,
    Quantity,
    Range,
    counted_message,
    message,
    paragraph,
)
from fuelplan.sizing import COST_TOLERANCE, PALLET_KG, PALLET_M2, SizeOption, StoreQuestion
from fuelplan.sizing.hopper_cycle import TOO_SMALL_FOR_NIGHT

SAME_SIZE = 0.03  # holding so much more or less than the range is still in it


def room_range(low_m3: float, high_m3: float) -> Range:
    """Return a range of rooms in whole cubic metres, rounded outwards."""
    return Range(low_m3, high_m3, "volume", unit="m3", decimals=0)


def room(m3: float) -> Quantity:
    """Return a room in whole cubic metres."""
    return Quantity(m3, "volume", unit="m3", decimals=0)


def deliveries(low: float, high: float) -> Message:
    """Return how many deliveries a year, as people count them."""
    a, b = sorted((low, high))
    if b < 0.95:
        return message("size.delivery_most_years", "a delivery in most years")
    first, last = max(1, math.floor(a + 0.25)), math.ceil(b - 0.25)
    if first >= last:
        return counted_message(
            "size.deliveries", "about {n} delivery a year", "about {n} deliveries a year", last
        )
    return message("size.deliveries_from_to", "{first} to {last} deliveries a year", first=first, last=last)


def winters_empty(of: SizeOption) -> Message:
    """Return in how many winters the store ran empty, and which winters these are."""
    empty, winters = of.empty_winters, of.winters_said
    if empty == 0 and of.real_winters:
        return message("size.never_empty", "never empty in {winters}", winters=winters)
    if empty == 0:
        return message(
            "size.never_empty_simulated",
            "never empty in {winters}; no past winter stands behind it",
            winters=winters,
        )
    if of.real_winters:
        return message("size.empty_in", "empty in {empty} of {winters}", empty=empty, winters=winters)
    return message(
        "size.empty_in_simulated",
        "empty in {empty} of {winters}; no past winter stands behind it",
        empty=empty,
        winters=winters,
    )


def still_as_likely(of: SizeOption) -> Message:
    """Return how likely an empty store may still be, as far as the real winters show."""
    if not of.real_winters:
        return message(
            "size.simulated_prove_nothing", "simulated winters prove nothing: none of them is a real one"
        )
    return message(
        "size.still_as_likely",
        "a year with an empty store could still be as likely as {chance}",
        chance=Chance(of.empty_risk_high),
    )


def headline(found: SizeAnswer) -> Message:
    """Return the answer as a heading: one size first, then what costs about the same."""
    if found.best_range_m3 is None or found.store is None:
        return message("size.headline_none", "No size in question works.")
    low, high = found.best_range_m3
    store = size_said(found.store, found.thing, found.fuel)
    if high - low < 1:
        return message("size.headline", "{store} for the store.", store=store)
    return message(
        "size.headline_range",
        "{store} for the store; {rooms} cost about the same.",
        store=store,
        rooms=room_range(low, high),
    )


def sentence(sized: Sized, hopper: HopperPart, buffer: BufferPart) -> Message:
    """Return the whole answer in a few sentences."""
    return paragraph([store_sentence(sized), hopper_sentence(hopper), buffer_sentence(buffer)])


def store_sentence(sized: Sized) -> Message:
    """Return how big the store should be: one size first, then what costs about the same."""
    answer = sized.answer
    if answer.best is None or answer.best_range_m3 is None:
        return answer.why
    best = answer.options[answer.best]
    said = [_best(sized, best, answer.best, answer.best_range_m3)]
    if best.lowest_kg < sized.reserve_kg:
        said.append(_below_reserve(sized, best, answer.best_range_m3[0]))
    high_use = sized.high_use_range_m3
    if high_use is not None and high_use[0] > answer.best_range_m3[0]:
        said.append(
            message(
                "size.high_use",
                "Should the building burn as much as it plausibly could: {rooms}.",
                rooms=room_range(*high_use),
            )
        )
    return paragraph(said)


def _best(sized: Sized, best: SizeOption, index: int, best_range_m3: tuple[float, float]) -> Message:
    """Return the size that serves best, and what costs about the same."""
    store = _built(sized.asked, index, size_said(best, sized.asked.thing, sized.fuel))
    drops, empty = deliveries(best.deliveries_per_year, best.deliveries_per_year), winters_empty(best)
    low, high = best_range_m3
    if high - low < 1:
        return message(
            "size.serves_best",
            "A store of {store} serves best: {drops}, {empty}.",
            store=store,
            drops=drops,
            empty=empty,
        )
    return message(
        "size.serves_best_of_range",
        "A store of {store} serves best: {drops}, {empty}; anything from {rooms} costs within {share}.",
        store=store,
        drops=drops,
        empty=empty,
        rooms=room_range(low, high),
        share=Percent(COST_TOLERANCE),
    )


def _below_reserve(sized: Sized, best: SizeOption, low_m3: float) -> Message:
    """Return how low the best size comes, and from which size on the reserve is kept."""
    lowest = Quantity(best.lowest_kg, "mass")
    good = (o for o in sized.answer.options if o.works and o.room_m3 >= low_m3)
    kept = next((o for o in good if o.lowest_kg >= sized.reserve_kg), None)
    if kept is None:
        return message(
            "size.below_reserve",
            "At the lowest {lowest} are left in it, below the reserve.",
            lowest=lowest,
        )
    return message(
        "size.below_reserve_kept_from",
        "At the lowest {lowest} are left in it, below the reserve; from {room} on the reserve is kept.",
        lowest=lowest,
        room=room(kept.room_m3),
    )


def size_said(option: SizeOption, thing: str, fuel: str) -> Message:
    """Return a size by what it is: a room, a tank or a bag silo of a fuel, or bags on pallets."""
    word, usable = fuels.fuel(fuel).word, Quantity(option.usable_kg, "mass")
    if thing == "pallets":
        count = math.ceil(option.usable_kg / PALLET_KG - 1e-9)
        return counted_message(
            "size.on_pallets",
            "{usable} of {fuel} in bags ({n} pallet, {floor} of floor if not stacked)",
            "{usable} of {fuel} in bags ({n} pallets, {floor} of floor if not stacked)",
            count,
            usable=usable,
            fuel=word,
            floor=Quantity(count * PALLET_M2, "area"),
        )
    volume = room(option.room_m3)
    if thing == "tank":
        return message(
            "size.of_tank",
            "{room} of tank ({usable} of {fuel} to use)",
            room=volume,
            usable=usable,
            fuel=word,
        )
    if thing == "bag silo":
        return message(
            "size.of_bag_silo",
            "{room} of bag silo ({usable} of {fuel} to use)",
            room=volume,
            usable=usable,
            fuel=word,
        )
    return message(
        "size.of_room", "{room} of room ({usable} of {fuel} to use)", room=volume, usable=usable, fuel=word
    )


def _built(asked: StoreQuestion, index: int, store: Message) -> Message:
    """Return a size with how a room of it would be built, where the folder gives a room."""
    if not asked.builds:
        return store
    build = asked.builds[index]
    length, width = Quantity(build.length_m, "length"), Quantity(build.width_m, "length")
    if build.inlets == 1:
        return message(
            "size.built", "{store}, {length} x {width} inside", store=store, length=length, width=width
        )
    if build.inlets_at == "side":
        return message(
            "size.built_inlets_in_side",
            "{store}, {length} x {width} inside with {inlets} inlets in a long side",
            store=store,
            length=length,
            width=width,
            inlets=build.inlets,
        )
    return message(
        "size.built_inlets_in_end",
        "{store}, {length} x {width} inside with {inlets} inlets in its end",
        store=store,
        length=length,
        width=width,
        inlets=build.inlets,
    )


def present_sentence(sized: Sized) -> Message:
    """Return how the folder's own store does beside the best range, by what can be used of each."""
    present, answer = sized.present, sized.answer
    own = _own_store(present, sized.asked.thing)
    if present.problem is not None:
        return message(
            "size.own_does_not_do", "{own} does not do: it {problem}.", own=own, problem=present.problem
        )
    does = message(
        "size.does",
        "{drops}, {empty}",
        drops=deliveries(present.deliveries_per_year, present.deliveries_per_year),
        empty=winters_empty(present),
    )
    if answer.best_range_m3 is None:
        return message("size.own_works", "{own} works: {does}.", own=own, does=does)
    low, high = answer.best_range_m3
    inside = [o.usable_kg for o in answer.options if low <= o.room_m3 <= high]
    if present.usable_kg < (1 - SAME_SIZE) * min(inside):
        return message(
            "size.own_holds_less", "{own} holds less than that, yet works: {does}.", own=own, does=does
        )
    if present.usable_kg > (1 + SAME_SIZE) * max(inside):
        return message(
            "size.own_holds_more", "{own} holds more than it need, and works: {does}.", own=own, does=does
        )
    return message("size.own_in_range", "{own} lies in that range: {does}.", own=own, does=does)


def _own_store(present: SizeOption, thing: str) -> Message:
    """Return the folder's own store with its size."""
    usable = Quantity(present.usable_kg, "mass")
    if thing == "pallets":
        return message("size.own_stock", "The stock of the folder ({usable} in bags)", usable=usable)
    volume = room(present.room_m3)
    if thing == "tank":
        return message(
            "size.own_tank", "The tank of the folder ({room}, {usable} to use)", room=volume, usable=usable
        )
    if thing == "bag silo":
        return message(
            "size.own_bag_silo",
            "The bag silo of the folder ({room}, {usable} to use)",
            room=volume,
            usable=usable,
        )
    return message(
        "size.own_store", "The store of the folder ({room}, {usable} to use)", room=volume, usable=usable
    )


def hopper_sentence(hopper: HopperPart) -> Message:
    """Return how big the day hopper should be."""
    if hopper.smallest_kg is None:
        return paragraph([_none_alone(hopper.assumed), _reason(hopper)])
    asked = hopper.smallest_kg if hopper.proposed_kg is None else hopper.proposed_kg
    what, size = _day_hopper(hopper.assumed), Quantity(asked, "mass")
    if hopper.present_kg is None:
        return message(
            "size.hopper",
            "{hopper} should hold at least {size}, so that no night empties it.",
            hopper=what,
            size=size,
        )
    here = Quantity(hopper.present_kg, "mass")
    if hopper.present_kg >= asked:
        return message(
            "size.hopper_is_enough",
            "{hopper} should hold at least {size}, so that no night empties it; yours holds {here}, which is "
            "enough.",
            hopper=what,
            size=size,
            here=here,
        )
    return message(
        "size.hopper_too_little",
        "{hopper} should hold at least {size}, so that no night empties it; yours holds {here}, which is too "
        "little.",
        hopper=what,
        size=size,
        here=here,
    )


def _day_hopper(assumed: bool) -> Message:
    if assumed:
        return message("size.day_hopper_assumed", "The day hopper (suction and quiet hours 22 to 6 assumed)")
    return message("size.day_hopper", "The day hopper")


def _none_alone(assumed: bool) -> Message:
    if assumed:
        return message(
            "size.no_hopper_alone_assumed",
            "No day hopper alone gets through the coldest week on record (suction and quiet hours 22 to 6 "
            "assumed).",
        )
    return message("size.no_hopper_alone", "No day hopper alone gets through the coldest week on record.")


def _reason(hopper: HopperPart) -> Message:
    """Return what is in the way: a boiler that is too small before all else, then the pauses."""
    others = [p for p in hopper.problems if p.code != TOO_SMALL_FOR_NIGHT]
    return (others or list(hopper.problems) or [hopper.why])[0]


def bags_sentence(hopper: HopperPart) -> Message | None:
    """Return how many bags are to be carried; None where nobody carries any."""
    if hopper.bags_per_day is None or hopper.bags_per_week is None or hopper.bags_per_week_coldest is None:
        return None
    return message(
        "size.bags",
        "Bags to carry: about {a_day} a day and {a_week} a week over the year, {coldest} in the coldest "
        "week.",
        a_day=Number(hopper.bags_per_day, 1),
        a_week=Number(hopper.bags_per_week),
        coldest=hopper.bags_per_week_coldest,
    )


def how_filled(hopper: HopperPart) -> Message:
    """Return how the hopper is filled, and whether while the fire burns."""
    if hopper.burn_out_first:
        rule = message("size.burn_out_first", "the fire burns out first, then fuel is conveyed")
    else:
        rule = message("size.filled_while_burning", "filled while burning, as the maker allows")
    by = _FILLED_BY[hopper.how]
    if hopper.assumed:
        return message("size.filled_by_assumed", "Filled by {how} (assumed); {rule}.", how=by, rule=rule)
    return message("size.filled_by", "Filled by {how}; {rule}.", how=by, rule=rule)


_FILLED_BY = {
    "hand": message("size.by_hand", "hand"),
    "auger": message("size.by_auger", "auger"),
    "suction": message("size.by_suction", "suction"),
}


def hours_words(hours: tuple[int, ...]) -> Message:
    """Return clock hours as people say them: "6 to 8 h, 21 to 22 h"."""
    if not hours:
        return message("size.no_hours", "none")
    if len(hours) > 12:
        return message("size.all_day", "spread over the day")
    spans: list[list[int]] = []
    for hour in sorted(hours):
        if spans and hour == spans[-1][1]:
            spans[-1][1] = hour + 1
        else:
            spans.append([hour, hour + 1])
    said = tuple(message("size.hours_from_to", "{start} to {end} h", start=a, end=b) for a, b in spans)
    return message("size.hours", "{spans}", spans=Listed(said, ", "))


def buffer_sentence(buffer: BufferPart) -> Message:
    """Return the buffer that the strictest rule asks for, beside what is there."""
    asks = _buffer_asked(buffer)
    if buffer.present_l <= 0:
        return message("size.buffer_none", "{asks}; the folder names none.", asks=asks)
    here = Quantity.written(buffer.present_l, "l")
    return message("size.buffer_here", "{asks}; yours holds {here}.", asks=asks, here=here)


def _buffer_asked(buffer: BufferPart) -> Message:
    rule, asked = buffer.rules[0], Quantity.written(round(buffer.asked_l, -1), "l")
    if buffer.by_hand:
        return message(
            "size.buffer_by_hand",
            "The strictest rule for a boiler fed by hand asks for a buffer of about {asked} ({rule}; "
            "{source})",
            asked=asked,
            rule=rule.rule,
            source=rule.source,
        )
    return message(
        "size.buffer",
        "The strictest rule looked at asks for a buffer of about {asked} ({rule}; {source})",
        asked=asked,
        rule=rule.rule,
        source=rule.source,
    )
