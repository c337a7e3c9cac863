"""Why a range of store sizes is the best one, in a sentence."""

from __future__ import annotations

from fuelplan.messages import Limits, Listed, Message, Money, Number, Percent, Quantity, message
from fuelplan.sizing.option import COST_TOLERANCE, SizeOption


def why_best(
    options: tuple[SizeOption, ...], best: int | None, low: int, high: int, currency: str
) -> Message:
    """Say why the range is the best one."""
    if best is None:
        largest = max(options, key=lambda o: o.room_m3)
        assert largest.problem is not None
        return message(
            "sizing.none_works",
            "No size in question works: the largest, {room} of room, {problem}.",
            room=_room(largest),
            problem=largest.problem,
        )
    a, b = options[low], options[high]
    inside = [o for o in options if a.room_m3 <= o.room_m3 <= b.room_m3]
    most_empty = max(o.empty_winters for o in inside)
    clauses = [_good(a, b, most_empty) if low != high else _only(a, most_empty)]
    smaller = [o for o in options if o.room_m3 < a.room_m3]
    if smaller:
        clauses.append(_left_out(max(smaller, key=lambda o: o.room_m3), options[best], currency))
    larger = [o for o in options if o.room_m3 > b.room_m3]
    if larger:
        clauses.append(_left_out(min(larger, key=lambda o: o.room_m3), options[best], currency))
    return message("sizing.why", "{clauses}.", clauses=Listed(tuple(clauses), "; "))


def _room(option: SizeOption) -> Quantity:
    return Quantity.written(option.room_m3, "m3", ".0f")


def _good(a: SizeOption, b: SizeOption, most_empty: int) -> Message:
    """Say what the sizes of the best range have in common."""
    return message(
        "sizing.good_range",
        "Between {rooms} of room: the yearly cost differs by less than {share}, with {drops} "
        "deliveries a year and an empty store in {empty} of {winters}",
        rooms=Limits.written(a.room_m3, b.room_m3, "m3", ".0f", "and"),
        share=Percent(COST_TOLERANCE),
        drops=_drops(a.deliveries_per_year, b.deliveries_per_year),
        empty=_empty(most_empty),
        winters=a.winters_said,
    )


def _only(option: SizeOption, empty: int) -> Message:
    """Say what the only good size does."""
    return message(
        "sizing.good_size",
        "{room} of room is the cheapest that works, with {drops} deliveries a year and an empty store in "
        "{empty} of {winters}",
        room=_room(option),
        drops=_drops(option.deliveries_per_year, option.deliveries_per_year),
        empty=_empty(empty),
        winters=option.winters_said,
    )


def _drops(first: float, last: float) -> Number | Message:
    """Return how many deliveries, as a number or as two."""
    low, high = Number(first, 1), Number(last, 1)
    if round(first, 1) == round(last, 1):
        return low
    return message("sizing.from_to", "{low} to {high}", low=low, high=high)


def _empty(winters: int) -> int | Message:
    return winters or message("sizing.no_winter", "none")


def _left_out(option: SizeOption, best: SizeOption, currency: str) -> Message:
    """Say what keeps the nearest size out of the range."""
    return message(
        "sizing.left_out",
        "{room} {problem}",
        room=_room(option),
        problem=option.problem or _dearer(option, best, currency),
    )


def _dearer(option: SizeOption, best: SizeOption, currency: str) -> Message:
    """Say what makes a size dearer."""
    more = Money(option.yearly_cost - best.yearly_cost, currency)
    fuel, store, money = (
        option.fuel_cost - best.fuel_cost,
        option.store_cost - best.store_cost,
        option.money_cost - best.money_cost,
    )
    if fuel >= max(store, money):
        return message(
            "sizing.dearer_fuel", "costs {more} a year more, mostly for fuel in smaller drops", more=more
        )
    if store >= money:
        return message(
            "sizing.dearer_store", "costs {more} a year more, mostly for the store itself", more=more
        )
    return message(
        "sizing.dearer_money", "costs {more} a year more, mostly for money in the stock", more=more
    )
