"""Make a plan keep every rule exactly, and better it by taking stops out and putting them in again.

The solver knows neither chambers, breaks nor hours at the wheel. Where its routes break one of them, this
takes over: it is slower a step, but every step is checked exactly.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence

from fuelplan.dispatch.routing.chambers import fits
from fuelplan.dispatch.routing.day import may_go
from fuelplan.dispatch.routing.exact import TankerDay, Trip, load_of
from fuelplan.dispatch.routing.plan import TripPlan, score

_TINY = 1e-9
_MOST_OUT = 8  # stops taken out at once
_START_SLACK = 0.015  # how much worse than the best a plan may be at the beginning, as a share of its cost


def without(trips: Sequence[Trip], gone: frozenset[int]) -> tuple[Trip, ...]:
    """Return the trips without some stops, and without trips that are empty then."""
    cut = ((start, tuple(s for s in numbers if s not in gone)) for start, numbers in trips)
    return tuple(t for t in cut if t[1])


def insertions(plan: TripPlan, stop: int, tanker: int) -> Iterator[tuple[float, int, int, int]]:
    """Yield (cost, trip, place in it, 0) of putting a stop into a trip, or (cost, trip, 0, 1) of a new trip.

    The cost is that of the way and the work without waiting: what to try first, not what it will be.
    """
    t = plan.tankers[tanker]
    s = plan.stops[stop]
    if not may_go(s, tanker):
        return
    km, h = plan.tables.km, plan.tables.h
    trips = plan.day(tanker).trips
    work = s.work_with(tanker) / 60.0 * t.cost_per_h
    here = s.place

    def leg(a: int, b: int) -> float:
        return km[a][b] * t.cost_per_km + h[a][b] * t.cost_per_h

    for i, (start, numbers) in enumerate(trips):
        if not fits(load_of(plan.stops, (*numbers, stop)), t.chambers, t.payload_kg):
            continue
        back = trips[i + 1][0] if i + 1 < len(trips) else t.place
        places = [start, *(plan.stops[n].place for n in numbers), back]
        for at in range(len(numbers) + 1):
            a, b = places[at], places[at + 1]
            yield leg(a, here) + leg(here, b) - leg(a, b) + work, i, at, 0
    if len(trips) < t.max_trips and fits({s.grade: s.kg}, t.chambers, t.payload_kg):
        alone = leg(t.place, here) + leg(here, t.place) + work
        alone += t.reload_min / 60.0 * t.cost_per_h if trips else 0.0
        for i in range(len(trips) + 1):
            yield alone, i, 0, 1


def _with(plan: TripPlan, stop: int, tanker: int, i: int, at: int, new: int) -> tuple[Trip, ...]:
    """Return a tanker's trips with a stop put in."""
    trips = plan.day(tanker).trips
    if new:
        return (*trips[:i], (plan.tankers[tanker].place, (stop,)), *trips[i:])
    start, numbers = trips[i]
    return (*trips[:i], (start, (*numbers[:at], stop, *numbers[at:])), *trips[i + 1 :])


def trip_of_group(plan: TripPlan, stop: int) -> tuple[int, int] | None:
    """Return the tanker and the number of the trip that brings another stop of the group; None for none."""
    group = plan.stops[stop].group
    if not group:
        return None
    for t in range(len(plan.tankers)):
        for i, (_, numbers) in enumerate(plan.day(t).trips):
            if any(n != stop and plan.stops[n].group == group for n in numbers):
                return t, i
    return None


def put_in(
    plan: TripPlan, stop: int, blink: Callable[[], bool] | None = None, *,
    trip: tuple[int, int, int] | None = None,
) -> bool:  # fmt: skip
    """Put a stop where it costs least; tell whether there was a place for it, and a reason to.

    A stop of a group goes on the trip where another of its group is.

    Parameters
    ----------
    blink
        May pass over a place now and then, so that the search does not do the same again and again.
    trip
        The only trip to put it on: tanker, number, and 1 for a new one in the place of that number.
    """
    s = plan.stops[stop]
    most = float("inf") if s.required else s.prize
    with_group = trip_of_group(plan, stop)
    only = trip if with_group is None else (*with_group, 0)
    places = sorted(
        (cost, t, i, at, new)
        for t in range(len(plan.tankers))
        for cost, i, at, new in insertions(plan, stop, t)
        if only is None or only == (t, i, new)
    )
    best: TankerDay | None = None
    for cost, t, i, at, new in places:
        # without waiting a place costs this at least, unless the stop fills waiting that was there before
        if cost >= most - _TINY and best is not None:
            break
        if blink is not None and blink():
            continue
        day = plan.tried(t, _with(plan, stop, t, i, at, new))
        more = day.cost - plan.day(t).cost
        if not day.faults and more < most - _TINY:
            best, most = day, more
    if best is None:
        return False
    plan.put(best)
    return True


def put_in_together(plan: TripPlan, group: Sequence[int]) -> bool:
    """Put the stops of a group on one trip, where they cost least; tell whether there is one for all."""
    if len(group) == 1:
        return put_in(plan, group[0])
    first, *rest = sorted(group, key=lambda n: (-plan.stops[n].kg, n))
    best: TripPlan | None = None
    for t in range(len(plan.tankers)):
        trips = len(plan.day(t).trips)
        for trip in [*((t, i, 0) for i in range(trips)), *((t, i, 1) for i in range(trips + 1))]:
            tried = plan.copy()
            if not put_in(tried, first, trip=trip) or not all(put_in(tried, n) for n in rest):
                continue
            if best is None or score(tried) < score(best):
                best = tried
    if best is None:
        return False
    for day in best.days():
        plan.put(day)
    return True


def take_one_out(plan: TripPlan, tanker: int) -> None:
    """Take out the one stop of a faulty day whose absence mends most for least."""
    day = plan.day(tanker)

    def rank(after: TankerDay) -> tuple[int, int, float]:
        kept = {s for _, numbers in after.trips for s in numbers}
        promises = sum(plan.stops[s].required for s in kept)
        return len(after.faults), -promises, after.cost - sum(plan.stops[s].prize for s in kept)

    numbers = [s for _, trip in day.trips for s in trip]
    plan.put(min((plan.tried(tanker, without(day.trips, frozenset((s,)))) for s in numbers), key=rank))


def repaired(plan: TripPlan, wanted: Sequence[int]) -> TripPlan:
    """Return the plan without faults, with as many of the wanted stops as could be put in again."""
    plan = plan.copy()
    for t in range(len(plan.tankers)):
        while plan.day(t).faults:
            take_one_out(plan, t)
    fill(plan, wanted)
    return plan


def fill(plan: TripPlan, wanted: Sequence[int], blink: Callable[[], bool] | None = None) -> None:
    """Put in what is left: promises first, and large drops first, which are the hardest to place."""
    served = plan.served()
    left = [i for i in wanted if i not in served]
    left.sort(key=lambda i: (not plan.stops[i].required, -plan.stops[i].kg, i))
    for stop in left:
        put_in(plan, stop, blink)


def bettered(
    plan: TripPlan, wanted: Sequence[int], seed: int, share_done: Callable[[], float], most: int | None
) -> TripPlan:
    """Return the best plan found by taking neighbouring stops out and putting them in again.

    Parameters
    ----------
    plan
        Without faults.
    share_done
        How much of the time is gone, 0..1; ends at 1.
    most
        Rounds at most; None where time alone ends it.
    """
    dice = random.Random(seed)
    near = _neighbours(plan, wanted)
    best = current = plan
    best_score = current_score = score(plan)
    rounds = 0
    while (most is None or rounds < most) and share_done() < 1.0:
        rounds += 1
        done = rounds / most if most is not None else share_done()
        tried = current.copy()
        out = frozenset(near[dice.choice(wanted)][: dice.randint(1, _MOST_OUT)])
        for t in range(len(tried.tankers)):
            trips = tried.day(t).trips
            if any(s in out for _, numbers in trips for s in numbers):
                tried.put(tried.tried(t, without(trips, out)))
        order = list(wanted)
        if dice.random() < 0.5:
            dice.shuffle(order)
            served = tried.served()
            for stop in order:
                if stop not in served:
                    put_in(tried, stop, lambda: dice.random() < 0.02)
        else:
            fill(tried, wanted, lambda: dice.random() < 0.02)
        if not tried.sound():
            continue
        found = score(tried)
        slack = _START_SLACK * (1.0 - done) * abs(best_score[1])
        if found <= (current_score[0], current_score[1]) or (
            found[0] <= best_score[0] and found[1] < best_score[1] + slack
        ):
            current, current_score = tried, found
        if found < (best_score[0], best_score[1] - _TINY):
            best, best_score = tried, found
    return best


def _neighbours(plan: TripPlan, wanted: Sequence[int]) -> dict[int, list[int]]:
    """Return for each stop all stops in order of nearness, itself first."""
    km = plan.tables.km
    place = {i: plan.stops[i].place for i in wanted}
    return {i: sorted(wanted, key=lambda j: (i != j, km[place[i]][place[j]], j)) for i in wanted}


def fits_by_load(plan: TripPlan, *stops: int) -> bool:
    """Tell whether some trip of a tanker that may go there has room for all stops together, or a trip is
    free.
    """
    wanted = [plan.stops[n] for n in stops]
    for t, tanker in enumerate(plan.tankers):
        alone = load_of(plan.stops, stops)
        if not all(may_go(s, t) for s in wanted) or not fits(alone, tanker.chambers, tanker.payload_kg):
            continue
        trips = plan.day(t).trips
        if len(trips) < tanker.max_trips:
            return True
        if any(fits(load_of(plan.stops, (*n, *stops)), tanker.chambers, tanker.payload_kg) for _, n in trips):
            return True
    return False
