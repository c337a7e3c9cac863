"""The search itself: take some customers out, put each back in its best pattern, keep what is better or
nearly so."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fuelplan.dispatch.run_plan.compiled import inner, jit
from fuelplan.dispatch.run_plan.pattern import Desk, insert_best
from fuelplan.dispatch.run_plan.problem import Floats, Ints, Problem
from fuelplan.dispatch.run_plan.state import (
    UNSERVED,
    SearchState,
    copy_customer,
    copy_plan,
    copy_sums,
    keep_route,
    take_out,
    totals,
)
from fuelplan.dispatch.run_plan.tours import tidy


class Bench(NamedTuple):
    """What a move keeps to undo itself, and lists it works on."""

    back: SearchState  # as it was before the move, where touched
    picked: Ints  # (n,) customers taken out
    marked: Ints  # (n,) number of the move that took it out
    touched: Ints  # (R,) number of the move that touched the route
    order: Floats  # (n,) sort keys


def bench_for(s: SearchState) -> Bench:
    """Return a bench for a state."""
    n = s.at.shape[0]
    return Bench(
        SearchState._make(a.copy() for a in s),
        np.zeros(n, np.int64),
        np.full(n, -1, np.int64),
        np.full(s.length.size, -1, np.int64),
        np.zeros(n),
    )


@jit
def set_seed(seed: int) -> None:
    """Seed the compiled search's own random numbers."""
    np.random.seed(seed)


DEAREST = 1e7
"""How far the price of a broken limit may rise above its first: beyond what breaking it could ever save."""


@inner
def _pick(b: Bench, i: int, count: int, move: int) -> int:
    """Put a customer on the list unless it is there."""
    if b.marked[i] == move:
        return count
    b.marked[i] = move
    b.picked[count] = i
    return count + 1


@inner
def choose(p: Problem, s: SearchState, b: Bench, near: Ints, most: int, move: int) -> int:
    """Choose the customers of a move: neighbours, stops in a row, a whole route, or any; return how many."""
    n = p.use.shape[0]
    wanted = 1 + int(np.random.random() * np.random.random() * most)
    kind = np.random.random()
    seed = np.random.randint(n)
    count: int = _pick(b, seed, 0, move)
    if kind < 0.45:  # neighbours, the nearer the likelier
        reach = near.shape[1]
        tries = 0
        while count < wanted and tries < 4 * wanted:
            at = int(np.random.random() ** 1.5 * min(reach, 2 + 2 * wanted))
            count = _pick(b, near[seed, at], count, move)
            tries += 1
    elif kind < 0.80:  # stops in a row on days of the first one and its neighbours
        reach = min(near.shape[1], 2 + wanted)
        tries = 0
        at = seed
        while count < wanted and tries < 2 * wanted + 2:
            tries += 1
            t = np.random.randint(p.use.shape[1])
            r = s.at[at, t]
            if r >= 0:
                size = 1 + int(np.random.random() * min(wanted, 6))
                pos = 0
                while s.seq[r, pos] != at:
                    pos += 1
                first = max(0, pos - int(np.random.random() * size))
                for k in range(first, min(s.length[r], first + size)):
                    if count < wanted:
                        count = _pick(b, s.seq[r, k], count, move)
            at = near[seed, int(np.random.random() * reach)]
    elif kind < 0.88:  # one whole route
        r = np.random.randint(s.length.size)
        if s.length[r] <= 3 * most:
            for k in range(s.length[r]):
                count = _pick(b, s.seq[r, k], count, move)
    else:
        while count < min(wanted, n):
            count = _pick(b, np.random.randint(n), count, move)
    return count


@inner
def _undo(s: SearchState, b: Bench, count: int, move: int) -> None:
    """Put everything back as it was before the move."""
    for r in range(s.length.size):
        if b.touched[r] == move:
            s.length[r] = b.back.length[r]
            for k in range(s.length[r]):
                s.seq[r, k] = b.back.seq[r, k]
            for g in range(s.load_kg.shape[1]):
                s.load_kg[r, g] = b.back.load_kg[r, g]
            s.drive_cost[r] = b.back.drive_cost[r]
            s.drive_h[r] = b.back.drive_h[r]
            s.stop_h[r] = b.back.stop_h[r]
    for c in range(count):
        copy_customer(s, b.back, b.picked[c])
    copy_sums(s, b.back)


@inner
def _sort(p: Problem, b: Bench, count: int) -> None:
    """Put the list into a drawn order: by chance, by hunger, or the far ones first."""
    kind = np.random.random()
    depot = p.use.shape[0]
    for c in range(count):
        i = b.picked[c]
        if kind < 0.4:
            b.order[c] = np.random.random()
        elif kind < 0.7:
            b.order[c] = 0.0
            for t in range(p.use.shape[1]):
                b.order[c] -= p.use[i, t] * p.step_kg[i]
        elif kind < 0.9:
            b.order[c] = -p.drive_cost[0, depot, i]
        else:
            b.order[c] = p.drive_cost[0, depot, i]
    for c in range(1, count):
        key, i = b.order[c], b.picked[c]
        k = c - 1
        while k >= 0 and b.order[k] > key:
            b.order[k + 1] = b.order[k]
            b.picked[k + 1] = b.picked[k]
            k -= 1
        b.order[k + 1] = key
        b.picked[k + 1] = i


@inner
def recreate(
    p: Problem, s: SearchState, desk: Desk, b: Bench, pen: Floats, blink: float, count: int, move: int
) -> bool:
    """Take the listed customers out and put them back one by one; False if one of them has no pattern."""
    days = p.use.shape[1]
    copy_sums(b.back, s)
    for c in range(count):
        i = b.picked[c]
        copy_customer(b.back, s, i)
        for t in range(days):
            if s.at[i, t] >= 0:
                keep_route(s, b.back, b.touched, s.at[i, t], move)
                take_out(p, s, i, t)
    _sort(p, b, count)
    for c in range(count):
        i = b.picked[c]
        if not insert_best(p, s, desk, i, pen, blink, b.back, b.touched, move):
            if b.back.level_cost[i] != UNSERVED:
                return False
            s.level_cost[i] = UNSERVED  # as before: the others need not wait for that
    return True


@inner
def first_plan(p: Problem, s: SearchState, desk: Desk, b: Bench, pen: Floats) -> None:
    """Serve, one by one, every customer who has no visit yet and is the better for one."""
    count = 0
    for i in range(p.use.shape[0]):
        idle = True
        for t in range(p.use.shape[1]):
            idle &= s.at[i, t] < 0
        if idle:
            b.picked[count] = i
            count += 1
    _sort(p, b, count)
    for c in range(count):
        if not insert_best(p, s, desk, b.picked[c], pen, 0.0, b.back, b.touched, 0):
            s.level_cost[b.picked[c]] = UNSERVED
    for r in range(s.length.size):
        tidy(p, s, r)


@jit
def anneal(
    p: Problem, s: SearchState, best: SearchState, desk: Desk, b: Bench, near: Ints, pen: Floats,
    moves: int, first_move: int, heat: float, slack: float, most: int, blink: float, found: Floats,
) -> None:  # fmt: skip
    """Try `moves` moves from `s` at one temperature; the best plan that can be driven is left in `best`.

    A plan dearer than what would be kept by more than `slack` is dropped before its routes are shortened.
    `pen` holds the prices of a kg too much, an hour too long and a kg taken from an empty depot; they rise
    while plans are broken and fall while they are not. `found` = (cost of `best`, plans accepted, then, since
    the prices changed: moves that ended without overload, on time, within the depots' stock; all moves).
    Before move 1 those who have no visit get theirs.
    """
    if first_move == 0:
        first_plan(p, s, desk, b, pen)
    cost, over, late, dry = totals(p, s)
    value = cost + pen[0] * over + pen[1] * late + pen[2] * dry
    for k in range(moves):
        move = first_move + k
        count = choose(p, s, b, near, most, move)
        good = recreate(p, s, desk, b, pen, blink, count, move)
        accept = False
        if good:
            limit = value - heat * np.log(np.random.random() + 1e-300)
            new_cost, new_over, new_late, new_dry = totals(p, s)
            new_value = new_cost + pen[0] * new_over + pen[1] * new_late + pen[2] * new_dry
            if new_value < limit + slack:  # what is much too dear stays so in any order of its stops
                for r in range(s.length.size):
                    if b.touched[r] == move:
                        tidy(p, s, r)
                new_cost, new_over, new_late, new_dry = totals(p, s)
                new_value = new_cost + pen[0] * new_over + pen[1] * new_late + pen[2] * new_dry
            accept = new_value < limit
        if not accept:
            _undo(s, b, count, move)
        else:
            value, over, late, dry, cost = new_value, new_over, new_late, new_dry, new_cost
            found[1] += 1
            if over < 1e-6 and late < 1e-6 and dry < 1e-6 and cost < found[0] - 1e-7:
                found[0] = cost
                copy_plan(best, s)
        found[2] += over < 1e-6
        found[3] += late < 1e-6
        found[4] += dry < 1e-6
        found[5] += 1
        # Until there is a plan that can be driven, prices rise fast.
        every, up = (200, 1.15) if found[0] < 1e15 else (25, 1.5)
        if found[5] >= every:
            for a in range(3):
                if found[a + 2] < 0.4 * found[5]:
                    pen[a] = min(pen[a] * up, pen[a + 3] * DEAREST)
                elif found[a + 2] > 0.6 * found[5]:
                    pen[a] = max(pen[a] / 1.15, pen[a + 3] / 1000)
                found[a + 2] = 0
            found[5] = 0
            value = cost + pen[0] * over + pen[1] * late + pen[2] * dry
