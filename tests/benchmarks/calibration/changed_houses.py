"""Invented houses of which some change for good: what finding a change is tried on.

Nothing of it is the planner's: the weather is a year's wave with warm and cold spells of days and of months,
and a trend; a house answers to the mean of two days, heats its water a little more in winter, has people and
wind that last for weeks, and burns in every heating year (July to June) a factor of its own more or less.
Bills come at uneven days and tell whole kilograms.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FIRST_DAY = date(2012, 7, 1)
YEARS = 10
DAYS = 3652

WINTER_SD = (0.05, 0.08)
"""Own factors of heating years: their sd is drawn between these for each house."""

STATED_OFF = 0.25
"""Stated yearly uses are off by up to this, evenly."""


@dataclass(frozen=True)
class ChangedHouse:
    """A house, its bills, and what is stated of it.

    Attributes
    ----------
    mean_c, use_kg
        Shape (days,). [degC, kg]
    changed_on
        Day of the step, None where nothing changed.
    billed
        Days on whose evening the meter is read, shape (bills,).
    shown_kg
        Whole kilograms that it shows then, shape (bills,). [kg]
    stated_kg, true_kg
        A year's use as stated, and as it was at first on an average winter. [kg]
    stated
        kg per degree-day, kg a day and base temperature by what is stated. [kg/K/d, kg/d, degC]
    """

    mean_c: Floats
    use_kg: Floats
    changed_on: date | None
    billed: NDArray[np.int64]
    shown_kg: Floats
    stated_kg: float
    true_kg: float
    stated: tuple[float, float, float]

    def day(self, i: int) -> date:
        """Return the day of an index."""
        return FIRST_DAY + timedelta(int(i))

    def neighbours(self) -> tuple[date, date]:
        """Return the days of the bills before and after the step."""
        assert self.changed_on is not None
        at = (self.changed_on - FIRST_DAY).days
        later = int(np.searchsorted(self.billed, at))
        return self.day(self.billed[later - 1]), self.day(self.billed[later])

    def in_heating_season(self) -> bool:
        """Return whether the step came between October and April."""
        return self.changed_on is not None and self.changed_on.month in (10, 11, 12, 1, 2, 3, 4)


def house(
    seed: int,
    step: float = 0.0,
    *,
    of: str = "all",
    on: int | None = None,
    meter_drift: float = 0.0,
    bill_days: tuple[int, int] = (27, 35),
    winter_sd: tuple[float, float] = WINTER_SD,
) -> ChangedHouse:
    """Return an invented house of ten years.

    Parameters
    ----------
    seed
        Of all that is drawn.
    step
        Share by which its use changes for good; 0: never.
    of
        What changes: "all" (a boiler), "heating" (windows, insulation) or "water" (a person).
    on
        Index of the day of the change; None: drawn between a year and a half after the first day and as long
        before the last.
    meter_drift
        Share by which the meter's scale grows in a year.
    bill_days
        Least and most days between two bills.
    winter_sd
        Limits between which the sd of the own factors of heating years is drawn.
    """
    rng = np.random.default_rng([seed, 77])
    mean_c = weather(rng)
    lagged = 0.65 * mean_c + 0.35 * np.concatenate([mean_c[:1], mean_c[:-1]])
    base_c = rng.uniform(12.5, 17.0)
    year_kg, water_share = rng.uniform(2500, 9000), rng.uniform(0.10, 0.25)
    day = np.arange(DAYS)
    warmth = np.maximum(0.0, base_c - lagged)
    slope = year_kg * (1 - water_share) / (warmth.sum() / YEARS)
    water_kg = year_kg * water_share / 365.25 * (1 + 0.15 * np.cos(2 * np.pi * (day - 200) / 365.25))
    at = int(rng.integers(548, DAYS - 548)) if on is None else on
    after = np.where((day >= at) & (step != 0.0), 1.0 + step, 1.0)
    heating = slope * warmth * (after if of in ("all", "heating") else 1.0)
    water = water_kg * (after if of in ("all", "water") else 1.0)
    use = (heating * _years(rng, rng.uniform(*winter_sd)) + water) * _days(rng)
    billed = _bill_days(rng, bill_days)
    shown = np.round(np.cumsum(use * (1 + meter_drift * day / 365.25)))[billed]
    off = 1 + rng.uniform(-STATED_OFF, STATED_OFF)
    stated_base_c = base_c + rng.normal(0, 1.0)
    stated_water = rng.uniform(0.10, 0.25)
    degree_days = np.maximum(0.0, stated_base_c - mean_c).sum() / YEARS
    stated_kg = off * year_kg
    return ChangedHouse(
        mean_c,
        use,
        FIRST_DAY + timedelta(at) if step else None,
        billed,
        shown,
        stated_kg,
        year_kg,
        (
            stated_kg * (1 - stated_water) / degree_days,
            stated_kg * stated_water / 365.25,
            float(stated_base_c),
        ),
    )


def weather(rng: np.random.Generator) -> Floats:
    """Return ten years of daily means: a wave, days that last, months that last, and a trend. [degC]"""
    day = np.arange(DAYS)
    wave = rng.uniform(7.5, 11.0) - rng.uniform(8.0, 11.0) * np.cos(2 * np.pi * (day - 200) / 365.25)
    spells = _lasting(rng, 0.75, 3.2) + _lasting(rng, 0.97, 1.3)
    return np.asarray(wave + spells + 0.4 * day / 3652.5, dtype=float)


def _lasting(rng: np.random.Generator, stays: float, sd: float) -> Floats:
    """Return an autoregression of the first order with a standard deviation, shape (days,)."""
    out, steps = np.zeros(DAYS), rng.standard_normal(DAYS) * sd * np.sqrt(1 - stays**2)
    out[0] = sd * rng.standard_normal()
    for i in range(1, DAYS):
        out[i] = stays * out[i - 1] + steps[i]
    return out


def _years(rng: np.random.Generator, sd: float) -> Floats:
    """Return the factor of each day's heating year, shape (days,)."""
    return np.asarray(np.repeat(1 + sd * rng.standard_normal(YEARS + 1), 366)[:DAYS])


def _days(rng: np.random.Generator) -> Floats:
    """Return what people and wind make of each day, shape (days,): a factor of mean 1."""
    lot = rng.uniform(0.10, 0.25) * rng.standard_normal(DAYS) + _lasting(rng, 0.93, rng.uniform(0.02, 0.05))
    return np.asarray(np.maximum(0.05, 1 + lot))


def _bill_days(rng: np.random.Generator, between: tuple[int, int]) -> NDArray[np.int64]:
    days = [int(rng.integers(0, between[1]))]
    while days[-1] + between[1] < DAYS - 1:
        days.append(days[-1] + int(rng.integers(between[0], between[1] + 1)))
    return np.array([*days, DAYS - 1], dtype=np.int64)
