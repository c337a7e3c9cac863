"""A plan cut down to what its depots have: the search may end before it has found one that fits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.run_plan.problem import Problem, Solution, Visit

TINY_KG = 1e-6


def within_supply(problem: Problem, solution: Solution, asked: NDArray[np.bool_]) -> Solution:
    """Return a plan that takes from no depot, up to any day, more of a class than it can have loaded.

    What nobody asked for gives way first, the latest first: made smaller where the smallest drop still fits,
    else left out; then orders, the latest first. A plan within its supply is returned as it is.

    Parameters
    ----------
    asked
        Shape (n,), whether a row is an order.
    """
    routes = [list(route) for route in solution.routes]
    taken = _taken_kg(problem, routes)
    for depot, grade in np.argwhere((taken > problem.supply_kg + TINY_KG).any(axis=2)).tolist():
        for day in range(problem.days):
            _cut(problem, routes, asked, depot, grade, day)
    if not (taken > problem.supply_kg + TINY_KG).any():
        return solution
    return replace(solution, routes=tuple(tuple(route) for route in routes))


def _taken_kg(problem: Problem, routes: list[list[Visit]]) -> NDArray[np.float64]:
    """Return what each depot has loaded of each class up to and with each day, (D, G, T). [kg]"""
    taken = np.zeros_like(problem.supply_kg)
    for at, route in enumerate(routes):
        day, slot = divmod(at, problem.slots)
        for visit in route:
            taken[problem.slot_depot[slot], problem.grade[visit.customer], day:] += visit.kg
    return taken


def _cut(
    problem: Problem, routes: list[list[Visit]], asked: NDArray[np.bool_], depot: int, grade: int, day: int
) -> None:
    """Take out of the routes up to a day what a depot does not have of a class by then."""
    over = _taken_kg(problem, routes)[depot, grade, day] - problem.supply_kg[depot, grade, day]
    places = [
        (bool(asked[visit.customer]), -at, -k)
        for at, route in enumerate(routes[: (day + 1) * problem.slots])
        for k, visit in enumerate(route)
        if problem.slot_depot[at % problem.slots] == depot and problem.grade[visit.customer] == grade
    ]
    for is_order, minus_at, minus_k in sorted(places):
        if over <= TINY_KG:
            return
        route, k = routes[-minus_at], -minus_k
        visit = route[k]
        step = float(problem.step_kg[visit.customer])
        left = visit.kg - step * np.ceil((over - TINY_KG) / step)
        if not is_order and left >= problem.least[visit.customer] * step:
            route[k] = Visit(visit.customer, float(left))
            return
        del route[k]
        over -= visit.kg
