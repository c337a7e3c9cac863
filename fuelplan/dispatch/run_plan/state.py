"""The plan in the making, as arrays that the compiled search changes in place."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fuelplan.dispatch.run_plan.compiled import inner, jit
from fuelplan.dispatch.run_plan.problem import Floats, Ints, Problem

UNSERVED = 1e9
"""Stands for the cost of a customer whom no visits keep within bounds: large, yet cents count beside it."""


class SearchState(NamedTuple):
    """Routes, amounts and running sums.

    Attributes
    ----------
    seq, length
        Shapes (R, M) and (R,), the customers of each route in order.
    at, steps
        Shapes (n, T): the route that serves a customer on a day (−1: none) and how many steps it gets.
    load_kg
        Shape (R, G). [kg]
    drive_cost, drive_h, stop_h
        Shape (R,). [money, h, h]
    day_h
        Shape (tankers, T), hours worked. [h]
    taken_kg
        Shape (D, G, T), loaded up to and with each day. [kg]
    level_cost
        Shape (n,), cost of each customer's levels, stops and amounts.
    """

    seq: Ints
    length: Ints
    at: Ints
    steps: Ints
    load_kg: Floats
    drive_cost: Floats
    drive_h: Floats
    stop_h: Floats
    day_h: Floats
    taken_kg: Floats
    level_cost: Floats


def empty_state(p: Problem, longest: int) -> SearchState:
    """Return the plan with no route, the levels' costs not yet summed up."""
    n, days = p.use.shape
    slots = p.slot_type.size
    routes, classes = days * slots, p.chambers_kg.shape[2]
    return SearchState(
        np.full((routes, longest), -1, np.int64),
        np.zeros(routes, np.int64),
        np.full((n, days), -1, np.int64),
        np.zeros((n, days), np.int64),
        np.zeros((routes, classes)),
        np.zeros(routes),
        np.zeros(routes),
        np.zeros(routes),
        np.zeros(p.day_h.shape),
        np.zeros(p.supply_kg.shape),
        np.zeros(n),
    )


def copy_state(s: SearchState) -> SearchState:
    """Return a copy that shares nothing."""
    return SearchState._make(a.copy() for a in s)


def restore(s: SearchState, source: SearchState) -> None:
    """Make `s` the same as `source`."""
    for mine, its in zip(s, source, strict=True):
        mine[...] = its


@inner
def copy_plan(s: SearchState, source: SearchState) -> None:
    """Make `s` the same as `source`, in compiled code: loops compile faster than whole arrays."""
    for r in range(s.length.size):
        s.length[r] = source.length[r]
        for k in range(source.length[r]):
            s.seq[r, k] = source.seq[r, k]
        for g in range(s.load_kg.shape[1]):
            s.load_kg[r, g] = source.load_kg[r, g]
        s.drive_cost[r] = source.drive_cost[r]
        s.drive_h[r] = source.drive_h[r]
        s.stop_h[r] = source.stop_h[r]
    for i in range(s.at.shape[0]):
        copy_customer(s, source, i)
    copy_sums(s, source)


@inner
def copy_customer(s: SearchState, source: SearchState, i: int) -> None:
    """Give one customer of `s` the visits it has in `source`; the routes stay as they are."""
    for t in range(s.at.shape[1]):
        s.at[i, t] = source.at[i, t]
        s.steps[i, t] = source.steps[i, t]
    s.level_cost[i] = source.level_cost[i]


@inner
def copy_sums(s: SearchState, source: SearchState) -> None:
    """Copy the hours of the tankers and what the depots gave."""
    for v in range(s.day_h.shape[0]):
        for t in range(s.day_h.shape[1]):
            s.day_h[v, t] = source.day_h[v, t]
    for d in range(s.taken_kg.shape[0]):
        for g in range(s.taken_kg.shape[1]):
            for t in range(s.taken_kg.shape[2]):
                s.taken_kg[d, g, t] = source.taken_kg[d, g, t]


@inner
def overload_kg(p: Problem, s: SearchState, r: int) -> float:
    """Return what does not fit into the chambers of a route's tanker, the best way of filling them. [kg]"""
    slot = r % p.slot_type.size
    best = 1e18
    for way in range(p.chambers_kg.shape[1]):
        over = 0.0
        for g in range(p.chambers_kg.shape[2]):
            over += max(0.0, s.load_kg[r, g] - p.chambers_kg[slot, way, g])
        best = min(best, over)
    return best


@inner
def level_cost_of(p: Problem, s: SearchState, i: int) -> float:
    """Return the cost of one customer's levels, stops and amounts over all days."""
    days = p.use.shape[1]
    level = p.start[i]
    cost = 0.0
    for t in range(days):
        if s.at[i, t] >= 0:
            level += s.steps[i, t]
            cost += p.give_cost[i, t] * s.steps[i, t] + p.stop_cost[i, s.at[i, t]]
            if level > p.fit[i, t]:
                return 1e15
        elif p.must[i, t]:
            return 1e15
        level -= p.use[i, t]
        if level < 0 or level > p.top[i]:
            return 1e15
        cost += p.level_cost[p.level_at[i] + t * (p.top[i] + 1) + level]
    return cost


@jit
def take_out(p: Problem, s: SearchState, i: int, t: int) -> None:
    """Take one visit out of its route, with all sums."""
    r = s.at[i, t]
    slots = p.slot_type.size
    slot = r % slots
    kind, tanker = p.slot_type[slot], p.slot_tanker[slot]
    depot = p.use.shape[0] + p.slot_depot[slot]
    last = s.length[r] - 1
    pos = 0
    while s.seq[r, pos] != i:
        pos += 1
    before = s.seq[r, pos - 1] if pos > 0 else depot
    after = s.seq[r, pos + 1] if pos < last else depot
    for k in range(pos, last):
        s.seq[r, k] = s.seq[r, k + 1]
    s.length[r] = last
    kg = s.steps[i, t] * p.step_kg[i]
    hours = (p.drive_h[before, i] + p.drive_h[i, after] - p.drive_h[before, after]) * p.slow[t]
    stop = p.stop_h[i, tanker] + kg * p.kg_h[i, tanker]
    s.drive_cost[r] -= (
        p.drive_cost[kind, before, i] + p.drive_cost[kind, i, after] - p.drive_cost[kind, before, after]
    )
    s.drive_h[r] -= hours
    s.stop_h[r] -= stop
    whole = hours + stop
    g = p.grade[i]
    s.load_kg[r, g] -= kg
    if last == 0:
        whole += p.slot_h[slot]
        s.drive_cost[r] = 0.0
        s.drive_h[r] = 0.0
        s.stop_h[r] = 0.0
        for k in range(s.load_kg.shape[1]):
            s.load_kg[r, k] = 0.0
    s.day_h[tanker, t] -= whole
    for later in range(t, p.use.shape[1]):
        s.taken_kg[p.slot_depot[slot], g, later] -= kg
    s.at[i, t] = -1
    s.steps[i, t] = 0


@jit
def put_in(p: Problem, s: SearchState, i: int, t: int, r: int, pos: int, steps: int) -> None:
    """Put one visit into a route before position `pos`, with all sums."""
    slot = r % p.slot_type.size
    kind, tanker = p.slot_type[slot], p.slot_tanker[slot]
    depot = p.use.shape[0] + p.slot_depot[slot]
    length = s.length[r]
    before = s.seq[r, pos - 1] if pos > 0 else depot
    after = s.seq[r, pos] if pos < length else depot
    for k in range(length, pos, -1):
        s.seq[r, k] = s.seq[r, k - 1]
    s.seq[r, pos] = i
    s.length[r] = length + 1
    kg = steps * p.step_kg[i]
    hours = (p.drive_h[before, i] + p.drive_h[i, after] - p.drive_h[before, after]) * p.slow[t]
    stop = p.stop_h[i, tanker] + kg * p.kg_h[i, tanker]
    s.drive_cost[r] += (
        p.drive_cost[kind, before, i] + p.drive_cost[kind, i, after] - p.drive_cost[kind, before, after]
    )
    s.drive_h[r] += hours
    s.stop_h[r] += stop
    whole = hours + stop
    if length == 0:
        whole += p.slot_h[slot]
        s.drive_cost[r] += p.slot_cost[slot]
    g = p.grade[i]
    s.load_kg[r, g] += kg
    s.day_h[tanker, t] += whole
    for later in range(t, p.use.shape[1]):
        s.taken_kg[p.slot_depot[slot], g, later] += kg
    s.at[i, t] = r
    s.steps[i, t] = steps


@jit
def totals(p: Problem, s: SearchState) -> tuple[float, float, float, float]:
    """Return (cost, kg overloaded, hours overrun, kg·days taken from an empty depot)."""
    cost = 0.0
    over = 0.0
    for r in range(s.length.size):
        if s.length[r] > 0:
            cost += s.drive_cost[r]
            over += overload_kg(p, s, r)
    for i in range(s.level_cost.size):
        cost += s.level_cost[i]
    late = 0.0
    for v in range(s.day_h.shape[0]):
        for t in range(s.day_h.shape[1]):
            late += max(0.0, s.day_h[v, t] - p.day_h[v, t])
    dry = 0.0
    for d in range(s.taken_kg.shape[0]):
        for g in range(s.taken_kg.shape[1]):
            for t in range(s.taken_kg.shape[2]):
                dry += max(0.0, s.taken_kg[d, g, t] - p.supply_kg[d, g, t])
    return cost, over, late, dry


@inner
def keep_route(s: SearchState, back: SearchState, touched: Ints, r: int, move: int) -> None:
    """Remember a route before the move touches it."""
    if touched[r] == move:
        return
    touched[r] = move
    back.length[r] = s.length[r]
    for k in range(s.length[r]):
        back.seq[r, k] = s.seq[r, k]
    for g in range(s.load_kg.shape[1]):
        back.load_kg[r, g] = s.load_kg[r, g]
    back.drive_cost[r] = s.drive_cost[r]
    back.drive_h[r] = s.drive_h[r]
    back.stop_h[r] = s.stop_h[r]


@jit
def set_level_costs(p: Problem, s: SearchState) -> None:
    """Sum up the costs of all customers' levels, stops and amounts."""
    for i in range(s.level_cost.size):
        cost = level_cost_of(p, s, i)
        s.level_cost[i] = cost if cost < 1e15 else UNSERVED
