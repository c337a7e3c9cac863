"""The air around a pile: equilibrium moisture of wood and the pull of dry air, month by month."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.heat.building import months_of
from fuelplan.messages import Refusal, message

Floats = NDArray[np.float64]
Dates = NDArray[np.datetime64]

# Relative humidity of a Central-European lowland, January first (value from memory), for records without
# humidity. [%]
USUAL_HUMIDITY_PCT = (86.0, 82.0, 77.0, 71.0, 71.0, 72.0, 72.0, 75.0, 80.0, 84.0, 87.0, 88.0)


class PileError(Refusal):
    """Something said about a log pile cannot be; the sentence says what to write instead."""


def equilibrium_dry_share(air_c: ArrayLike, humidity_pct: ArrayLike) -> Floats:
    """Return the moisture wood comes to in this air, as a share of the *dry* mass.

    Parameters
    ----------
    air_c
        [degC]
    humidity_pct
        Relative humidity, above 0 to 100. [%]

    Source: USDA Wood Handbook FPL-GTR-282 (2021), equation 4-5.
    """
    t = np.asarray(air_c, dtype=np.float64)
    humidity = np.asarray(humidity_pct, dtype=np.float64)
    if not ((humidity > 0) & (humidity <= 100)).all():
        raise PileError(
            message(
                "pile.humidity",
                "relative humidity lies above 0 and up to 100 %; check the weather record and its unit",
            )
        )
    h = humidity / 100.0
    w = 349.0 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    one = k1 * kh
    two = k1 * k2 * kh**2
    return np.asarray(18.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two)))


def drying_pull_kpa(air_c: ArrayLike, humidity_pct: ArrayLike) -> Floats:
    """Return the vapour pressure deficit of the air (FAO-56, equation 11: value from memory). [kPa]"""
    t = np.asarray(air_c, dtype=np.float64)
    saturated = 0.6108 * np.exp(17.27 * t / (t + 237.3))
    return np.asarray(saturated * (1.0 - np.asarray(humidity_pct, dtype=np.float64) / 100.0))


@dataclass(frozen=True)
class PileClimate:
    """Twelve months of air, January first.

    Attributes
    ----------
    month_c, month_humidity_pct
        Means, twelve each. [degC, %]
    humidity_known
        False where the usual humidity stands in for a record without one.
    """

    month_c: tuple[float, ...]
    month_humidity_pct: tuple[float, ...]
    humidity_known: bool = True

    def __post_init__(self) -> None:
        """Refuse anything but twelve plausible months."""
        if len(self.month_c) != 12 or len(self.month_humidity_pct) != 12:
            raise PileError("a climate needs twelve months of temperature and humidity, January first")
        if not all(-60 < c < 50 for c in self.month_c):
            raise PileError(
                message(
                    "pile.month_temperatures",
                    "monthly mean temperatures lie between -60 and 50 degC; check the unit",
                )
            )
        if not all(0 < h <= 100 for h in self.month_humidity_pct):
            raise PileError("relative humidity lies above 0 and up to 100 %; check the unit")

    @classmethod
    def from_days(cls, dates: Dates, mean_c: ArrayLike, humidity_pct: ArrayLike | None = None) -> PileClimate:
        """Average a daily record by month; the usual humidity stands in where there is none.

        Parameters
        ----------
        dates
            Shape (days,).
        mean_c, humidity_pct
            Of each day, NaN where not known; None for no humidity at all. [degC, %]

        Raises
        ------
        PileError
            A month has no temperature at all.
        """
        months = months_of(dates)
        air = _by_month(months, np.asarray(mean_c, dtype=np.float64))
        if np.isnan(air).any():
            raise PileError(
                message(
                    "pile.month_without_weather",
                    "the weather record has no temperature in some month; a whole year is needed",
                )
            )
        humid = np.full(12, np.nan)
        if humidity_pct is not None:
            humid = _by_month(months, np.asarray(humidity_pct, dtype=np.float64))
        known = not bool(np.isnan(humid).any())
        humid = np.where(np.isnan(humid), USUAL_HUMIDITY_PCT, humid)
        return cls(tuple(float(c) for c in air), tuple(float(h) for h in humid), known)

    def on(self, dates: Dates) -> tuple[Floats, Floats]:
        """Return temperature and humidity of each date, shape (days,) each. [degC, %]

        Straight lines between the middles of the months.

        Parameters
        ----------
        dates
            Shape (days,).
        """
        start = dates.astype("datetime64[M]")
        length = ((start + 1).astype("datetime64[D]") - start.astype("datetime64[D]")).astype(np.float64)
        at = months_of(dates) - 1 + ((dates - start).astype(np.float64) + 0.5) / length
        middles = np.arange(12) + 0.5
        air = np.interp(at, middles, self.month_c, period=12.0)
        return air, np.interp(at, middles, self.month_humidity_pct, period=12.0)


def _by_month(months: NDArray[np.int64], values: Floats) -> Floats:
    means = np.full(12, np.nan)
    for m in range(12):
        here = values[(months == m + 1) & ~np.isnan(values)]
        if here.size:
            means[m] = here.mean()
    return means
