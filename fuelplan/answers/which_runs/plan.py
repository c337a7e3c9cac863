"""From a round's books to the plan of its week, which `dispatch` makes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from fuelplan.answers.round.roads import RoundRoads
from fuelplan.answers.which_runs.from_books import yard_of
from fuelplan.answers.which_runs.needs import Week
from fuelplan.dispatch.run_plan import (
    ROUTE_ITERATIONS,
    Budget,
    Prices,
    RunPlan,
    Solution,
    routed_week,
)
from fuelplan.messages import Said
from fuelplan.records.round import Round


def plan_week(
    round_: Round,
    week: Week,
    roads: RoundRoads,
    budget: Budget,
    *,
    seed: int,
    risk: float | None = None,
    prices: Prices | None = None,
    start: Solution | None = None,
    route_iterations: int = ROUTE_ITERATIONS,
    progress: Callable[[float, Said], bool] | None = None,
    only_days: int | None = None,
) -> RunPlan:
    """Return the plan of a week as :func:`fuelplan.dispatch.run_plan.routed_week` makes it.

    Risk and prices are as the round's rules have them where they are not given.
    """
    return routed_week(
        week.asked, yard_of(round_, roads), roads.depot_place, budget, seed=seed,
        risk=round_.table.rules.risk if risk is None else risk, prices=prices or prices_of(round_),
        start=start, route_iterations=route_iterations, progress=progress, only_days=only_days,
    )  # fmt: skip


def prices_of(round_: Round) -> Prices:
    """Return what the round's rules charge for an empty store."""
    cost = round_.table.rules.empty_cost
    if cost is None:
        return Prices()
    usual = Prices()
    return replace(usual, empty=cost[0], over_limit=usual.over_limit * cost[0] / usual.empty)
