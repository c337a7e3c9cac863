"""Replay of random houses over invented winters; the speed of the optimum stands in `ordering_speed`.

python -m tests.benchmarks.ordering replay [--houses 300] [--winters 20] [--seed 1]
"""

from __future__ import annotations

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import fields, replace

import numpy as np

from tests.ordering_sites import (
    MondayToFriday,
    random_houses,
    random_past,
    some_houses,
)
from tests.site_replay.past import Houses, Past
from tests.site_replay.sites import Played, draw_truth, replay_sites
from tests.site_replay.summary import best_simple, difference, summarise
from tests.site_replay.winter import ForecastErrors

CHUNK = 50


def one_chunk(work: tuple[Past, Houses, slice, int, int]) -> tuple[Played, ...]:
    """Replay one part of the houses; all parts share the winters and the level of prices."""
    past, houses, rows, seed, per_winter = work
    truth = draw_truth(houses, len(past.seasons()), seed)
    part = replace(
        truth,
        scale=truth.scale[rows],
        lead_u=truth.lead_u[rows],
        read_error_kg=truth.read_error_kg[rows],
        start_kg=truth.start_kg[rows],
    )
    return replay_sites(
        Past(past.first_day, past.mean_c[rows]),
        some_houses(houses, rows),
        MondayToFriday(),
        seed=seed,
        per_winter=per_winter,
        forecasts=(ForecastErrors(0), ForecastErrors(10)),
        truth=part,
    )


def join(parts: list[tuple[Played, ...]]) -> list[Played]:
    """Put the parts together again."""
    names = [f.name for f in fields(Played) if f.name not in ("name", "forecast_days")]
    return [
        replace(same[0], **{n: np.concatenate([getattr(p, n) for p in same]) for n in names})
        for same in zip(*parts, strict=True)
    ]


def run_replay(houses: int, winters: int, seed: int, workers: int, per_winter: int) -> None:
    """Replay and print the tables."""
    found, area = random_houses(houses, seed)
    past = random_past(winters, area, seed)
    work = [(past, found, slice(a, a + CHUNK), seed, per_winter) for a in range(0, houses, CHUNK)]
    begin = time.perf_counter()
    with ProcessPoolExecutor(workers) as pool:
        parts = []
        for part in pool.map(one_chunk, work):
            parts.append(part)
            print(f"{len(parts)} of {len(work)} parts", file=sys.stderr)
    played = join(parts)
    print(
        f"{houses} houses, {played[0].cost.shape[1]} winters, risk limit {found.risk_limit:.0%} per order, "
        f"seed {seed}"
    )
    print(f"{time.perf_counter() - begin:.0f} s with {workers} processes")
    for days in sorted({p.forecast_days for p in played}):
        print_line([p for p in played if p.forecast_days == days])


def print_line(played: list[Played]) -> None:
    """Print one line of results: with or without forecasts."""
    days = played[0].forecast_days
    print(f"\n{'no forecast' if not days else f'forecasts of {days} days with errors'}")
    print(
        f"{'policy':<18}{'late orders':>26}{'empties a year':>28}{'orders':>8}{'per t':>8}{'cost a year':>12}"
    )
    for p in played:
        s = summarise(p)
        late, empty = s.late_per_order, s.empties_per_year
        print(
            f"{s.name:<18}{late.mean:>10.4f} ({late.low:.4f}–{late.high:.4f})"
            f"{empty.mean:>12.4f} ({empty.low:.4f}–{empty.high:.4f})"
            f"{s.orders_per_year:>8.2f}{s.price_per_kg * 1000:>8.1f}{s.cost_per_year.mean:>12.1f}"
        )
    best = best_simple(played)
    for other in [best, *(p for p in played[1:] if p is not best)]:
        d = difference(played[0], other)
        print(
            f"optimum less {d.against}{' (best simple rule)' if other is best else ''}: "
            f"{d.by_winter.mean:+.1f} a year "
            f"({d.by_winter.low:+.1f} to {d.by_winter.high:+.1f} by winter; "
            f"houses p10 {d.house_p10:+.1f}, p90 {d.house_p90:+.1f})"
        )
    rules = np.min([p.cost.mean(axis=1) for p in played[1:]], axis=0)
    gap = played[0].cost.mean(axis=1) - rules
    print(f"optimum less each house's own best rule in hindsight: {gap.mean():+.1f} a year")


def main() -> None:
    """Read the command."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("what", choices=["replay"])
    parser.add_argument("--houses", type=int, default=300)
    parser.add_argument("--winters", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--per-winter", type=int, default=8)
    a = parser.parse_args()
    run_replay(a.houses, a.winters, a.seed, a.workers, a.per_winter)


if __name__ == "__main__":
    main()
