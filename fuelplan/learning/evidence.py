"""One site's readings and deliveries, put in order as the arrays of the model."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

import numpy as np

from fuelplan.learning import words
from fuelplan.learning.prior import SignatureError
from fuelplan.learning.readings import DEVICE_REL_SD, DRIFT_REL_SD, Delivery, Observation, full, room_for
from fuelplan.learning.state import Evidence
from fuelplan.learning.sums import Floats
from fuelplan.weather import DailyWeather

ORDER_IN_DAY = {"morning": 0, "before_delivery": 1, "after_delivery": 2, "evening": 3}
DELIVERY_IN_DAY, LATE_DELIVERY_IN_DAY = 1.5, 2.5
START_SHARE_SD = 0.35
"""Doubt of an unknown start, as a share of the capacity around half of it."""

UNKNOWN_SIZE = 4.0
"""A store of unknown capacity may hold this many times a year's use."""

MOST_READINGS = 420
NEWEST_READINGS = 60  # are all used, however many there are
"""More readings than this are thinned out before learning."""

HALF_DAYS = {"morning": 0, "before_delivery": 1, "after_delivery": 1, "evening": 2}


@dataclass(frozen=True)
class Record:
    """What is known of a site up to an evening, sorted.

    Attributes
    ----------
    first_day
        Day 0 of the weather.
    observations
        Readings in order of time, with what deliveries tell among them.
    deliveries
        In order of time.
    as_of
        The evening up to which it goes.
    capacity_kg
        Of the store, None where unknown. [kg]
    restarted
        Whether each observation begins a new run of its meter, found or said.
    """

    first_day: date
    observations: tuple[Observation, ...]
    deliveries: tuple[Delivery, ...]
    as_of: date
    capacity_kg: float | None
    restarted: tuple[bool, ...]

    @cached_property
    def at(self) -> list[int]:
        """Half-day index of each observation."""
        return [2 * (o.day - self.first_day).days + HALF_DAYS[o.moment] for o in self.observations]

    @cached_property
    def meters(self) -> tuple[str, ...]:
        """Names of the meters, in order of first use."""
        return tuple(dict.fromkeys(o.meter for o in self.observations if o.is_count))

    @cached_property
    def start_at(self) -> int:
        """Half-day index where the reckoning begins: first reading, or morning of the first delivery."""
        begin = self.at[:1] + [2 * (d.day - self.first_day).days for d in self.deliveries[:1]]
        return min(begin, default=2 * (self.as_of - self.first_day).days + 2)

    def brought(self, day: date, moment: str) -> tuple[float, float]:
        """Return what had come up to a moment, and the variance of that sum. [kg, kg²]"""
        here = (day, ORDER_IN_DAY[moment])
        came = [self.amount(d) for d in self.deliveries if (d.day, _order_of(d)) < here]
        return sum(kg for kg, _ in came), sum(sd**2 for _, sd in came)

    def amount(self, one: Delivery) -> tuple[float, float]:
        """Return what a delivery brought and its doubt; an unknown amount: anything that fits. [kg, kg]"""
        if one.kg is not None:
            return one.kg, one.sd_kg
        assert self.capacity_kg is not None
        return 0.5 * self.capacity_kg, 0.5 * self.capacity_kg


def _order_of(one: Delivery) -> float:
    return LATE_DELIVERY_IN_DAY if one.late else DELIVERY_IN_DAY


def put_in_order(
    weather: DailyWeather,
    observations: Sequence[Observation],
    deliveries: Sequence[Delivery],
    as_of: date,
    capacity_kg: float | None,
) -> Record:
    """Sort readings and deliveries, leave out what is later than `as_of`, refuse what cannot be used."""
    seen = [o for o in observations if o.day <= as_of]
    came = sorted((d for d in deliveries if d.day <= as_of), key=lambda d: d.day)
    for d in came:
        if d.filled_full or d.kg is None:
            if capacity_kg is None:
                raise SignatureError(words.full_of_what(d.day))
            seen.append(replace(full(d.day, capacity_kg), moment="after_delivery"))
        elif capacity_kg is not None and (room := room_for(d, capacity_kg)) is not None:
            seen.append(room)
    seen.sort(key=lambda o: (o.day, ORDER_IN_DAY[o.moment]))
    first = min([o.day for o in seen] + [d.day for d in came], default=as_of)
    # the evening before the first day of weather is its beginning
    begin = min([2 * (o.day - weather.first_day).days + HALF_DAYS[o.moment] for o in seen], default=0)
    early = begin < 0 or any(d.day < weather.first_day for d in came)
    if early or as_of > weather.last_day:
        raise SignatureError(words.weather_too_short((weather.first_day, weather.last_day), (first, as_of)))
    last: dict[str, float] = {}
    restarted = []
    for o in seen:
        # a count that fell can only have begun anew
        anew = o.is_count and (o.restarted or o.meter not in last or o.kg < last[o.meter])
        restarted.append(anew)
        if o.is_count:
            last[o.meter] = o.kg
    return Record(weather.first_day, tuple(seen), tuple(came), as_of, capacity_kg, tuple(restarted))


def evidence_of(
    record: Record,
    size_kg: float,
    loose_kg2: Floats | None = None,
    slope_change_at: tuple[int, ...] = (),
    day_change_at: tuple[int, ...] = (),
) -> Evidence:
    """Return the arrays of the model for one site (N = 1).

    Parameters
    ----------
    record
        Readings and deliveries.
    size_kg
        Capacity, or a year's use where it is unknown: the start may be anything in it. [kg]
    loose_kg2
        Shape (n,): extra variance of the use since the reading before. [kg²]
    slope_change_at, day_change_at
        Half-day indices of changes of slope and daily part.
    """
    obs, meters = record.observations, record.meters
    n = len(obs)
    y, since = np.zeros(n), np.full(n, record.start_at)
    meter, segment = np.full(n, -1), np.full(n, -1)
    meter_from = np.zeros((1, len(meters)), dtype=np.int64)
    open_run: dict[str, tuple[int, float, int]] = {}
    segments = 0
    device: list[float] = []
    for i, o in enumerate(obs):
        y[i] = o.kg
        if not o.is_count:
            continue
        m = meters.index(o.meter)
        if o.meter not in open_run:
            meter_from[0, m] = record.at[i]
        if record.restarted[i]:
            device.append(DEVICE_REL_SD[o.kind] if o.meter in open_run else 0.0)
            open_run[o.meter] = (record.at[i], o.kg, segments)
            segments += 1
        since[i], first_kg, segment[i] = open_run[o.meter]
        y[i], meter[i] = o.kg - first_kg, m
    brought = np.array([record.brought(o.day, o.moment) for o in obs]).reshape(n, 2)
    end = record.brought(record.as_of, "evening")
    rel_sd = [max(o.scale_rel_sd for o in obs if o.meter == m) for m in meters]
    drift_sd = [max(DRIFT_REL_SD[o.kind] for o in obs if o.meter == m) for m in meters]
    known = record.capacity_kg is not None
    return Evidence(
        y_kg=y[None],
        var_kg2=np.array([o.sd_kg**2 for o in obs])[None].reshape(1, n),
        at=np.array(record.at, dtype=np.int64).reshape(1, n),
        since=since[None].astype(np.int64),
        is_count=np.array([o.is_count for o in obs], dtype=np.int64).reshape(1, n),
        sees_volume=np.array([o.sees_volume for o in obs], dtype=float).reshape(1, n),
        is_room=np.array([o.kind == "room" for o in obs], dtype=bool).reshape(1, n),
        brought_kg=brought[None, :, 0],
        brought_var_kg2=brought[None, :, 1],
        habit_kg=np.zeros((1, n)),
        meter=meter[None].astype(np.int64),
        segment=segment[None].astype(np.int64),
        loose_kg2=(np.zeros(n) if loose_kg2 is None else loose_kg2)[None],
        meter_rel_sd=np.array(rel_sd).reshape(1, len(meters)),
        meter_drift_sd=np.array(drift_sd).reshape(1, len(meters)),
        meter_from=meter_from,
        device_sd=np.array(device).reshape(1, segments),
        segments=segments,
        end_at=np.array([2 * (record.as_of - record.first_day).days + 2]),
        end_brought_kg=np.array([end[0]]),
        end_brought_var_kg2=np.array([end[1]]),
        start_at=np.array([record.start_at]),
        start_kg=np.array([0.5 * size_kg]),
        start_sd_kg=np.array([(START_SHARE_SD if known else 1.0) * size_kg]),
        capacity_kg=np.array([size_kg if known else UNKNOWN_SIZE * size_kg]),
        station=np.array([0]),
        slope_change_at=slope_change_at,
        day_change_at=day_change_at,
    )


def thinned(record: Record, most: int = MOST_READINGS) -> Record:
    """Keep at most about `most` readings: the newest, and of those before them, of each meter and of levels,
    every second, third … and the last.

    Sums lose nothing by it, since a later count or level holds the use of the days before.
    """
    n = len(record.observations)
    if n <= most:
        return record
    newest = min(NEWEST_READINGS, most // 2)
    step = -(-(n - newest) // (most - newest))
    seen: dict[str, int] = {}
    last = {o.meter: i for i, o in enumerate(record.observations)}
    keep = []
    for i, o in enumerate(record.observations):
        place = seen.get(o.meter, 0)
        seen[o.meter] = place + 1
        odd = record.restarted[i] or o.kind == "room" or last[o.meter] == i
        if i >= n - newest or odd or place % step == 0:
            keep.append(i)
    return replace(
        record,
        observations=tuple(record.observations[i] for i in keep),
        restarted=tuple(record.restarted[i] for i in keep),
    )
