"""What goes into the posterior of many sites at once, and what comes out, as arrays."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning.sums import Floats, Ints

Number = TypeVar("Number", np.float64, np.int64, np.bool_)


@dataclass(frozen=True)
class Evidence:
    """Readings of N sites, n each in order of time; shorter rows are padded with an infinite `var_kg2`.

    Attributes
    ----------
    y_kg, var_kg2
        Shape (N, n): readings and their own variance. Counts start at 0 with each segment. [kg, kg²]
    at, since
        Shape (N, n): half-day index of the reading, and where its use is counted from.
    is_count, sees_volume, is_room
        Shape (N, n). For "room", `sees_volume` is the chance that the delivery filled the store.
    brought_kg, brought_var_kg2
        Shape (N, n): deliveries up to the reading, and the variance of that sum. [kg, kg²]
    habit_kg
        Shape (N, n): for "room", how far one standard deviation of people's habit moves it. [kg]
    meter, segment
        Shape (N, n): index of the meter and of its unbroken run of readings, −1 for levels.
    loose_kg2
        Shape (N, n): extra variance of the use since the reading before (a spell known not to fit). [kg²]
    meter_rel_sd, meter_drift_sd, meter_from
        Shape (N, meters): doubt of the scale as a share, and of its drift in a year; half-day index of the
        first reading.
    device_sd
        Shape (N, segments): doubt of the scale of a run as that of another device, as a share.
    segments
        Greatest number of segments.
    end_at, end_brought_kg, end_brought_var_kg2
        Shape (N,): the same for the evening the level is wanted for.
    start_at, start_kg, start_sd_kg
        Shape (N,): where the reckoning begins and what the level there is believed to be.
    capacity_kg
        Shape (N,). [kg]
    station
        Shape (N,), row of the weather.
    slope_change_at, day_change_at
        Half-day indices at which slope or daily part may have changed; for all sites the same.
    """

    y_kg: Floats
    var_kg2: Floats
    at: Ints
    since: Ints
    is_count: Ints
    sees_volume: Floats
    is_room: NDArray[np.bool_]
    brought_kg: Floats
    brought_var_kg2: Floats
    habit_kg: Floats
    meter: Ints
    segment: Ints
    loose_kg2: Floats
    meter_rel_sd: Floats
    meter_drift_sd: Floats
    meter_from: Ints
    device_sd: Floats
    segments: int
    end_at: Ints
    end_brought_kg: Floats
    end_brought_var_kg2: Floats
    start_at: Ints
    start_kg: Floats
    start_sd_kg: Floats
    capacity_kg: Floats
    station: Ints
    slope_change_at: tuple[int, ...] = ()
    day_change_at: tuple[int, ...] = ()


@dataclass(frozen=True)
class Priors:
    """Priors of N sites as arrays, each of shape (N,): see :class:`fuelplan.learning.Prior`; `year_rel_sd` is
    infinite where no year was stated.
    """

    slope: Floats
    slope_sd: Floats
    day_kg: Floats
    day_sd_kg: Floats
    base_c: Floats
    base_sd_c: Floats
    year_rel_sd: Floats = field(default_factory=lambda: np.empty(0))

    def __post_init__(self) -> None:
        """Without a stated year nothing is tied to it."""
        if not len(self.year_rel_sd):
            object.__setattr__(self, "year_rel_sd", np.full(len(self.slope), np.inf))


QUANTITIES = 6
"""Slope, daily part, level; parts of weeks and season on the last evening; wave of the daily part."""


@dataclass(frozen=True)
class PosteriorCells:
    """A mixture of Gaussians for :data:`QUANTITIES`, one per site, base and noise.

    Attributes
    ----------
    weight
        Shape (N, S, B), sums to 1 per site.
    base_c
        Shape (N, B). [degC]
    noise
        Shape (S, 3), shares: day to day, over weeks, over a season.
    mean, cov
        Shapes (N, S, B, 6) and (N, S, B, 6, 6): kg_per_degree_day, kg_per_day, level_kg, weeks, season,
        wave_kg.
    floor_kg
        Shape (N,): part of a day's use whose noise does not shrink with use. [kg/d]
    start_kg
        Shape (N,): mean of the level where the reckoning began. [kg]
    bias
        Shape (N,): mean of the site's volume error, as a share.
    scale
        Shape (N, meters): mean of the scale errors, as shares.
    device
        Shape (N, segments): what a run's scale differs by where it may be another device's, as a share.
    steps
        Shape (N, changes): mean change of slope at each of `Evidence.slope_change_at`. [kg/K/d]
    log_evidence
        Shape (N,): log density of the readings, for comparing assumptions.
    """

    weight: Floats
    base_c: Floats
    noise: Floats
    mean: Floats
    cov: Floats
    floor_kg: Floats
    start_kg: Floats
    bias: Floats
    scale: Floats
    device: Floats
    steps: Floats
    log_evidence: Floats


@dataclass(frozen=True)
class Centre:
    """Where products of unknowns are linearised; each of shape (N,), `steps` (N, changes of slope).

    The slope is the last one; `steps` are what each of `Evidence.slope_change_at` added to it.
    """

    slope: Floats
    day_kg: Floats
    base: Ints
    start_kg: Floats
    steps: Floats | None = None


def with_end(evidence: Evidence) -> Evidence:
    """Append the wanted level as a reading that weighs nothing, so that its columns come out too."""

    def append(block: NDArray[Number], column: NDArray[Number] | float) -> NDArray[Number]:
        tail = np.broadcast_to(np.asarray(column, dtype=block.dtype), (len(block),))[:, None]
        joined: NDArray[Number] = np.concatenate([block, tail], axis=1)
        return joined

    return replace(
        evidence,
        y_kg=append(evidence.y_kg, 0.0),
        var_kg2=append(evidence.var_kg2, np.inf),
        at=append(evidence.at, evidence.end_at),
        since=append(evidence.since, evidence.start_at),
        is_count=append(evidence.is_count, 0),
        sees_volume=append(evidence.sees_volume, 0.0),
        is_room=append(evidence.is_room, False),
        brought_kg=append(evidence.brought_kg, evidence.end_brought_kg),
        brought_var_kg2=append(evidence.brought_var_kg2, evidence.end_brought_var_kg2),
        habit_kg=append(evidence.habit_kg, 0.0),
        meter=append(evidence.meter, -1),
        segment=append(evidence.segment, -1),
        loose_kg2=append(evidence.loose_kg2, 0.0),
    )
