"""What a plan costs and whether it may be driven, worked out from the file alone.

It shares no code with the planner: neither its arrays nor its reader.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

Plan = list[list[list[list[float]]]]
SLACK = 1e-6


@dataclass
class _State:
    """Who has how much, what it has cost so far, and what was wrong."""

    capacity: float
    depot: list[float]
    customers: dict[int, list[float]]
    stock: dict[int, float]
    depot_stock: float
    cost: float = 0.0
    wrong: list[str] = field(default_factory=list)


def evaluate(path: Path, periods: Plan) -> tuple[float, list[str]]:
    """Return (cost, what is wrong) of a plan: for each period its routes, each a list of [customer, amount].

    The cost of a plan that is wrong means nothing; that of one with too few or too many periods is infinite.
    """
    rows = [line.split() for line in path.read_text(encoding="utf-8").splitlines() if line.split()]
    length, capacity, vehicles = int(float(rows[0][1])), float(rows[0][2]), int(float(rows[0][3]))
    depot = [float(cell) for cell in rows[1]]
    customers = {int(float(row[0])): [float(cell) for cell in row] for row in rows[2:]}
    if len(periods) != length:
        return math.inf, [f"{length} periods are asked for, the plan has {len(periods)}"]
    stock = {name: row[3] for name, row in customers.items()}
    state = _State(capacity, depot, customers, stock, depot[3])
    for number, routes in enumerate(periods, start=1):
        driven = [route for route in routes if route]
        if len(driven) > vehicles:
            state.wrong.append(f"period {number}: {len(driven)} routes, {vehicles} vehicles")
        seen: set[int] = set()
        for route in driven:
            _drive(state, number, route, seen)
        _end(state, number)
    return state.cost, state.wrong


def _drive(state: _State, number: int, route: list[Any], seen: set[int]) -> None:
    """Drive one route: its distance, its load, and what each customer gets."""
    x, y, load = state.depot[1], state.depot[2], 0.0
    for visit in route:
        name, amount = _visit(visit)
        if name is None or name not in state.customers:
            state.wrong.append(f"period {number}: {visit!r} is no customer with an amount")
            continue
        if name in seen:
            state.wrong.append(f"period {number}: customer {name} is visited twice")
        seen.add(name)
        row = state.customers[name]
        state.cost += math.floor(math.hypot(row[1] - x, row[2] - y) + 0.5)
        x, y = row[1], row[2]
        if not (amount > 0 and math.isfinite(amount)):
            state.wrong.append(f"period {number}: customer {name} gets {amount:g}")
            if not math.isfinite(amount):
                continue
        level = state.stock[name] + amount
        if level > row[4] + SLACK:
            state.wrong.append(f"period {number}: customer {name} is filled to {level:g} of {row[4]:g}")
        state.stock[name] = level
        load += amount
    state.cost += math.floor(math.hypot(state.depot[1] - x, state.depot[2] - y) + 0.5)
    if load > state.capacity + SLACK:
        state.wrong.append(f"period {number}: a route carries {load:g} of {state.capacity:g}")
    state.depot_stock -= load


def _visit(visit: Any) -> tuple[int | None, float]:
    """Return customer and amount; None for what is no pair of numbers or names no whole number."""
    try:
        customer, amount = visit
        if isinstance(amount, str) or int(customer) != customer:
            return None, 0.0
        return int(customer), float(amount)
    except (TypeError, ValueError, OverflowError):
        return None, 0.0


def _end(state: _State, number: int) -> None:
    """End a period: the depot makes, the customers use, and what is left is charged."""
    if state.depot_stock < -SLACK:
        state.wrong.append(f"period {number}: the depot has {state.depot_stock:g}")
    state.depot_stock += state.depot[4]
    state.cost += state.depot[5] * state.depot_stock
    for name, row in state.customers.items():
        state.stock[name] -= row[6]
        left = state.stock[name]
        if left < row[5] - SLACK:
            state.wrong.append(f"period {number}: customer {name} ends at {left:g}, {row[5]:g} is the least")
        state.cost += row[7] * left
