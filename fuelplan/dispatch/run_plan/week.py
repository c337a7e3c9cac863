"""The dispatcher's days as the search takes them: levels with their risk, promises, tankers, hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.run_plan.problem import NEVER, Bools, Floats, Ints, Problem

Table = NDArray[np.floating]

TRIPS = 3
"""Trips a tanker may make in a day."""

FULLEST = 64
"""Steps between empty and full at the most: finer ones plan nothing better."""

FITS = 0.6
"""Share of the draws in which a planned drop fits whole; where it does not, the rest stays aboard (a tanker
fills until the store is full). Planning for the surest case would send tankers out for small drops."""


@dataclass(frozen=True)
class Fleet:
    """V tankers. Arrays of shape (V,) unless said otherwise.

    Attributes
    ----------
    depot
        Number of the depot it belongs to.
    ways_kg
        For each tanker the ways of filling its chambers, (ways, G). [kg]
    cost_per_km, cost_per_h
        [money/km, money/h]
    blow_kg_h, reload_h
        [kg/h, h]
    day_h
        Shape (V, T), hours it may work on each planned day, breaks left out; 0 where it does not drive. [h]
    """

    depot: Ints
    ways_kg: tuple[Floats, ...]
    cost_per_km: Floats
    cost_per_h: Floats
    blow_kg_h: Floats
    reload_h: Floats
    day_h: Floats


@dataclass(frozen=True)
class Needs:
    """N customers or orders that runs may serve. Arrays of shape (N,) unless said otherwise.

    Attributes
    ----------
    place
        Row of the tables of distances.
    grade
        Number of the class of fuel.
    order_kg
        What an order asks for; NaN for a top-up customer, who gets what is best. [kg]
    order_from, order_to
        Planned days an order is promised for: first and last, both numbers of days (the last may lie beyond).
    due
        Planned days up to which a tanker should have come: numbers of days, T where that may be later.
    empty
        Orders of those who are already empty.
    store_kg, reserve_kg, least_kg
        Top-up stores. [kg]
    levels
        Levels on each evening if nothing comes, for all N rows.
    given_kg
        Shape (N, evenings): what published runs will have brought by each evening. [kg]
    maybe_kg
        What may lie in the store besides, which nobody has confirmed: it takes room and counts for no level.
        [kg]
    may
        Shape (N, T, V): tankers that may come on each day.
    must
        Shape (N, T): days on which somebody wants the customer served.
    stop_h
        Shape (N, V): how long each tanker is there besides blowing. [h]
    """

    place: Ints
    grade: Ints
    order_kg: Floats
    order_from: Ints
    order_to: Ints
    due: Ints
    empty: Bools
    store_kg: Floats
    reserve_kg: Floats
    least_kg: Floats
    levels: LevelTable
    given_kg: Floats
    maybe_kg: Floats
    may: Bools
    must: Bools
    stop_h: Floats

    @property
    def reach(self) -> Bools:
        """Shape (N, V): tankers that may come on any day."""
        return np.asarray(self.may.any(axis=1))

    @property
    def ordered(self) -> Bools:
        """Shape (N,): rows that are orders."""
        return ~np.isnan(self.order_kg)


@dataclass(frozen=True)
class Prices:
    """What the search is charged beside driving. [money]

    Attributes
    ----------
    empty
        Of a customer who runs empty.
    over_limit
        Of a chance above the limit of a level below the reserve, for a chance of 1.
    late, broken
        Of a promise for each day it is late, and of one that is not kept at all; the latter, too, of a store
        that must be served within the plan and is not.
    stock_left
        Factor on the value of fuel in the stores at the end.
    """

    empty: float = 400.0
    over_limit: float = 8000.0
    late: float = 250.0
    broken: float = 4000.0
    stock_left: float = 1.0


@dataclass(frozen=True)
class PlannedDays:
    """T planned days. All of shape (T,).

    `evening` is each one's evening counted from the day of the levels; `end` the last evening before the next
    planned day; `slow` the factor on hours of driving.
    """

    evening: Ints
    end: Ints
    slow: Floats


def ways_of_filling(
    chambers_kg: Sequence[float], payload_kg: float, classes: int, carries: Sequence[int]
) -> Floats:
    """Return how much of each class fits, one row for each way worth trying; shape (ways, classes). [kg]

    A chamber holds one class. A payload below the sum of the chambers is taken off where there is most.
    """
    rows = set()
    for chosen in product(carries, repeat=len(chambers_kg)):
        room = [0.0] * classes
        for grade, kg in zip(chosen, chambers_kg, strict=True):
            room[grade] += kg
        excess = sum(room) - payload_kg
        if excess > 0:
            room[int(np.argmax(room))] -= excess
        rows.add(tuple(room))
    if not rows:
        return np.zeros((1, classes))
    return np.array(sorted(rows, reverse=True))


def week_problem(
    needs: Needs, fleet: Fleet, days: PlannedDays, km: Table, hours: Table, depots: Ints, supply_kg: Floats,
    risk: float, prices: Prices, told: Floats | None = None,
) -> Problem:  # fmt: skip
    """Return the planning problem of some days.

    Parameters
    ----------
    km, hours
        Tables between all places. [km, h]
    depots
        Shape (D,), rows of the depots.
    supply_kg
        Shape (D, G, T). [kg]
    risk
        Accepted chance of a level below the reserve before a delivery.
    told
        Shape (N, T·V·TRIPS), cost of a stop in each route for what was told of it before. [money]
    """
    n, t_days, tankers = needs.place.size, days.evening.size, fleet.depot.size
    at = np.concatenate([needs.place, depots])
    km_at, h_at = np.asarray(km, float)[np.ix_(at, at)], np.asarray(hours, float)[np.ix_(at, at)]
    cut = ~np.isfinite(km_at) | ~np.isfinite(h_at)
    h_at = np.where(cut, 0.0, h_at)
    drive = np.stack(
        [
            np.where(
                cut,
                NEVER / 1e3,
                fleet.cost_per_km[v] * np.where(cut, 0.0, km_at) + fleet.cost_per_h[v] * h_at,
            )
            for v in range(tankers)
        ]
    )
    slot_tanker = np.repeat(np.arange(tankers), TRIPS)
    road = np.isfinite(km_at[:n, n:][:, fleet.depot])
    works = fleet.day_h.T[None, :, :] > 0
    may = (needs.may & road[:, None, :] & works)[:, :, slot_tanker]
    kg_h = 1.0 / float(fleet.blow_kg_h.mean())
    hour = float(fleet.cost_per_h.mean())
    late = np.maximum(0, np.arange(t_days)[None, :] - needs.order_to[:, None]) * prices.late
    at_stop = _stop_cost(needs, fleet, kg_h * hour)
    stop_cost = np.where(needs.ordered[:, None], late, 0.0)[:, :, None] + at_stop[:, None, slot_tanker]
    stop_cost = stop_cost.reshape(n, -1)
    if told is not None:
        stop_cost = stop_cost + told
    value = value_of_kg(needs, fleet, km_at, drive, needs.stop_h.mean(axis=1) * hour) + kg_h * hour
    rows = [
        _order_row(needs, i, days, prices)
        if needs.ordered[i]
        else _stock_row(needs, i, days, risk, prices, value[i])
        for i in range(n)
    ]
    sizes = np.array([(row.top + 1) * t_days for row in rows], np.int64)
    step = np.array([row.step_kg for row in rows])
    ways = max((w.shape[0] for w in fleet.ways_kg), default=1)
    chambers = np.stack([np.resize(w, (ways, w.shape[1])) for w in fleet.ways_kg])[slot_tanker]
    return Problem(
        step_kg=step,
        start=np.array([row.start for row in rows], np.int64),
        top=np.array([row.top for row in rows], np.int64),
        use=np.array([row.use for row in rows], np.int64).reshape(n, t_days),
        fit=np.array([row.fit for row in rows], np.int64).reshape(n, t_days),
        least=np.array([row.least for row in rows], np.int64),
        level_cost=np.concatenate([row.cost.ravel() for row in rows]),
        level_at=np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int64),
        give_cost=np.repeat((step * kg_h * hour)[:, None], t_days, axis=1),
        may=may.reshape(n, -1),
        stop_cost=stop_cost,
        must=needs.must & may.any(axis=2),
        grade=needs.grade,
        stop_h=needs.stop_h,
        kg_h=np.tile(1.0 / fleet.blow_kg_h, (n, 1)),
        drive_cost=drive,
        drive_h=h_at,
        slow=days.slow,
        slot_type=slot_tanker,
        slot_depot=fleet.depot[slot_tanker],
        slot_tanker=slot_tanker,
        slot_cost=(fleet.reload_h * fleet.cost_per_h)[slot_tanker],
        slot_h=fleet.reload_h[slot_tanker],
        chambers_kg=chambers,
        day_h=fleet.day_h,
        supply_kg=supply_kg,
    )


USUAL_LOAD, USUAL_DROP = 0.85, 0.75
"""Shares of the fleet's mean load, and of what a store holds above its reserve, that a later trip and a later
drop are taken to bring (our assumptions)."""


def value_of_kg(needs: Needs, fleet: Fleet, km: Floats, drive: Floats, stop: Floats) -> Floats:
    """Return what a kg left in each store is worth: what bringing it later would cost, shape (N,). [money/kg]

    Loading and the way to the region are shared by a usual load, the stop and the way from neighbours by a
    usual drop; the caller adds the blowing. Without this value every plan would leave the stores as empty as
    it may, and without the blowing in it a drop beyond the smallest would never pay: a kg is blown today or
    later, at the same cost.
    """
    n = needs.place.size
    if n == 0:
        return np.zeros(0)
    load = USUAL_LOAD * float(np.mean([w.sum(axis=1).max() for w in fleet.ways_kg]))
    loading = float((fleet.reload_h * fleet.cost_per_h).mean())
    there = np.where(
        needs.reach,
        drive[:, n + fleet.depot, :n][np.arange(fleet.depot.size), np.arange(fleet.depot.size)].T,
        np.inf,
    )
    radial = 2 * np.minimum(there.min(axis=1), NEVER / 1e3)
    between = drive.min(axis=0)[:n, :n] + np.where(np.eye(n, dtype=bool), np.inf, 0.0)
    near = np.sort(between, axis=1)[:, : min(4, max(1, n - 1))].mean(axis=1) if n > 1 else radial
    local = np.minimum(near, radial)
    drop = _usual_drop_kg(needs)
    trip = (loading + np.maximum(0.0, radial - local)) / load
    return np.asarray(trip + (stop + local) / np.maximum(drop, 1.0))


def _usual_drop_kg(needs: Needs) -> Floats:
    """Return what a row's drop usually is: an order's own, else a share of what the store takes. [kg]"""
    usual = np.maximum(needs.least_kg, USUAL_DROP * (needs.store_kg - needs.reserve_kg))
    return np.asarray(usual)


def _stop_cost(needs: Needs, fleet: Fleet, kg_cost: float) -> Floats:
    """Return what each tanker's time at each stop costs beyond `kg_cost` for each kg, shape (N, V). [money]

    A slow blower costs more than the fleet's mean; how much more is reckoned with the usual drop.
    """
    kg = np.where(needs.ordered, np.nan_to_num(needs.order_kg), _usual_drop_kg(needs))
    slower = fleet.cost_per_h / fleet.blow_kg_h - kg_cost
    return np.asarray(needs.stop_h * fleet.cost_per_h + kg[:, None] * slower[None, :])


@dataclass(frozen=True)
class _Row:
    """One customer of the problem; see :class:`fuelplan.dispatch.run_plan.problem.Problem`."""

    step_kg: float
    start: int
    top: int
    use: Ints
    fit: Ints
    least: int
    cost: Floats


def _order_row(needs: Needs, i: int, days: PlannedDays, prices: Prices) -> _Row:
    """An order has two levels, not served and served; each day after the promise costs, and the end most of
    all. Before that, too, it costs what the store may run empty: a promise of ten days helps nobody whose
    fuel lasts for five.
    """
    t_days = days.evening.size
    cost = np.zeros((t_days, 2))
    waits = np.arange(t_days) >= needs.order_to[i]
    cost[waits, 0] = prices.late
    cost[:, 0] += prices.empty * (1.0 if needs.empty[i] else _empty_chance(needs, i, days))
    if min(needs.order_to[i], needs.due[i]) < t_days:
        cost[-1, 0] += prices.broken
    else:  # promised for later: an order at hand is worth a little when it is on the way
        cost[-1, 0] += 1.0
    fit = np.where(np.arange(t_days) >= needs.order_from[i], 1, 0)
    return _Row(float(needs.order_kg[i]), 0, 1, np.zeros(t_days, np.int64), fit, 1, cost)


def _empty_chance(needs: Needs, i: int, days: PlannedDays) -> Floats:
    """Return the chance that a store is empty on the last evening before each next day, shape (T,)."""
    return np.asarray(_levels(needs, i, days).chance_below(-needs.given_kg[i, days.end][None])[0])


def _levels(needs: Needs, i: int, days: PlannedDays) -> LevelTable:
    """Return one row's levels on the last evening before each next day."""
    own = needs.levels
    return LevelTable(own.shares, own.kg[i : i + 1, days.end], own.mean_kg[i : i + 1, days.end])


def _stock_row(needs: Needs, i: int, days: PlannedDays, risk: float, prices: Prices, value: float) -> _Row:
    """Top-up stores: levels on a grid, each with its risk on each day."""
    mean, given = needs.levels.mean_kg[i], needs.given_kg[i]
    store = float(needs.store_kg[i])
    step = 100.0 * max(1, round(store / FULLEST / 100.0))
    before = int(days.evening[0]) - 1
    level0 = min(float(mean[before] + given[before]), store)
    gone = np.rint((mean[before] - mean[days.end]) / step).astype(np.int64)
    come = np.rint((given[days.end] - given[before]) / step).astype(np.int64)
    net = gone - come  # steps fallen by the end of each day if nothing is planned
    start = int(max(0, net.max()))
    use = np.diff(net, prepend=0)
    room = int(np.floor((store - level0) / step + 1e-9))
    sure = needs.levels.column(FITS)
    morning = days.evening - 1
    doubt = np.maximum(0.0, needs.levels.kg[i, morning, sure] - mean[morning])
    doubt += needs.maybe_kg[i]
    fit = start + room - np.ceil(doubt / step - 1e-9).astype(np.int64)
    top = max(start + room, start, int((start - net).max()))
    levels = np.arange(top + 1)
    brought = (
        levels[None, :] - (start - net[:, None])
    ) * step  # (T, levels): by this plan, at the end of the day
    bar = needs.reserve_kg[i] - given[days.end][:, None] - brought
    table = _levels(needs, i, days)
    below = table.chance_below(bar[None])[0]
    empty = table.chance_below(bar[None] - needs.reserve_kg[i])[0]
    cost = prices.empty * empty + prices.over_limit * np.maximum(0.0, below - risk)
    cost[-1] -= prices.stock_left * value * step * levels
    if needs.due[i] < days.evening.size:
        cost[-1, : int(start - net[-1]) + 1] += prices.broken  # nothing was brought
    least = max(1, int(np.ceil(needs.least_kg[i] / step - 1e-9)))
    return _Row(step, start, top, use, np.minimum(fit, top), least, cost)
