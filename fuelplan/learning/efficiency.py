"""Seasonal efficiency and its drift, where heat is metered as well as fuel."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from fuelplan.learning import words
from fuelplan.learning.fit import Interval
from fuelplan.learning.prior import SignatureError
from fuelplan.learning.sums import Floats
from fuelplan.messages import Message, paragraph

P10 = 1.2816
"""Standard normal deviate of the 10 % and 90 % points."""

NEAR_DAYS = 7
"""A heat reading counts for a day this far away at most; between readings it is interpolated. [d]"""


@dataclass(frozen=True)
class Efficiency:
    """Heat metered over the fuel's energy.

    Attributes
    ----------
    share, share_p10, share_p90
        Seasonal efficiency on the net calorific value, and its 80 % interval.
    drift_per_year, drift_p10, drift_p90
        Change of it in a year, in points as a share; NaN below four periods or half a year.
    periods
        How many stretches had both.
    heat_kwh, fuel_kg
        Their sums. [kWh, kg]
    sentence
        For people.
    """

    share: float
    share_p10: float
    share_p90: float
    drift_per_year: float
    drift_p10: float
    drift_p90: float
    periods: int
    heat_kwh: float
    fuel_kg: float
    sentence: Message


def seasonal_efficiency(
    fuel: Sequence[Interval],
    heat: Sequence[tuple[date, float]],
    net_kwh_per_kg: float,
    fuel_rel_sd: float = 0.02,
    heat_rel_sd: float = 0.03,
) -> Efficiency:
    """Return the seasonal efficiency from stretches whose fuel and heat are both known.

    Parameters
    ----------
    fuel
        Stretches with the kilograms burned and their doubt (:class:`Interval`); flagged ones are left out.
    heat
        Readings of the heat meter: day and kWh shown.
    net_kwh_per_kg
        Net calorific value as received. [kWh/kg]
    fuel_rel_sd, heat_rel_sd
        Doubt of the calorific value and of the meter, shared by all stretches (assumptions; a heat meter of
        class 3 may be off by some 3 %).

    The efficiency is the ratio of the sums. Its drift is a straight line through the ratios of the stretches,
    weighed by their own doubt; shared doubts do not touch the drift.

    Returns
    -------
    Efficiency
        With its 80 % interval, and the drift where there are stretches enough.

    Raises
    ------
    SignatureError
        Where no stretch has both fuel and heat, or the calorific value is not above 0.
    """
    if not net_kwh_per_kg > 0:
        raise SignatureError(
            f"{net_kwh_per_kg:g} kWh/kg; a net calorific value is above 0, about 4.8 for pellets"
        )
    rows = []
    for x in fuel:
        begin, end = _shown(heat, x.first_day), _shown(heat, x.last_day)
        if x.flagged or begin is None or end is None or x.used_kg <= 0 or end <= begin:
            continue
        middle = x.first_day.toordinal() + 0.5 * (x.last_day - x.first_day).days
        rows.append((middle / 365.25, end - begin, x.used_kg, x.sd_kg))
    if not rows:
        raise SignatureError(
            "no stretch has both fuel and heat; read the heat meter on the days of fuel readings"
        )
    years, heat_kwh, kg, sd_kg = (np.array(c) for c in zip(*rows, strict=True))
    share = float(heat_kwh.sum() / kg.sum() / net_kwh_per_kg)
    # neighbouring stretches share a reading whose error cancels in the sum: only the ends remain
    own = math.sqrt(float(sd_kg[0] ** 2 + sd_kg[-1] ** 2) / 2) / float(kg.sum())
    rel = math.sqrt(own**2 + fuel_rel_sd**2 + heat_rel_sd**2)
    drift, drift_sd = _drift(years, heat_kwh / kg / net_kwh_per_kg, sd_kg / kg)
    low, high = share * (1 - P10 * rel), share * (1 + P10 * rel)
    moves = math.isfinite(drift) and abs(drift) > P10 * drift_sd
    said = [
        words.became_heat(share, low, high),
        *([words.efficiency_moves(drift)] if moves else []),
        *([words.more_heat_than_fuel()] if share > 1 else []),
    ]
    return Efficiency(
        share,
        low,
        high,
        drift,
        drift - P10 * drift_sd,
        drift + P10 * drift_sd,
        len(rows),
        float(heat_kwh.sum()),
        float(kg.sum()),
        paragraph(said),
    )


def _shown(heat: Sequence[tuple[date, float]], day: date) -> float | None:
    """What the meter showed on a day, interpolated; None where no reading is near or it began anew."""
    before = max((r for r in heat if r[0] <= day), default=None)
    after = min((r for r in heat if r[0] >= day), default=None)
    if before is None or after is None:
        return None
    if before[0] == after[0]:
        return before[1]
    if min((day - before[0]).days, (after[0] - day).days) > NEAR_DAYS or after[1] < before[1]:
        return None
    part = (day - before[0]).days / (after[0] - before[0]).days
    return before[1] + part * (after[1] - before[1])


def _drift(years: Floats, share: Floats, rel_sd: Floats) -> tuple[float, float]:
    """Slope of a weighed line and its standard error; scatter counts where it exceeds the stated doubt."""
    if len(years) < 4 or np.ptp(years) < 0.5:
        return math.nan, math.nan
    w = 1 / (share * np.maximum(rel_sd, 0.005)) ** 2
    t = years - float(w @ years / w.sum())
    slope = float(w @ (t * share)) / float(w @ t**2)
    left = share - float(w @ share / w.sum()) - slope * t
    scatter = max(1.0, float(w @ left**2) / (len(years) - 2))
    return slope, math.sqrt(scatter / float(w @ t**2))
