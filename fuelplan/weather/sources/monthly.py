"""A usual year from twelve monthly means: what is left for a place with nothing else."""

from __future__ import annotations

from datetime import date

import numpy as np

from fuelplan.messages import Message, Number, Own, Refusal, message
from fuelplan.weather.gaps import HIGHEST_C, LOWEST_C
from fuelplan.weather.record import DailyWeather, Floats, Origin, Place, Source
from fuelplan.weather.seasons import MONTHS, month_index
from fuelplan.weather.sources.requests import Loaded, MonthlyRequest

YEAR = 2001
LEAST_SPREAD_K, MOST_SPREAD_K = 0.1, 15.0


def load_monthly(request: MonthlyRequest, place: Place) -> Loaded:
    """Return a smooth usual year whose monthly means are the ones given, and the spread of its days.

    Without a spread: that of :func:`usual_spread_c`.

    Raises
    ------
    Refusal
        If a mean cannot be.
    ValueError
        If there are not twelve means or spreads, or a spread cannot be.
    """
    mean = _twelve(request.mean_c)
    for value in request.mean_c:
        if not LOWEST_C <= value <= HIGHEST_C:
            raise Refusal(_impossible(value))
    spread = usual_spread_c(mean) if request.sd_c is None else _twelve(request.sd_c)
    if not ((spread >= LEAST_SPREAD_K) & (spread <= MOST_SPREAD_K)).all():
        raise ValueError(f"spreads of days lie between {LEAST_SPREAD_K:g} and {MOST_SPREAD_K:g} K")
    dates = np.datetime64(date(YEAR, 1, 1), "D") + np.arange(365)
    blank = np.full(365, np.nan)
    weather = DailyWeather(
        first_day=date(YEAR, 1, 1),
        mean_c=through_months(mean),
        min_c=blank,
        max_c=blank,
        humidity_pct=blank,
        origin=np.full(365, Origin.GENERATED, np.uint8),
        source=np.zeros(365, np.uint8),
        sources=(Source(request.name, invented=request.invented),),
        place=place,
        reference_year=True,
        spread_c=spread[month_index(dates)],
    )
    note = message(
        "weather.monthly_means",
        "Only monthly means are known: days are made up around them, and no real winter stands behind the "
        "answer.",
    )
    return Loaded(weather, None, (note,))


def _twelve(values: tuple[float, ...]) -> Floats:
    if len(values) != MONTHS:
        raise ValueError(f"{len(values)} figures; give twelve, January to December")
    return np.array(values, dtype=np.float64)


def _impossible(mean_c: float) -> Message:
    return message(
        "weather.impossible_monthly_mean",
        "a monthly mean of {mean} cannot be; give it in °C, between {lowest} and {highest}",
        mean=Own(f"{mean_c:g}"),
        lowest=Number(LOWEST_C),
        highest=Number(HIGHEST_C),
    )


def through_months(mean_c: Floats) -> Floats:
    """Return the smoothest year of 365 days with the given monthly means, shape (365,). [degC]

    Least squares of the bend from day to day, round the year, with the twelve means as conditions (Lagrange).
    """
    dates = np.datetime64(date(YEAR, 1, 1), "D") + np.arange(365)
    month = month_index(dates)
    average = np.array([(month == m) / (month == m).sum() for m in range(MONTHS)])
    eye = np.eye(365)
    bend = np.roll(eye, 1, axis=1) - 2.0 * eye + np.roll(eye, -1, axis=1)
    system = np.block([[bend.T @ bend, average.T], [average, np.zeros((MONTHS, MONTHS))]])
    return np.asarray(np.linalg.solve(system, np.concatenate([np.zeros(365), mean_c]))[:365])


def usual_spread_c(mean_c: Floats) -> Floats:
    """Return the usual spread of daily means by month where only monthly means are known, shape (12,). [K]

    A rule of ours from memory of station records: 2.5 K + 8 % of the yearly range in the coldest month, 2.0
    K + 4 % in the warmest, in between by the month's place between the two. A maritime year of 14 K range:
    3.6 and 2.6 K.
    """
    span = float(np.ptp(mean_c))
    cold = np.ones(MONTHS) if span == 0 else (mean_c.max() - mean_c) / span
    return np.asarray(cold * (2.5 + 0.08 * span) + (1.0 - cold) * (2.0 + 0.04 * span))
