"""Open metered houses: months held back, their weather known, beside a regression and last year's use.

`python -m tests.benchmarks.calibration.metered [MONTHS …]`: learned from so many months before, 4, 12 and 24
unless said otherwise. No constant of the model was set by these houses.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.stats import t as student

from tests.benchmarks.calibration.climate import Floats
from tests.benchmarks.calibration.metered_houses import metered, month_mean_c
from tests.benchmarks.calibration.score import BANDS, HEAD, Asked, asked_of, score
from tests.signature_months import Metered, learned_draws, regression

SEASONS = (("below 7 °C", -99.0, 7.0), ("7 to 14 °C", 7.0, 14.0), ("14 °C and more", 14.0, 99.0))
QUANTILES = (np.arange(400) + 0.5) / 400


@dataclass(frozen=True)
class Month:
    """One month held back: what was learned and what a regression would have said, and last year's error."""

    learned: Asked
    regression: Asked
    last_year: float
    house: str
    mean_c: float


def _line(h: Metered, i: int, months: int, year_ago: float) -> Floats:
    """Quantiles of the textbook line; where there is none, last year's month and how months spread."""
    found = regression(h, i, months, QUANTILES)
    return year_ago + h.use[i - 12 : i].std() * student.ppf(QUANTILES, 3) if found is None else found


def held_back(h: Metered, months: int, cluster: int) -> Iterator[Month]:
    """Every month of a house that has a year, and `months`, before it."""
    first = max(12, months)
    usual = float(np.nanmean(h.use))
    for i in range(first, len(h.use)):
        if not np.isfinite(h.use[i - first : i + 1]).all():
            continue
        days, then = h.begin[i + 1] - h.begin[i], h.begin[i - 11] - h.begin[i - 12]
        year_ago = float(h.use[i - 12] * days / then)
        yield Month(
            asked_of(learned_draws(h, i, months), h.use[i], usual, cluster),
            asked_of(_line(h, i, months, year_ago), h.use[i], usual, cluster),
            abs(year_ago - h.use[i]) / 2 / usual,
            h.name,
            month_mean_c(h, i),
        )


def table(months: tuple[int, ...]) -> None:
    """Print coverage by season and loss by house."""
    for n in months:
        found = [m for k, h in enumerate(metered()) for m in held_back(h, n, k)]
        print(f"\nlearned from {n} months\n{'':<30}{HEAD}  regression: 80 %  pinball  last year")
        kinds = [("all", found)]
        kinds += [(name, [m for m in found if low <= m.mean_c < high]) for name, low, high in SEASONS]
        kinds += [
            (name, [m for m in found if m.house == name]) for name in dict.fromkeys(m.house for m in found)
        ]
        for name, some in kinds:
            if some:
                line = score([m.regression for m in some])
                print(
                    f"{name:<30}{score([m.learned for m in some]).line()}"
                    f"  {100 * line.share[BANDS.index(0.8)]:16.0f}  {100 * line.pinball:7.2f}"
                    f"  {100 * np.mean([m.last_year for m in some]):9.2f}",
                    flush=True,
                )


if __name__ == "__main__":
    table(tuple(int(a) for a in sys.argv[1:]) or (4, 12, 24))
