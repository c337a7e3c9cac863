"""Measure the learning: `python -m tests.benchmarks.signature coverage|changes|months`.

coverage
    Share of invented sites whose truth lies in the 80 % interval, as assumed and with assumptions broken.
changes
    False alarms in ten years, looked at every quarter, and median error of the date of a known change.
months
    Held-back months of real houses: pinball loss against three simpler ways.
"""

from __future__ import annotations

import sys
from datetime import timedelta

import numpy as np

from fuelplan.learning import Prior, learn, readings
from fuelplan.learning.bulk import learn_many
from tests.signature_months import WAYS, table
from tests.signature_worlds import FIRST_DAY, YEARS_DAYS, coverage, invent, temperatures, weather_of

KINDS = ("as assumed", "orders at one mark", "wrong density", "drifting counter", "hotter room at week-ends")
LAST_DAY = FIRST_DAY + timedelta(YEARS_DAYS - 1)


def run_coverage(sites: int = 2000) -> None:
    """Print the coverage table."""
    print(
        f"{'80 % intervals, ' + str(sites) + ' sites':<28}{'readings':>9}{'year':>8}{'slope':>8}{'level':>8}"
    )
    for kind in KINDS:
        for n in (1, 3, 12, 100):
            world = invent(sites, n, 31, kind=kind)
            many = learn_many(world.priors, FIRST_DAY, world.mean_c, world.customers, LAST_DAY)
            year, slope, level = coverage(world, many, 300, 3)
            print(f"{kind:<28}{n:>9}{100 * year:>7.1f}%{100 * slope:>7.1f}%{100 * level:>7.1f}%", flush=True)


def _site(
    seed: int, days: int, step: int, change: tuple[int, float] | None
) -> tuple[np.ndarray, list[readings.Observation]]:
    rng = np.random.default_rng(seed)
    mean_c = temperatures(days, 1, seed + 999)[0]
    slope, daily, base_c = 2 * (1 + 0.25 * rng.standard_normal()), 4.0, 15 + 1.2 * rng.standard_normal()
    factor = np.ones(days)
    if change:
        factor[change[0] :] += change[1]
    use = max(slope, 0.6) * factor * np.maximum(0, base_c - mean_c) + daily
    shown = np.cumsum(np.maximum(0, use * (1 + 0.25 * rng.standard_normal(days)))) * (
        1 + 0.08 * rng.standard_normal()
    )
    return mean_c, [readings.counter(FIRST_DAY + timedelta(i), float(shown[i])) for i in range(5, days, step)]


def run_changes(sites: int = 40) -> None:
    """Print false alarms in ten years and how well known changes are dated."""
    prior, alarms = Prior(2.0, 4.0, 15.0, 0.3, 0.5, 1.5), 0
    for seed in range(sites):
        mean_c, seen = _site(5000 + seed, 3650, 30, None)
        for last in range(450, 3650, 91):
            day = FIRST_DAY + timedelta(last)
            if learn(prior, weather_of(mean_c), seen, [], day, capacity_kg=6000.0).changes:
                alarms += 1
                break
    print(f"no change, read monthly, looked at each quarter of ten years: alarm in {alarms} of {sites}")
    for step, size in ((7, -0.11), (7, -0.2), (30, -0.2), (30, -0.3)):
        errors, shares = [], []
        for seed in range(sites):
            at = 480 + 5 * seed
            mean_c, seen = _site(7000 + seed, 1100, step, (at, size))
            out = learn(prior, weather_of(mean_c), seen, [], FIRST_DAY + timedelta(1099), capacity_kg=6000.0)
            if out.changes:
                best = max(out.changes, key=lambda c: c.odds)
                errors.append(abs((best.day - FIRST_DAY).days - at))
                shares.append(best.share)
        print(
            f"{100 * size:.0f} % per degree-day, read every {step} days: found in {len(errors)} of {sites}, "
            f"median error of the date {np.median(errors):.0f} days, mean size {100 * np.mean(shares):.0f} %",
            flush=True,
        )


def run_months() -> None:
    """Print the table of held-back months."""
    print(f"{'pinball loss':<26}{'months':>7}" + "".join(f"{way:>12}" for way in WAYS))
    for (name, n), row in table().items():
        print(f"{name:<26}{n:>7}" + "".join(f"{row[way]:>12.2f}" for way in WAYS))


if __name__ == "__main__":
    what = sys.argv[1] if len(sys.argv) > 1 else ""
    runs = {"coverage": run_coverage, "changes": run_changes, "months": run_months}
    if what not in runs:
        sys.exit(f"python -m tests.benchmarks.signature {'|'.join(runs)}")
    runs[what](*(int(a) for a in sys.argv[2:]))  # type: ignore[operator]
