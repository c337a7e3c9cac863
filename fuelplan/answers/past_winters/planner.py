"""A round's evenings in a winter that is played: what its books tell then, and who plans by it."""

from __future__ import annotations

from datetime import date

import numpy as np

from fuelplan.answers.past_winters.books import as_round
from fuelplan.answers.past_winters.world import RoundWorld
from fuelplan.answers.round.roads import RoundRoads
from fuelplan.answers.which_runs.from_books import desk_of, levels_of, prices_of
from fuelplan.answers.who_is_due.beliefs import Beliefs, believe
from fuelplan.answers.who_is_due.deadlines import deliver_by_levels
from fuelplan.answers.who_is_due.doubts import more_kg
from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.replay import PLAN, Evening, Planner, PlanSettings, PlayedBooks
from fuelplan.dispatch.run_plan import yard_of
from fuelplan.records.round import Round


def planner_of(name: str, world: RoundWorld, roads: RoundRoads, settings: PlanSettings, seed: int) -> Planner:
    """Return who decides under a policy in a winter of a round."""
    yard = yard_of(desk_of(world.base, world.winter.books_from), roads.roads, roads.depot_place)
    look = _Look(world, name == PLAN, settings, seed)
    return Planner(name, world, look, yard, roads.depot_place, prices_of(world.base), settings, seed)


class _Look:
    """What is known of a round on each evening; `watched` where anybody looks at levels."""

    def __init__(self, world: RoundWorld, watched: bool, settings: PlanSettings, seed: int) -> None:
        self.world, self.watched, self.settings, self.seed = world, watched, settings, seed
        self.known: tuple[Beliefs, LevelTable] | None = None

    def __call__(self, books: PlayedBooks, as_of: date) -> Evening:
        """Return what is known on the evening of `as_of`."""
        nobody = np.zeros(len(self.world.served), bool)
        round_ = as_round(self.world.base, books, None if self.watched else nobody)
        if self.watched or self.known is None:
            self.known = self._believed(round_, as_of)
        # Not watched, every row is an order with its amount: the levels of the first evening do.
        beliefs, levels = self.known
        never = np.full(len(nobody), np.datetime64("NaT", "D"))
        last = deliver_by_levels(beliefs, levels) if self.watched else never
        return Evening(desk_of(round_, as_of), levels, last, more_kg(beliefs, levels))

    def _believed(self, round_: Round, as_of: date) -> tuple[Beliefs, LevelTable]:
        ahead = 2 * self.settings.days + 6  # holidays and a week-end after the last planned day fit in
        found = believe(round_, self.world.weather, as_of, self.seed, ahead, self.settings.draws)
        return found, levels_of(found)
