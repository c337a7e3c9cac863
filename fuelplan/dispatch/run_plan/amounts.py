"""The best amounts for visits that are given: a linear programme, where levels cost in proportion."""

from __future__ import annotations

import numpy as np

from fuelplan.dispatch.run_plan.problem import NEVER, Bools, Floats, Ints, Problem
from fuelplan.dispatch.run_plan.state import SearchState, set_level_costs


def rates(p: Problem) -> Floats | None:
    """Return what a step of level costs at the end of a day, shape (n, T), or None if it is no fixed rate."""
    n, days = p.use.shape
    if p.chambers_kg.shape[1] > 1 or p.chambers_kg.shape[2] > 1 or (p.kg_h > 0).any():
        return None
    if (p.use < 0).any():  # what comes by itself must find room: no bound of a visit says so
        return None
    out = np.zeros((n, days))
    for i in range(n):
        size = int(p.top[i]) + 1
        table = p.level_cost[p.level_at[i] : p.level_at[i] + days * size].reshape(days, size)
        if (table >= NEVER).any():
            return None
        if size < 2:
            continue
        rise = np.diff(table, axis=1)
        if not np.allclose(rise, rise[:, :1], rtol=1e-9, atol=1e-9):
            return None
        out[i] = rise[:, 0]
    return out


class Amounts:
    """The linear programme of one problem, ready for any set of visits."""

    def __init__(self, p: Problem, rate: Floats) -> None:
        """Keep what all programmes share."""
        self.p = p
        self.rate = rate
        self.n, self.days = p.use.shape
        # A step delivered on day t lies in the store at the end of days t … T−1.
        held = rate[:, ::-1].cumsum(axis=1)[:, ::-1]
        self.cost = held + p.give_cost
        self.used = p.use.cumsum(axis=1)

    def solve(self, at: Ints) -> Ints | None:
        """Return the cheapest whole steps for the visits `at` (n, T; route or −1), or None if there are none.

        The unknowns are what a customer has been given up to and with each visit, so that running dry and
        overfilling
        are plain bounds; rows keep every drop large enough, every tanker and every depot within what it
        holds.
        """
        p, days = self.p, self.days
        who, when = np.nonzero(at >= 0)
        count = who.size
        first = np.ones(count, bool)
        first[1:] = who[1:] != who[:-1]
        last = np.roll(first, -1)
        used_before = np.where(when > 0, self.used[who, when - 1], 0)
        until = np.where(last, days, np.roll(when, -1))
        served = np.zeros(self.n, bool)
        served[who] = True
        dry_first = p.start[who] < used_before
        if count == 0 or dry_first[first].any() or (p.start < self.used[:, -1])[~served].any():
            return None
        low = (self.used[who, until - 1] - p.start[who]).astype(float)
        high = (p.fit[who, when] - p.start[who] + used_before).astype(float)
        low[first] = np.maximum(low[first], p.least[who][first])
        low = np.maximum(low, 0)
        if (low > high).any():
            return None
        price = self.cost[who, when]
        objective = price - np.where(last, 0.0, np.roll(price, -1))
        rows = self._rows(who, when, at, first)
        given = _linear(objective, low, high, *rows)
        if given is None:
            return None
        steps = np.zeros((self.n, days), np.int64)
        steps[who, when] = np.rint(given - np.where(first, 0.0, np.roll(given, 1)))
        return steps

    def _rows(
        self, who: Ints, when: Ints, at: Ints, first: Bools
    ) -> tuple[Ints, Ints, Floats, Floats, Floats]:
        """Return (row, column, value) of the entries and the lower and upper bounds of the rows."""
        p, slots = self.p, self.p.slot_type.size
        later = np.flatnonzero(~first)
        entries = [
            (np.arange(later.size), later, np.ones(later.size)),
            (np.arange(later.size), later - 1, -np.ones(later.size)),
        ]
        lower, upper = [p.least[who[later]].astype(float)], [np.full(later.size, np.inf)]
        route = at[who, when]
        driven, number = np.unique(route, return_inverse=True)
        kg, base = p.step_kg[who], later.size
        entries.append((base + number, np.arange(who.size), kg))
        entries.append((base + number[later], later - 1, -kg[later]))
        lower.append(np.full(driven.size, -np.inf))
        upper.append(p.chambers_kg[driven % slots, 0, 0])
        base += driven.size
        depot = p.slot_depot[route % slots]
        for d in range(p.supply_kg.shape[0]):
            for t in np.flatnonzero(p.supply_kg[d, 0] < NEVER / 10):
                past = np.flatnonzero((when <= t) & (depot == d))
                if past.size:
                    ends = (
                        past
                        if d > 0 or p.supply_kg.shape[0] > 1
                        else past[np.append(np.diff(who[past]) > 0, True)]
                    )
                    entries.append((np.full(ends.size, base), ends, kg[ends]))
                    if p.supply_kg.shape[0] > 1:
                        back = past[~first[past]]
                        entries.append((np.full(back.size, base), back - 1, -kg[back]))
                    lower.append(np.array([-np.inf]))
                    upper.append(p.supply_kg[d, 0, [t]])
                    base += 1
        row, column, value = (np.concatenate([e[k] for e in entries]) for k in range(3))
        return row, column, value, np.concatenate(lower), np.concatenate(upper)


def _linear(
    cost: Floats,
    low: Floats,
    high: Floats,
    row: Ints,
    column: Ints,
    value: Floats,
    lower: Floats,
    upper: Floats,
) -> Floats | None:
    """Minimise `cost · x` between the bounds of x and of the rows; None if there is no such x."""
    import highspy
    from scipy.sparse import csr_matrix

    matrix = csr_matrix((value, (row, column)), shape=(lower.size, cost.size))
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = cost.size, lower.size
    model.col_cost_, model.col_lower_, model.col_upper_ = cost, low, high
    model.row_lower_, model.row_upper_ = lower, upper
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = matrix.indptr
    model.a_matrix_.index_ = matrix.indices
    model.a_matrix_.value_ = matrix.data
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("log_to_console", False)
    solver.setOptionValue("threads", 1)
    solver.passModel(model)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return np.array(solver.getSolution().col_value)


def set_amounts(p: Problem, s: SearchState, steps: Ints) -> None:
    """Give the visits of a state other amounts, with all sums."""
    slots = p.slot_type.size
    s.load_kg[:] = 0
    s.taken_kg[:] = 0
    for i, t in zip(*np.nonzero(s.at >= 0), strict=True):
        r, g = s.at[i, t], p.grade[i]
        tanker = p.slot_tanker[r % slots]
        change = (steps[i, t] - s.steps[i, t]) * p.step_kg[i] * p.kg_h[i, tanker]
        s.stop_h[r] += change
        s.day_h[tanker, t] += change
        s.steps[i, t] = steps[i, t]
        kg = steps[i, t] * p.step_kg[i]
        s.load_kg[r, g] += kg
        s.taken_kg[p.slot_depot[r % slots], g, t:] += kg
    set_level_costs(p, s)
