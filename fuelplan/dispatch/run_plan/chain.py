"""One chain of the search: annealed from a first plan, then heated again and again from the best one
found."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fuelplan.dispatch.run_plan.amounts import Amounts, rates, set_amounts
from fuelplan.dispatch.run_plan.closing import Closing
from fuelplan.dispatch.run_plan.moves import anneal, bench_for, set_seed
from fuelplan.dispatch.run_plan.pattern import desk_for
from fuelplan.dispatch.run_plan.problem import Ints, Problem, Solution, Visit
from fuelplan.dispatch.run_plan.state import (
    UNSERVED,
    SearchState,
    copy_state,
    empty_state,
    put_in,
    restore,
    set_level_costs,
    totals,
)

Progress = Callable[[float, float], bool]
"""Called with (share of the budget that is spent, cost of the best plan or inf); False stops the search."""

SOUND = 1e-6
LONGEST = 400
FEW = 12
BLINK_OF_FEW = 0.5
MANY, HOTTEST = 50, 10.0
BATCHES, LEAST_BATCH = 60, 25
"""A short search still looks at its temperature so many times, after so many moves at the least."""


@dataclass(frozen=True)
class Budget:
    """How long to search: by moves (the same every time) or by seconds. Whichever ends first."""

    moves: int | None = 20_000
    seconds: float | None = None


@dataclass(frozen=True)
class Habits:
    """Settings of the search.

    Attributes
    ----------
    hot, cold
        First and last temperature, as shares of what the driving to one stop costs on average; for many
        customers more, see `warmth`.
    cycles, first, again
        How often it is annealed at the least; the share of the budget of the first time; how hot the later
        ones begin, as a share of `hot`.
    most_cycles, patience, closed
        How often at the most after the first time; the moves for each customer that a cycle is worth having
        for; how hot one begins with a trip closed, as a share of `hot`.
    slack
        How much dearer than acceptable a move may be, as a share of the driving to one stop, to be worth
        shortening its routes.
    most
        Customers taken out in one move, at the most.
    blink
        Chance of overlooking a place in a route; with few customers, whose plans are soon all alike, much
        more in every third of many cycles.
    near
        Neighbours of each customer that moves know of.
    batch
        Moves between two looks at the clock.
    """

    hot: float = 1.0
    cold: float = 0.004
    cycles: int = 4
    first: float = 0.35
    again: float = 0.3
    most_cycles: int = 40
    patience: float = 700.0
    closed: float = 0.6
    slack: float = 0.3
    most: int = 10
    blink: float = 0.02
    near: int = 40
    batch: int = 500


DEFAULT_HABITS = Habits()


class Chain:
    """A search under way: `s` is the plan in hand, `best` the best one that can be driven."""

    def __init__(
        self, problem: Problem, seed: int, habits: Habits = DEFAULT_HABITS, start: Solution | None = None
    ) -> None:
        """Make the first plan, from `start` as far as it still fits."""
        self.p, self.habits = problem.checked(), habits
        self.s = empty_state(self.p, min(problem.customers, LONGEST) + 1)
        self.desk, self.bench = desk_for(self.p), bench_for(self.s)
        self.blink = habits.blink
        self.near = neighbours(self.p, habits.near)
        self.pen = _penalties(self.p)
        set_seed(seed)
        self.warm = start is not None
        if start is not None:
            _take_over(self.p, self.s, start)
        self.stop_cost = 0.0
        self.best, self.found, self.moves = copy_state(self.s), np.array([np.inf, 0, 0, 0, 0, 0]), 0
        self._serve_the_idle()
        self._note_if_better(self.s)
        visits = max(1, int((self.s.at >= 0).sum()))
        self.stop_cost = float(self.s.drive_cost.sum()) / visits or 1.0
        self.scale = self.stop_cost * warmth(problem.customers, self.warm)
        self.moves, self.cycle, self.cycles = 1, 0, 0
        self.closing = Closing(self.p, seed)
        rate = rates(self.p)
        self.amounts = Amounts(self.p, rate) if rate is not None else None
        self.refined = np.inf  # cost of the best plan when its amounts were looked at

    def run(self, budget: Budget, progress: Progress | None = None) -> None:
        """Search until the budget is spent or `progress` answers False."""
        h, first, started, done = self.habits, self.moves, time.monotonic(), 0.0
        while done < 1:
            count = h.batch
            if budget.moves is not None:
                batch = max(LEAST_BATCH, budget.moves // BATCHES)
                count = min(count, batch, budget.moves - (self.moves - first))
            if count > 0:
                self._anneal(count, self._heat(done))
            self.moves += count
            self._better_amounts()
            spent = [(self.moves - first) / budget.moves] if budget.moves else []
            if budget.moves == 0 or count <= 0:
                spent.append(1.0)
            if budget.seconds is not None:
                spent.append((time.monotonic() - started) / budget.seconds if budget.seconds > 0 else 1.0)
            done = max(spent)
            if progress is not None and not progress(min(done, 1.0), float(self.found[0])):
                break

    def _anneal(self, moves: int, heat: float) -> None:
        h = self.habits
        anneal(
            self.p, self.s, self.best, self.desk, self.bench, self.near, self.pen, moves, self.moves, heat,
            h.slack * self.stop_cost, h.most, self.blink, self.found,
        )  # fmt: skip

    def solution(self) -> Solution:
        """Return the best plan found; one that cannot be driven only if there was no other."""
        s = self.best if np.isfinite(self.found[0]) else self.s
        cost, *broken = totals(self.p, s)
        broken.append(float((s.level_cost == UNSERVED).sum()))
        slots = self.p.slot_type.size
        routes = []
        for r in range(s.length.size):
            who = [int(i) for i in s.seq[r, : s.length[r]]]
            routes.append(tuple(Visit(i, float(s.steps[i, r // slots] * self.p.step_kg[i])) for i in who))
        return Solution(tuple(routes), cost, float(sum(broken)), self.moves)

    def _heat(self, done: float) -> float:
        """Return the temperature, and begin a new cycle where one is due."""
        h = self.habits
        first = 0.0 if self.warm else 1.0 if h.cycles <= 1 else h.first
        if done < first:
            return float(self.scale * h.hot * (h.cold / h.hot) ** (done / first))
        if self.cycles == 0:
            self.cycles = self._later_cycles(done, 1 - first)
        through = (done - first) / (1 - first) * self.cycles
        number = min(int(through), self.cycles - 1)
        if number + 1 != self.cycle:
            self.cycle = number + 1
            self._begin(number)
        hot = h.hot * (h.again if self.p is self.closing.p else h.closed)
        return float(self.scale * hot * (h.cold / hot) ** (through - number))

    def _later_cycles(self, done: float, share: float) -> int:
        """Return how many cycles find time after the first one, which took `done` of the budget."""
        h = self.habits
        fewest = max(1, h.cycles - 1)
        if done <= 0:  # there was no first one: the search began with a plan
            return fewest
        moves = self.moves / done * share
        return int(max(fewest, min(h.most_cycles, moves / (h.patience * self.p.use.shape[0]))))

    def _begin(self, number: int) -> None:
        """Go back to the best plan; where there is time for more than the usual cycles, two of three begin
        with a trip closed.
        """
        self.p = self.closing.p
        if not np.isfinite(self.found[0]):
            return
        restore(self.s, self.best)
        if self.cycles < self.habits.cycles:
            return
        self.blink = self.habits.blink
        if number % 3 < 2:
            self.p = self.closing.close(self.s) or self.p
            if self.p is not self.closing.p:
                self._serve_the_idle()
        elif self.p.use.shape[0] <= FEW:
            self.blink = max(self.blink, BLINK_OF_FEW)

    def _serve_the_idle(self) -> None:
        """Give customers without a visit their best pattern, as before the first move."""
        moves, self.moves = self.moves, 0
        self._anneal(0, 0.0)
        self.moves = moves

    def _better_amounts(self) -> None:
        """Give the visits of the plan in hand, and of the best one if it is new, their best amounts."""
        if self.amounts is None:
            return
        if self.found[0] < self.refined:
            self._with_amounts(self.best)
            self.refined = float(self.found[0])
        trial = self._with_amounts(self.s)
        if trial is not None:
            restore(self.s, trial)

    def _with_amounts(self, s: SearchState) -> SearchState | None:
        """Return a plan with the best amounts for its visits, or None if none can be driven."""
        steps = self.amounts.solve(s.at) if self.amounts is not None else None
        if steps is None:
            return None
        trial = copy_state(s)
        set_amounts(self.p, trial, steps)
        if sum(totals(self.p, trial)[1:]) >= SOUND:
            return None
        self._note_if_better(trial)
        return trial

    def _note_if_better(self, s: SearchState) -> None:
        cost, *broken = totals(self.p, s)
        if sum(broken) < SOUND and cost < self.found[0] - 1e-7:
            self.found[0] = cost
            restore(self.best, s)


def warmth(customers: int, warm: bool) -> float:
    """Return by what the temperatures of a search are multiplied.

    With few customers few ways lead on from any plan, which takes more heat to get across. With many, a stop
    costs little driving while emptying a whole route still costs a whole way out and back. A warm start keeps
    to the plan it was given.
    """
    if customers <= FEW:
        return 2.0
    return 1.0 if warm else min(max(1.0, (customers / MANY) ** 1.5), HOTTEST)


def search(
    problem: Problem,
    budget: Budget,
    *,
    seed: int,
    start: Solution | None = None,
    habits: Habits = DEFAULT_HABITS,
    progress: Progress | None = None,
) -> Solution:
    """Return the best plan that one chain finds.

    The same problem, seed, start and budget in moves give the same plan. `start` is a plan to begin with, its
    visits taken over as far as they may still be made.
    """
    if problem.customers == 0 or problem.slots == 0:
        return Solution(tuple(() for _ in range(problem.days * problem.slots)), 0.0, 0.0, 0)
    chain = Chain(problem, seed, habits, start)
    chain.run(budget, progress)
    return chain.solution()


def neighbours(p: Problem, most: int) -> Ints:
    """Return each customer's nearest ones by the way there and back, shape (n, up to `most`)."""
    n = p.use.shape[0]
    if n == 1:
        return np.zeros((1, 1), np.int64)
    count = min(most, n - 1)
    out = np.empty((n, count), np.int64)
    drive = p.drive_cost[0]
    for i in range(n):
        way = drive[i, :n] + drive[:n, i]
        way[i] = np.inf
        part = np.argpartition(way, count - 1)[:count]
        out[i] = part[np.argsort(way[part], kind="stable")]
    return out


def _penalties(p: Problem) -> np.ndarray:
    """Return the prices of a kg too much, an hour too long, a kg from an empty depot; twice: now, and at
    first.
    """
    n = p.use.shape[0]
    way = p.drive_cost[0][n, :n]
    far = float(np.median(way[way < 1e12])) if (way < 1e12).any() else 1.0
    kg = float(np.median(p.top * p.step_kg)) or 1.0
    pen = np.array([far / kg, far, far / kg])
    pen[pen <= 0] = 1.0
    return np.concatenate([pen, pen])


def _take_over(p: Problem, s: SearchState, start: Solution) -> None:
    """Put the visits of an earlier plan into an empty one, customer by customer where all of them may be."""
    days, slots = p.use.shape[1], p.slot_type.size
    wanted: dict[int, dict[int, tuple[int, int, int]]] = {}
    for r, route in enumerate(start.routes):
        for pos, visit in enumerate(route):
            steps = max(int(p.least[visit.customer]), round(visit.kg / p.step_kg[visit.customer]))
            wanted.setdefault(visit.customer, {})[r // slots] = (r, pos, steps)
    rows: list[tuple[int, int, int, int]] = []
    for i, visits in wanted.items():
        level, fits = int(p.start[i]), True
        for t in range(days):
            if t in visits:
                level += visits[t][2]
                fits &= bool(p.may[i, visits[t][0]]) and level <= p.fit[i, t]
            elif p.must[i, t]:
                fits = False
            level -= int(p.use[i, t])
            fits &= 0 <= level <= p.top[i]
            if not fits:
                break
            fits &= bool(p.level_cost[p.level_at[i] + t * (p.top[i] + 1) + level] < 1e14)
        if fits:
            rows += [(r, pos, i, steps) for r, pos, steps in visits.values()]
    for r, _, i, steps in sorted(rows):
        put_in(p, s, i, r // slots, r, int(s.length[r]), steps)
    set_level_costs(p, s)
