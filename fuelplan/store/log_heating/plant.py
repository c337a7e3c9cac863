"""A boiler for logs and pellets with its buffer, and the rule by which a person loads logs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.heat.boiler import Boiler
from fuelplan.heat.building import months_of
from fuelplan.messages import Day, Own, Quantity, Refusal, message
from fuelplan.store.buffer import Buffer

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]
Hours = tuple[tuple[float, float], ...]


class LogHeatingError(Refusal):
    """Something said about heating with logs cannot be; the sentence says what to write instead."""


@dataclass(frozen=True)
class LogLoad:
    """One full load of logs in the fuel chamber.

    Attributes
    ----------
    kg
        Logs as they lie. [kg]
    kwh_per_kg
        Net energy as received. [kWh/kg]
    burn_h
        How long a full load burns. [h]
    """

    kg: float
    kwh_per_kg: float
    burn_h: float

    def __post_init__(self) -> None:
        """Refuse loads of nothing."""
        if not (self.kg > 0 and self.kwh_per_kg > 0 and self.burn_h > 0):
            raise LogHeatingError(
                message(
                    "logs.load_of_nothing",
                    "a load of logs needs a mass, an energy and a burning time above zero",
                )
            )


@dataclass(frozen=True)
class LogPelletBoiler:
    """A boiler that burns logs when a person loads them, and pellets by itself for the rest.

    Attributes
    ----------
    log_side
        The boiler on logs; None: pellets only.
    pellet_side
        The boiler on pellets; None: logs only.
    load
        A full load of logs; needed with a log side.
    pellet_kwh_per_kg
        Net energy of the pellets. [kWh/kg]
    buffer
        Its buffer.
    pellets_on_share, pellets_off_share
        Pellets start when the buffer holds less than this share of its usable heat, and stop at the other.
        Common practice: 0.1 and 0.5, so that room is left for logs.
    """

    log_side: Boiler | None
    pellet_side: Boiler | None
    buffer: Buffer
    load: LogLoad | None = None
    pellet_kwh_per_kg: float = 4.8
    pellets_on_share: float = 0.1
    pellets_off_share: float = 0.5

    def __post_init__(self) -> None:
        """Refuse boilers that burn nothing, and loads that would overpower the boiler."""
        if self.log_side is None and self.pellet_side is None:
            raise LogHeatingError("the boiler burns neither logs nor pellets; give it at least one side")
        if (self.log_side is None) != (self.load is None):
            raise LogHeatingError(
                "a log side needs a full load of logs (kg, kWh per kg, hours), and the other way round"
            )
        if not self.pellet_kwh_per_kg > 0:
            raise LogHeatingError(
                message("logs.pellet_energy", "pellets have an energy above zero; write e.g. 4.8 kWh/kg")
            )
        if not 0 <= self.pellets_on_share < self.pellets_off_share <= 1:
            raise LogHeatingError(
                "pellets start below a lower share of the buffer than they stop at; e.g. 0.1 and 0.5"
            )
        if self.log_side is not None and self.log_kw > self.log_side.rated_kw * 1.0001:
            assert self.load is not None
            raise LogHeatingError(
                message(
                    "logs.load_overpowers",
                    "{load} of logs in {hours} hours would give {power}, more than the rated {rated}; write "
                    "a longer burning time or a smaller load",
                    load=Quantity.written(self.load.kg, "kg", "g"),
                    hours=Own(f"{self.load.burn_h:g}"),
                    power=Quantity.written(self.log_kw, "kW", ".0f"),
                    rated=Quantity.written(self.log_side.rated_kw, "kW", "g"),
                )
            )

    @property
    def load_useful_kwh(self) -> float:
        """Useful heat of a full load of logs. [kWh]"""
        if self.log_side is None or self.load is None:
            return 0.0
        fuel_kwh = self.load.kg * self.load.kwh_per_kg
        useful = fuel_kwh
        for _ in range(
            60
        ):  # the efficiency hangs on the output, the output on the efficiency; it settles at once
            kw = min(useful / self.load.burn_h, 2.0 * self.log_side.rated_kw)
            useful = fuel_kwh * float(self.log_side.efficiency(kw))
        return useful

    @property
    def log_kw(self) -> float:
        """Output while logs burn. [kW]"""
        return 0.0 if self.load is None else self.load_useful_kwh / self.load.burn_h


@dataclass(frozen=True)
class LoadingRule:
    """When the person loads logs.

    Attributes
    ----------
    weekday_hours, weekend_hours
        Clock hours in which somebody can load, e.g. ((17, 22),) for evenings; empty for never.
    cold_below_c, cold_hours
        On days with a mean below this, somebody loads in these hours too. [degC]
    not_above_c
        No logs on days with a mean above this: nobody lights a fire then. [degC]
    months
        In which logs are burned at all.
    away
        Days away, first and last included: never loaded.
    most_loads_a_day
        At most so many.
    half_loads
        Whether a half load is taken where a full one does not fit the buffer.
    """

    weekday_hours: Hours = ((17.0, 22.0),)
    weekend_hours: Hours = ((8.0, 22.0),)
    cold_below_c: float | None = None
    cold_hours: Hours = ((6.0, 22.0),)
    not_above_c: float = 15.0
    months: tuple[int, ...] = tuple(range(1, 13))
    away: Sequence[tuple[date, date]] = field(default=())
    most_loads_a_day: int = 4
    half_loads: bool = True

    def __post_init__(self) -> None:
        """Refuse hours outside the day, months outside the year and absences that end before they begin."""
        for spans in (self.weekday_hours, self.weekend_hours, self.cold_hours):
            for a, b in spans:
                if not 0 <= a < b <= 24:
                    raise LogHeatingError(
                        message(
                            "logs.loading_hours",
                            "loading from {start} to {end} o'clock cannot be; write e.g. 17 to 22",
                            start=Own(f"{a:g}"),
                            end=Own(f"{b:g}"),
                        )
                    )
        if not all(1 <= m <= 12 for m in self.months):
            raise LogHeatingError(message("logs.months", "months are numbers from 1 to 12"))
        for first, last in self.away:
            if last < first:
                raise LogHeatingError(
                    message(
                        "logs.away_backwards",
                        "away from {first} until {last} ends before it begins; swap the dates",
                        first=Day(first, year=True),
                        last=Day(last, year=True),
                    )
                )
        if self.most_loads_a_day < 0:
            raise LogHeatingError(
                message("logs.loads_a_day", "loads a day cannot be negative; write zero or more")
            )

    def may_load(self, dates: Dates, mean_c: ArrayLike, steps_per_day: int) -> Bools:
        """Return when somebody would load, shape (paths, days * steps_per_day).

        Parameters
        ----------
        dates
            Shape (days,).
        mean_c
            Daily means, shape (paths, days). [degC]
        steps_per_day
            24 for hours, 96 for quarters.
        """
        mean = np.atleast_2d(np.asarray(mean_c, dtype=np.float64))
        hour = np.arange(steps_per_day) * 24.0 / steps_per_day
        weekend = (dates.astype(np.int64) + 3) % 7 >= 5  # day 0 of the count, 1 January 1970, was a Thursday
        by_day = np.where(
            weekend[:, None], _within(hour, self.weekend_hours), _within(hour, self.weekday_hours)
        )
        allowed = np.isin(months_of(dates), self.months)
        for first, last in self.away:
            allowed &= (dates < np.datetime64(first, "D")) | (dates > np.datetime64(last, "D"))
        may = np.broadcast_to(by_day, (len(mean), *by_day.shape))
        if self.cold_below_c is not None:
            cold = (mean < self.cold_below_c)[:, :, None] & _within(hour, self.cold_hours)
            may = may | cold
        may = may & (allowed & (mean <= self.not_above_c))[:, :, None]
        return np.ascontiguousarray(may.reshape(len(mean), -1))


NEVER = LoadingRule(weekday_hours=(), weekend_hours=())


def _within(hour: Floats, spans: Hours) -> Bools:
    inside = np.zeros(len(hour), dtype=np.bool_)
    for a, b in spans:
        inside |= (hour >= a) & (hour < b)
    return inside


# Share of a day's hot water in each clock hour: a morning and an evening peak. Common practice.
WATER_BY_HOUR = np.array(
    [0, 0, 0, 0, 0, 2, 10, 14, 8, 5, 4, 4, 5, 4, 3, 3, 4, 6, 8, 8, 6, 4, 2, 0], dtype=np.float64
)


def spread_over_day(space_kwh: ArrayLike, hot_water_kwh: ArrayLike, steps_per_day: int) -> Floats:
    """Spread daily heat over the steps: heating evenly, hot water by its usual hours.

    Parameters
    ----------
    space_kwh, hot_water_kwh
        Shape (paths, days), broadcastable. [kWh]
    steps_per_day
        A multiple of 24.

    Returns
    -------
    Mean load of each step, shape (paths, days * steps_per_day). [kW]
    """
    if steps_per_day < 24 or steps_per_day % 24:
        raise LogHeatingError(f"{steps_per_day} steps a day do not divide the hours; write 24 or 96")
    space, water = np.broadcast_arrays(
        np.atleast_2d(np.asarray(space_kwh, dtype=np.float64)), np.asarray(hot_water_kwh, dtype=np.float64)
    )
    by_hour = np.repeat(WATER_BY_HOUR / WATER_BY_HOUR.sum(), steps_per_day // 24)
    load = water[:, :, None] * by_hour
    load += space[:, :, None] / 24.0
    return np.asarray(load.reshape(len(space), -1))
