"""A day's trips of the best plan, one fewer for a while: the way to plans with trips on other days.

Where tankers go out full, no move of a few customers leads from a plan to one that drives on other days:
every plan between the two is overloaded. With a trip closed, the search finds the other plan from scratch.
"""

from __future__ import annotations

import numpy as np

from fuelplan.dispatch.run_plan.problem import Ints, Problem
from fuelplan.dispatch.run_plan.state import UNSERVED, SearchState, take_out


class Closing:
    """Chooses what to close, one day after the other in a drawn order until each had its turn."""

    def __init__(self, p: Problem, seed: int) -> None:
        """Remember the problem with all its trips."""
        self.p = p
        self.rng = np.random.default_rng(seed)
        self.queue: list[int] = []

    def close(self, s: SearchState) -> Problem | None:
        """Take a trip's customers out of the plan `s`, with all their visits, and return the problem without
        that trip and without the empty ones of its day.

        A trip with a stop that its day must have stays open. None if there is no other.
        """
        trips = self._trips(s)
        days = {self._day(r) for r in trips}
        if not days.intersection(self.queue):
            self.queue = [int(day) for day in self.rng.permutation(sorted(days))]
        while self.queue:
            day = self.queue.pop()
            if day in days:
                chosen = int(self.rng.choice([r for r in trips if self._day(r) == day]))
                return self._without(s, chosen)
        return None

    def _day(self, trip: int) -> int:
        return trip // self.p.slot_type.size

    def _trips(self, s: SearchState) -> list[int]:
        """Return the trips that are driven and may be closed."""
        driven = np.flatnonzero(s.length > 0).tolist()
        return [r for r in driven if not self.p.must[_customers(s, r), self._day(r)].any()]

    def _without(self, s: SearchState, trip: int) -> Problem:
        slots = self.p.slot_type.size
        trips = np.arange(self._day(trip) * slots, (self._day(trip) + 1) * slots)
        shut = trips[(trips == trip) | (s.length[trips] == 0)]
        may = self.p.may.copy()
        may[:, shut] = False
        for i in _customers(s, trip):
            for t in np.flatnonzero(s.at[i] >= 0):
                take_out(self.p, s, int(i), int(t))
            s.level_cost[i] = UNSERVED
        return self.p._replace(may=may)


def _customers(s: SearchState, trip: int) -> Ints:
    """Return a copy of the stops of a trip."""
    return s.seq[trip, : s.length[trip]].copy()
