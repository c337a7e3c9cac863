"""Random problems, and plans counted again in plain Python that shares nothing with the compiled search."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from fuelplan.dispatch.run_plan import NEVER, Problem, Solution

Routes = list[list[tuple[int, int]]]
"""For each route the stops in order: (customer, steps)."""


def random_problem(rng, n=7, days=4, depots=2, classes=2, tankers=2, trips=2, hours=True):
    """Return a problem with several depots, classes, chambers, hours, snow, promises and forbidden
    tankers."""
    slots = tankers * trips
    tanker = np.repeat(np.arange(tankers), trips)
    top = rng.integers(4, 9, n)
    level_at = np.concatenate([[0], np.cumsum((top + 1) * days)[:-1]])
    xy = rng.integers(0, 60, (n + depots, 2)).astype(float)
    apart = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    chambers = rng.integers(2, 9, (tankers, 3, classes)) * 500.0
    cost = np.stack([apart * rate for rate in rng.uniform(0.8, 1.2, tankers)])
    cost += rng.uniform(0, 3, cost.shape) * (1 - np.eye(n + depots))  # roads differ by direction
    return Problem(
        step_kg=rng.choice([250.0, 500.0], n),
        start=rng.integers(0, 4, n),
        top=top,
        use=rng.integers(0, 4, (n, days)),
        fit=np.maximum(top[:, None] - rng.integers(0, 2, (n, days)), 3),
        least=rng.integers(1, 3, n),
        level_cost=rng.uniform(0, 6, int(((top + 1) * days).sum())),
        level_at=level_at,
        give_cost=rng.uniform(-1, 1, (n, days)),
        may=rng.random((n, days * slots)) < 0.85,
        stop_cost=rng.uniform(0, 4, (n, days * slots)),
        must=rng.random((n, days)) < 0.04,
        grade=rng.integers(0, classes, n),
        stop_h=rng.uniform(0.1, 0.4, n) if hours else np.zeros(n),
        kg_h=rng.uniform(1e-4, 2e-4, n) if hours else np.zeros(n),
        drive_cost=cost,
        drive_h=apart / 45,
        slow=rng.choice([1.0, 2.0], days),
        slot_type=tanker,
        slot_depot=rng.integers(0, depots, tankers)[tanker],
        slot_tanker=tanker,
        slot_cost=rng.uniform(0, 5, tankers)[tanker],
        slot_h=np.full(slots, 0.3),
        chambers_kg=chambers[tanker],
        day_h=rng.uniform(4, 9, (tankers, days)) if hours else np.full((tankers, days), NEVER),
        supply_kg=np.cumsum(rng.uniform(2000, 6000, (depots, classes, days)), axis=2),
    )


def recount(x: Problem, routes: Routes, unable: tuple[int, ...] = ()) -> dict[str, np.ndarray | float]:
    """Return every sum of a plan from its routes alone; customers who cannot be served are left out of the
    levels."""
    n, days, slots = x.customers, x.days, x.slots
    given = np.zeros((n, days), int)
    out = {
        "drive_cost": np.zeros(len(routes)), "drive_h": np.zeros(len(routes)),
        "stop_h": np.zeros(len(routes)),
        "load_kg": np.zeros((len(routes), x.chambers_kg.shape[2])), "day_h": np.zeros(x.day_h.shape),
        "taken_kg": np.zeros(x.supply_kg.shape), "level_cost": np.zeros(n),
    }  # fmt: skip
    over = 0.0
    for r, route in enumerate(routes):
        if not route:
            continue
        day, slot = divmod(r, slots)
        home = n + x.slot_depot[slot]
        stops = [home, *(i for i, _ in route), home]
        legs = list(pairwise(stops))
        drive = x.drive_cost[x.slot_type[slot]]
        out["drive_cost"][r] = x.slot_cost[slot] + sum(drive[a, b] for a, b in legs)
        out["drive_h"][r] = x.slow[day] * sum(x.drive_h[a, b] for a, b in legs)
        for i, steps in route:
            kg = steps * x.step_kg[i]
            assert given[i, day] == 0, "a customer is served twice on one day"
            given[i, day] = steps
            out["stop_h"][r] += x.stop_h[i] + kg * x.kg_h[i]
            out["load_kg"][r, x.grade[i]] += kg
            out["taken_kg"][x.slot_depot[slot], x.grade[i], day:] += kg
            out["level_cost"][i] += x.give_cost[i, day] * steps + x.stop_cost[i, r]
        out["day_h"][x.slot_tanker[slot], day] += x.slot_h[slot] + out["drive_h"][r] + out["stop_h"][r]
        over += np.maximum(0, out["load_kg"][r] - x.chambers_kg[slot]).sum(axis=1).min()
    for i in set(range(n)) - set(unable):
        level = x.start[i]
        for t in range(days):
            level += given[i, t] - x.use[i, t]
            assert level >= 0, "a customer runs dry"
            assert level + x.use[i, t] <= x.fit[i, t] or given[i, t] == 0, "a drop does not fit"
            assert given[i, t] > 0 or not x.must[i, t], "a day that must serve a customer does not"
            assert given[i, t] == 0 or given[i, t] >= x.least[i], "a drop is too small"
            out["level_cost"][i] += x.level_cost[x.level_at[i] + t * (x.top[i] + 1) + level]
    out["over"] = over
    out["late"] = np.maximum(0, out["day_h"] - x.day_h).sum()
    out["dry"] = np.maximum(0, out["taken_kg"] - x.supply_kg).sum()
    out["cost"] = out["drive_cost"].sum() + out["level_cost"].sum()
    return out


def routes_of(x: Problem, solution: Solution) -> Routes:
    """Return a solution's routes in steps."""
    return [[(v.customer, round(v.kg / x.step_kg[v.customer])) for v in route] for route in solution.routes]
