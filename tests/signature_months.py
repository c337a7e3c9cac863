"""Prediction of held-back months on real metered data, against three simpler ways."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.learning import Prior, SignatureError, learn, readings
from fuelplan.learning.classical import fit_variable_base
from tests.signature_real_data import british_house, illinois_days, illinois_gas
from tests.signature_worlds import weather_of

Floats = NDArray[np.float64]

SHARES = (0.1, 0.5, 0.9)
WAYS = ("learned", "last year", "K-factor", "regression")


@dataclass(frozen=True)
class Metered:
    """A house's meter by the month; `prior` is a paper value that knows nothing of the readings."""

    name: str
    first_day: date
    mean_c: Floats
    begin: NDArray[np.int64]  # first day of each month, and the day after the last
    use: Floats
    prior: Prior


def houses() -> list[Metered]:
    """Two houses; the Illinois one twice, its stated truth (1000 therm a year) a quarter off either way."""
    first, mean_c = illinois_days()
    days, gas = illinois_gas("billing_monthly")
    begin = np.array([(d - first).days for d in days])
    out = []
    for off in (0.75, 1.25):
        paper = Prior(off * 0.2 * 1.8, off * 0.7, 15.5)
        out.append(Metered(f"Illinois, paper x {off}", first, mean_c, begin, gas[:-1], paper))
    first, mean_c, daily = british_house()
    starts = [i for i in range(len(daily)) if (first + timedelta(i)).day == 1]
    use = np.add.reduceat(daily, starts)[:-1]
    # a medium British home: 11,500 kWh of gas a year, a quarter of it for hot water (value from memory),
    # 2463 K·d at 15.5 °C ("Standard heating degree days for the UK")
    paper = Prior(0.75 * 11_500 / 2463, 0.25 * 11_500 / 365, 15.5, rel_sd_slope=0.4)
    out.append(Metered("British house", first, mean_c, np.array(starts), use, paper))
    return out


def pinball(quantiles: Floats, truth: float) -> float:
    """Mean pinball loss over :data:`SHARES`."""
    off = truth - quantiles
    share = np.array(SHARES)
    return float(np.maximum(share * off, (share - 1) * off).mean())


def learned_draws(h: Metered, i: int, months: int) -> Floats:
    """Draws of month i's use, its weather known, from the `months` before it, read at each month's end."""
    counter, meter = 0.0, []
    for m in range(i - months, i + 1):
        day = h.first_day + timedelta(int(h.begin[m]) - 1)
        meter.append(readings.counter(day, counter, scale_rel_sd=0.005, sd_kg=0.2))
        counter += h.use[m]
    as_of = meter[-1].day
    told = learn(h.prior, weather_of(h.mean_c, h.first_day), meter, [], as_of, capacity_kg=2e5)
    rng = np.random.default_rng(i)
    return told.draw(2000, rng).use_kg(h.mean_c[h.begin[i] : h.begin[i + 1]], rng)


def regression(h: Metered, i: int, months: int, shares: ArrayLike) -> Floats | None:
    """Quantiles of the classical line, t-distributed; None where no line can be drawn."""
    from scipy.stats import t as student

    past = slice(i - months, i)
    try:
        fit = fit_variable_base(h.use[past], h.mean_c, h.begin[past], h.begin[i - months + 1 : i + 1])
    except SignatureError:
        return None
    days = h.begin[i + 1] - h.begin[i]
    heating = np.maximum(0, fit.base_c - h.mean_c[h.begin[i] : h.begin[i + 1]]).sum()
    spread = fit.sigma * np.sqrt(1 + 2 / fit.periods) * student.ppf(shares, fit.periods - 2)
    return np.asarray(float(fit.predict(heating, days)) + days * spread)


def _k_factor(h: Metered, i: int, months: int) -> float:
    """Use per degree-day at 15.5 °C of the months before, times this month's degree-days.

    In summer it looks back further, until there are 50 K·d to divide by.
    """
    heating = np.maximum(0, 15.5 - h.mean_c)
    while (before := heating[h.begin[i - months] : h.begin[i]].sum()) < 50 and months < 12:
        months += 1
    return float(h.use[i - months : i].sum() / before * heating[h.begin[i] : h.begin[i + 1]].sum())


def losses(h: Metered, months: int) -> Iterator[dict[str, float]]:
    """Pinball loss of each way for every month that has a year before it."""
    for i in range(12, len(h.use)):
        if not np.isfinite(h.use[i - 12 : i + 1]).all():
            continue
        days, then = h.begin[i + 1] - h.begin[i], h.begin[i - 11] - h.begin[i - 12]
        k = _k_factor(h, i, months)
        line = regression(h, i, months, SHARES)
        yield {
            "learned": pinball(np.quantile(learned_draws(h, i, months), SHARES), h.use[i]),
            "last year": pinball(np.full(3, h.use[i - 12] * days / then), h.use[i]),
            "K-factor": pinball(np.full(3, k), h.use[i]),
            "regression": pinball(np.full(3, k) if line is None else line, h.use[i]),
            "no line": float(line is None),
        }


def table(months: tuple[int, ...] = (2, 4, 6, 12)) -> dict[tuple[str, int], dict[str, float]]:
    """Mean loss by house and number of months learned from, in the unit of the meter."""
    out = {}
    for h in houses():
        for n in months:
            rows = list(losses(h, n))
            out[h.name, n] = {k: float(np.mean([r[k] for r in rows])) for k in rows[0]} | {
                "months": len(rows)
            }
    return out
