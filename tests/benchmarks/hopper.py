"""How fast the day hopper is played: 20 sizes in 30 winters at 15 minutes, beside a plain Python loop.

Run `python -m tests.benchmarks.hopper`.
"""

from __future__ import annotations

import numpy as np

from fuelplan.sizing.hopper_cycle import heat_by_step, hourly_from_daily_c, simulate
from fuelplan.store.hopper import Burner, Conveying
from tests.benchmarks.measure import Row, compared, table_of, timed, timed_many

WINTERS, DAYS, SIZES = 30, 212, 20


def invented_heat(winters: int = WINTERS, days: int = DAYS, seed: int = 1) -> np.ndarray:
    """Heat by step of invented winters from October to April, (winters, days * 96). [kWh]"""
    rng = np.random.default_rng(seed)
    season = 8 - 10 * np.sin(np.pi * np.arange(days) / days)
    noise = rng.normal(0, 2.2, (winters, days))
    for d in range(1, days):
        noise[:, d] += 0.7 * noise[:, d - 1]
    mean = season + noise
    space = np.maximum(0.0, 15 - mean) * 0.45 * 24 * 0.8
    return heat_by_step(space, hourly_from_daily_c(mean, mean - 3, mean + 3), 15.0, hot_water_kwh=8.0)


def plain(
    heat: list[float],
    size_kg: float,
    conveying: Conveying,
    burner: Burner,
    held_kwh: float,
    steps_a_day: int = 96,
) -> dict[str, float]:
    """One hopper through one winter, as one would write it down: suction or auger, burn-out first, no
    top-up."""
    hour = 24 / steps_a_day
    pause = {"burn-out": max(1, -(-conveying.burn_out_h // hour)), "ignite": -(-conveying.ignite_h // hour)}
    hopper, held, doing, left, calling = size_kg, held_kwh, "burn", 0.0, False
    quiet_at = [is_quiet(conveying, i * hour, hour) for i in range(steps_a_day)]
    whole = int(pause["burn-out"]) + 1
    too_late = [any(quiet_at[(i + k) % steps_a_day] for k in range(whole)) for i in range(steps_a_day)]
    out = {"burned": 0.0, "conveyed": 0.0, "unmet": 0.0, "fillings": 0.0}
    for t, load in enumerate(heat):
        i = t % steps_a_day
        quiet = quiet_at[i]
        low = hopper <= conveying.refill_share * size_kg
        if doing == "burn" and low and not too_late[i]:
            doing, left, calling = "burn-out", pause["burn-out"], True
        elif doing == "wait" or (doing == "burn-out" and left == 0):
            if (calling or low) and not quiet:
                doing, calling = "convey", False
                out["fillings"] += 1
            elif hopper > 1e-9:
                doing, left = "ignite", pause["ignite"]
            else:
                doing = "wait"
        elif doing == "convey" and quiet:
            doing, left = ("ignite", pause["ignite"]) if hopper > 1e-9 else ("wait", 0)
        if doing == "ignite" and left == 0:
            doing = "burn"
        left -= 1
        heat_made, next_doing = 0.0, doing
        if doing == "convey":
            moved = min(size_kg - hopper, conveying.line_rate_kg_per_h * hour)
            hopper += moved
            out["conveyed"] += moved
            if size_kg - hopper < 2e-9:
                next_doing, left = "ignite", pause["ignite"]
        if doing == "burn":
            heat_made = min(load + held_kwh - held, burner.rated_kw * hour, hopper * burner.kwh_per_kg)
            hopper -= heat_made / burner.kwh_per_kg
            out["burned"] += heat_made / burner.kwh_per_kg
            if hopper <= 1e-9:
                next_doing, left, calling = "burn-out", pause["burn-out"], False
        held += heat_made - load
        out["unmet"] += max(0.0, -held)
        held = max(0.0, held)
        doing = next_doing
    return out | {"hopper": hopper}


def is_quiet(conveying: Conveying, begin_h: float, length_h: float) -> bool:
    """Whether a stretch of the day touches the quiet hours."""
    a, b = conveying.quiet_from_h, conveying.quiet_to_h
    if a is None or b is None:
        return False
    spans = [(a, b)] if a < b else [(a, 24.0), (0.0, b)]
    return any(begin_h < end - 1e-9 and begin_h + length_h > start + 1e-9 for start, end in spans)


def rows(quick: bool) -> list[Row]:
    """Twenty sizes in thirty winters; the plain loop plays two of the 600 lanes."""
    winters, sizes = (4, np.linspace(30, 300, 5)) if quick else (WINTERS, np.linspace(30, 300, SIZES))
    heat = invented_heat(winters)
    conveying = Conveying("suction", line_m=8, quiet_from_h=22, quiet_to_h=6, top_up_before_quiet=False)
    burner = Burner(20.0, 4.2)
    simulate(heat[:1], sizes[:1], conveying, burner)  # compiled and warm
    two = [float(sizes[len(sizes) // 4]), float(sizes[3 * len(sizes) // 4])]
    copy = np.empty_like(heat)
    return [
        compared(
            f"day hopper, {len(sizes)} sizes × {winters} winters at 15 minutes, warm",
            timed(lambda: simulate(heat, sizes, conveying, burner, held_kwh=15.0)),
            (
                "a plain Python loop over the quarters of hours",
                timed(lambda: [plain(heat[0].tolist(), size, conveying, burner, 15.0) for size in two], 1),
                winters * len(sizes) / 2,
            ),
            (
                "the loads copied once for each size",
                timed_many(lambda: [np.copyto(copy, heat) for _ in sizes]),
            ),
        )
    ]


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))
