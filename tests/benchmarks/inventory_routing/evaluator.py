"""What a plan costs and whether it may be driven, worked out from the file alone.

It shares no code with the planner: neither its arrays nor its reader.
"""

from __future__ import annotations

import math
from pathlib import Path

Plan = list[list[list[list[float]]]]
SLACK = 1e-6


def evaluate(path: Path, periods: Plan) -> tuple[float, list[str]]:
    """Return (cost, what is wrong) of a plan: for each period its routes, each a list of [customer, amount].

    """
    rows = [line.split() for line in path.read_text(encoding="utf-8").splitlines() if line.split()]
    length, capacity, vehicles = int(float(rows[0][1])), float(rows[0][2]), int(float(rows[0][3]))
    depot = [float(cell) for cell in rows[1]]
    customers = {int(float(row[0])): [float(cell) for cell in row] for row in rows[2:]}
    wrong: list[str] = []
    if len(periods) != length:
        return math.inf, [f"{length} periods are asked for, the plan has {len(periods)}"]
    stock = {name: row[3] for name, row in customers.items()}
    depot_stock, cost = depot[3], 0.0
    for number, routes in enumerate(periods, start=1):
        driven = [route for route in routes if route]
        if len(driven) > vehicles:
            wrong.append(f"period {number}: {len(driven)} routes, {vehicles} vehicles")
        seen: set[int] = set()
        for route in driven:
            x, y, load = depot[1], depot[2], 0.0
            for customer, amount in route:
                name = int(customer)
                if name not in customers:
                    wrong.append(f"period {number}: nobody is called {name}")
                    continue
                if name in seen:
                    wrong.append(f"period {number}: customer {name} is visited twice")
                seen.add(name)
                row = customers[name]
                cost += math.floor(math.hypot(row[1] - x, row[2] - y) + 0.5)
                x, y = row[1], row[2]
                if amount < -SLACK:
                    wrong.append(f"period {number}: customer {name} gets {amount}")
                if stock[name] + amount > row[4] + SLACK:
                    wrong.append(
                        f"period {number}: customer {name} is filled to {stock[name] + amount} of {row[4]}"
                    )
                stock[name] += amount
                load += amount
            cost += math.floor(math.hypot(depot[1] - x, depot[2] - y) + 0.5)
            if load > capacity + SLACK:
                wrong.append(f"period {number}: a route carries {load} of {capacity}")
            depot_stock -= load
        if depot_stock < -SLACK:
            wrong.append(f"period {number}: the depot has {depot_stock}")
        depot_stock += depot[4]
        cost += depot[5] * depot_stock
        for name, row in customers.items():
            stock[name] -= row[6]
            if stock[name] < row[5] - SLACK:
                wrong.append(f"period {number}: customer {name} ends at {stock[name]}, {row[5]} is the least")
            cost += row[7] * stock[name]
    return cost, wrong
