"""One customer's best visits over the whole horizon, exactly: a dynamic programme over day, level and
route."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fuelplan.dispatch.run_plan.compiled import inner
from fuelplan.dispatch.run_plan.problem import Floats, Ints, Problem
from fuelplan.dispatch.run_plan.state import SearchState, keep_route, overload_kg, put_in


class Desk(NamedTuple):
    """Working arrays of the dynamic programme: costs, choices and the candidates of one day."""

    cost: Floats  # (2, L)
    chosen: Ints  # (T, L) candidate, −1 for no visit
    origin: Ints  # (T, L) level before the delivery
    queue: Ints  # (L or C,)
    cand_cost: Floats  # (T, C)
    cand_room: Floats  # (T, C) [steps]
    cand_over: Floats  # (T, C) cost of each step beyond the room
    cand_route: Ints  # (T, C)
    cand_pos: Ints  # (T, C)
    cand_count: Ints  # (T,)
    skip: Ints  # (1,) places to look at before one is overlooked


def desk_for(p: Problem) -> Desk:
    """Return working arrays large enough for every customer."""
    days, levels = p.use.shape[1], int(p.top.max()) + 2 if p.top.size else 2
    most = p.slot_type.size * p.chambers_kg.shape[1]
    return Desk(
        np.empty((2, levels)),
        np.empty((days, levels), np.int64),
        np.empty((days, levels), np.int64),
        np.empty(max(levels, most), np.int64),
        np.empty((days, most)),
        np.empty((days, most)),
        np.empty((days, most)),
        np.empty((days, most), np.int64),
        np.empty((days, most), np.int64),
        np.zeros(days, np.int64),
        np.zeros(1, np.int64),
    )


@inner
def _next_blink(blink: float) -> int:
    """Return how many places to look at before one is overlooked, drawn at once instead of place by place."""
    if blink <= 0.0:
        return 1 << 60
    return int(np.log(np.random.random() + 1e-300) / np.log(1.0 - blink))


@inner
def _cheapest_place(
    p: Problem, s: SearchState, desk: Desk, i: int, r: int, blink: float
) -> tuple[float, float, int]:
    """Return (cost, hours, position) of the cheapest place in a route; now and then a place is overlooked."""
    slot = r % p.slot_type.size
    kind = p.slot_type[slot]
    depot = p.use.shape[0] + p.slot_depot[slot]
    length = s.length[r]
    drive = p.drive_cost[kind]
    best, where = 1e18, -1
    before = depot
    skip = desk.skip[0]
    for pos in range(length + 1):
        after = s.seq[r, pos] if pos < length else depot
        if skip > 0:
            skip -= 1
            extra = drive[before, i] + drive[i, after] - drive[before, after]
            if extra < best:
                best, where = extra, pos
        else:
            skip = _next_blink(blink)
        before = after
    desk.skip[0] = skip
    if where < 0:
        return 1e18, 0.0, -1
    before = s.seq[r, where - 1] if where > 0 else depot
    after = s.seq[r, where] if where < length else depot
    hours = (p.drive_h[before, i] + p.drive_h[i, after] - p.drive_h[before, after]) * p.slow[
        r // p.slot_type.size
    ]
    if length == 0:
        best += p.slot_cost[slot]
        hours += p.slot_h[slot]
    return best, hours, where


@inner
def _supply_room(p: Problem, s: SearchState, depot: int, g: int, t: int, step: float) -> tuple[float, int]:
    """Return what the depot can still load on a day without running dry later [kg], and on how many
    evenings the
    next step would be missing.
    """
    room, times = 1e18, 1
    for later in range(t, p.use.shape[1]):
        left = max(0.0, p.supply_kg[depot, g, later] - s.taken_kg[depot, g, later])
        if left < room - step:
            room, times = left, 1
        elif left < room + step:
            room, times = min(room, left), times + 1
    return room, times


@inner
def _alike(p: Problem, i: int, r: int, other: int) -> bool:
    """Return whether two trips of a day are the same to a customer while they are empty."""
    a, b = r % p.slot_type.size, other % p.slot_type.size
    return bool(
        p.slot_tanker[a] == p.slot_tanker[b]
        and p.slot_type[a] == p.slot_type[b]
        and p.slot_depot[a] == p.slot_depot[b]
        and p.slot_cost[a] == p.slot_cost[b]
        and p.slot_h[a] == p.slot_h[b]
        and p.stop_cost[i, r] == p.stop_cost[i, other]
    )


@inner
def _way_of_chambers(p: Problem, s: SearchState, r: int, way: int, g: int, now: float) -> tuple[float, float]:
    """Return, for one way to fill a trip's chambers, what it overloads beyond `now`, and its room for class
    `g`. [kg]
    """
    slot = r % p.slot_type.size
    over = 0.0
    for k in range(p.chambers_kg.shape[2]):
        if k != g:
            over += max(0.0, s.load_kg[r, k] - p.chambers_kg[slot, way, k])
    room = p.chambers_kg[slot, way, g] - s.load_kg[r, g]
    return max(0.0, over + max(0.0, -room) - now), room


@inner
def _keep(
    desk: Desk, t: int, count: int, r: int, pos: int, asked: float, room: float, over_cost: float
) -> int:
    """Write a candidate down unless one that is there is as cheap with as much room; return how many there
    are. Those that it beats are dropped.
    """
    k = 0
    while k < count:
        if (
            desk.cand_cost[t, k] <= asked
            and desk.cand_room[t, k] >= room
            and desk.cand_over[t, k] <= over_cost
        ):
            return count
        if (
            desk.cand_cost[t, k] >= asked
            and desk.cand_room[t, k] <= room
            and desk.cand_over[t, k] >= over_cost
        ):
            count -= 1
            _copy_candidate(desk, t, count, k)
        else:
            k += 1
    desk.cand_cost[t, count] = asked
    desk.cand_room[t, count] = room
    desk.cand_over[t, count] = over_cost
    desk.cand_route[t, count] = r
    desk.cand_pos[t, count] = pos
    return count + 1


@inner
def _copy_candidate(desk: Desk, t: int, source: int, to: int) -> None:
    """Put one candidate of a day in the place of another."""
    desk.cand_cost[t, to] = desk.cand_cost[t, source]
    desk.cand_room[t, to] = desk.cand_room[t, source]
    desk.cand_over[t, to] = desk.cand_over[t, source]
    desk.cand_route[t, to] = desk.cand_route[t, source]
    desk.cand_pos[t, to] = desk.cand_pos[t, source]


@inner
def _ask_of_route(
    p: Problem, s: SearchState, desk: Desk, i: int, t: int, r: int, count: int, pen: Floats, blink: float
) -> int:  # fmt: skip
    """Write down what one route would ask, for each way to fill its chambers; return how many candidates
    the day has.
    """
    slot, step = r % p.slot_type.size, p.step_kg[i]
    tanker, g = p.slot_tanker[slot], p.grade[i]
    cost, hours, pos = _cheapest_place(p, s, desk, i, r, blink)
    if pos < 0:
        return count
    cost += p.stop_cost[i, r]
    free_h = p.day_h[tanker, t] - s.day_h[tanker, t] - hours - p.stop_h[i, tanker]
    late = max(0.0, -free_h) - max(0.0, s.day_h[tanker, t] - p.day_h[tanker, t])
    cost += pen[1] * max(0.0, late)
    room_h, over_h = 1e18, 0.0
    if p.kg_h[i, tanker] > 0:
        room_h = max(0.0, free_h) / p.kg_h[i, tanker]
        over_h = pen[1] * p.kg_h[i, tanker] * step
    room_s, times = _supply_room(p, s, p.slot_depot[slot], g, t, step)
    over_s = pen[2] * times * step if room_s < p.top[i] * step else 0.0
    now = overload_kg(p, s, r)
    for way in range(p.chambers_kg.shape[1]):
        more, room = _way_of_chambers(p, s, r, way, g, now)
        # Whichever way the chambers are filled: what they cannot take the depot may not have.
        count = _keep(
            desk, t, count, r, pos, cost + pen[0] * more,
            max(0.0, min(room, min(room_h, room_s))) / step,
            max(pen[0] * step, over_s, over_h),
        )  # fmt: skip
    return count


@inner
def candidates(p: Problem, s: SearchState, desk: Desk, i: int, pen: Floats, blink: float) -> None:
    """Write down, day by day, the routes that could serve a customer and what they would ask for it."""
    slots, longest = p.slot_type.size, s.seq.shape[1]
    desk.skip[0] = _next_blink(blink)
    for t in range(p.use.shape[1]):
        count = 0
        tried_empty = -1
        for slot in range(slots):
            r = t * slots + slot
            if not p.may[i, r] or s.length[r] >= longest:
                continue
            if s.length[r] == 0:
                # One empty trip of a tanker stands for all the others like it.
                if tried_empty >= 0 and _alike(p, i, tried_empty, r):
                    continue
                tried_empty = r
            count = _ask_of_route(p, s, desk, i, t, r, count, pen, blink)
        desk.cand_count[t] = _worthwhile(desk, t, count, min(p.top[i], p.fit[i, t]))


@inner
def _worthwhile(desk: Desk, t: int, count: int, most: int) -> int:
    """Drop the candidates of a day that another one beats even where it has to be overloaded; return how
    many stay.

    For a drop of d steps a candidate asks `cost + over · max(0, d − room)`, and no drop is above `most`.
    """
    kept = 0
    for k in range(count):
        cost, room, over = desk.cand_cost[t, k], desk.cand_room[t, k], desk.cand_over[t, k]
        beaten = False
        for j in range(count):
            if j == k:
                continue
            other = desk.cand_cost[t, j] + desk.cand_over[t, j] * max(
                0.0, min(room, most) - desk.cand_room[t, j]
            )
            if other < cost and desk.cand_over[t, j] <= over:
                beaten = True
                break
        desk.queue[k] = beaten
    for k in range(count):
        if desk.queue[k] == 0:
            _copy_candidate(desk, t, k, kept)
            kept += 1
    return kept


@inner
def _visit(
    before: Floats, after: Floats, chosen: Ints, origin: Ints, queue: Ints,
    low: int, high: int, floor: int, ceiling: int, least: int,
    k: int, asked: float, whole_room: float, over: float, per_step: float,
) -> None:  # fmt: skip
    """Improve `after` by a visit of candidate `k`: levels low…high before, `floor` to `ceiling` after.

    Within the room the drop costs `per_step` a step: a sliding minimum over the levels it may have come from.
    Beyond it each step costs `over` more: a running minimum.
    """
    room = int(min(whole_room + 1e-9, 1e9))  # whole steps
    first = max(low + least, floor)
    entering = low
    if ceiling - low <= room:  # the tanker's room is no matter
        near, near_level = 1e18, -1
        for y in range(first, ceiling + 1):
            while entering <= high and entering <= y - least:
                value = before[entering] - per_step * entering
                if value < near:
                    near, near_level = value, entering
                entering += 1
            value = near + per_step * y + asked
            if value < after[y]:
                after[y], chosen[y], origin[y] = value, k, near_level
        return
    head, tail = 0, 0
    leaving = low
    far, far_level = 1e18, -1
    slope = per_step + over
    for y in range(first, ceiling + 1):
        while entering <= high and entering <= y - least:
            value = before[entering] - per_step * entering
            while tail > head and before[queue[tail - 1]] - per_step * queue[tail - 1] >= value:
                tail -= 1
            queue[tail] = entering
            tail += 1
            entering += 1
        while leaving <= high and leaving <= y - max(least, room + 1):
            value = before[leaving] - slope * leaving
            if value < far:
                far, far_level = value, leaving
            leaving += 1
        while head < tail and queue[head] < y - room:
            head += 1
        if head < tail:
            x = queue[head]
            value = before[x] + per_step * (y - x) + asked
            if value < after[y]:
                after[y], chosen[y], origin[y] = value, k, x
        if far_level >= 0:
            value = far + slope * y - over * whole_room + asked
            if value < after[y]:
                after[y], chosen[y], origin[y] = value, k, far_level


@inner
def plan_one(p: Problem, s: SearchState, desk: Desk, i: int) -> float:
    """Fill the tables for one customer from the candidates; return the cost of its best pattern."""
    days, top = p.use.shape[1], p.top[i]
    now, new = desk.cost[0], desk.cost[1]
    low = high = p.start[i]
    now[low] = 0.0
    for t in range(days):
        ceiling = min(top, p.fit[i, t])
        use = p.use[i, t]
        floor = max(low, use)  # less would run dry by the evening
        for y in range(floor, top + 1):
            new[y] = 1e15 if y > high or p.must[i, t] else now[y]
            desk.chosen[t, y] = -1
            desk.origin[t, y] = y
        for k in range(desk.cand_count[t]):
            _visit(
                now, new, desk.chosen[t], desk.origin[t], desk.queue, low, high, floor, ceiling,
                p.least[i], k,
                desk.cand_cost[t, k], desk.cand_room[t, k], desk.cand_over[t, k],
                p.give_cost[i, t],
            )  # fmt: skip
        reached = max(high, ceiling) if desk.cand_count[t] > 0 else high
        reached = min(reached, top + use)  # where something else comes that day, it must find room
        table = p.level_at[i] + t * (top + 1)
        first = max(low - use, 0)
        for x in range(first, reached - use + 1):
            now[x] = new[x + use] + p.level_cost[table + x]
        low, high = first, reached - use
        if high < low:
            return 1e15
    best = 1e15
    for x in range(low, high + 1):
        best = min(best, now[x])
    desk.cost[1, 0] = best
    if best < 1e15:
        for x in range(low, high + 1):
            if now[x] == best:
                desk.queue[0] = x
                break
    return best


@inner
def insert_best(
    p: Problem, s: SearchState, desk: Desk, i: int, pen: Floats, blink: float,
    back: SearchState, touched: Ints, move: int,
) -> bool:  # fmt: skip
    """Give a customer without visits its best pattern against the routes as they stand.

    A route is copied to `back` before it changes, once for each `move`.
    """
    candidates(p, s, desk, i, pen, blink)
    best = plan_one(p, s, desk, i)
    if best >= 1e15:
        return False
    level = desk.queue[0]
    cost = 0.0
    for t in range(p.use.shape[1] - 1, -1, -1):
        cost += p.level_cost[p.level_at[i] + t * (p.top[i] + 1) + level]
        level += p.use[i, t]
        k = desk.chosen[t, level]
        if k >= 0:
            source = desk.origin[t, level]
            steps = level - source
            r = desk.cand_route[t, k]
            keep_route(s, back, touched, r, move)
            put_in(p, s, i, t, r, desk.cand_pos[t, k], steps)
            cost += p.give_cost[i, t] * steps + p.stop_cost[i, r]
            level = source
    s.level_cost[i] = cost
    return True
