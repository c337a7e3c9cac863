"""Gaps in a record: filled by the best means at hand, each filled day marked, or refused with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Percent, Range, Refusal, counted_message, message
from fuelplan.weather.record import Codes, DailyWeather, Floats, Origin, Source
from fuelplan.weather.seasons import MONTHS, covers_the_year, fit_cycle, month_index

Flags = NDArray[np.bool_]

LOWEST_C, HIGHEST_C = -60.0, 55.0
"""Daily means outside of these have not been seen where people heat with wood. [degC]"""

OFFSET_BELIEF_DAYS = 15.0
"""How many common days the offset over the whole year is worth against that of one month. [days]"""


class WeatherTooThin(Refusal):
    """A record with too many days unknown to stand on.

    Attributes
    ----------
    missing_share, longest_days
        Share of days without weather, 0..1, and the longest run of them. [-, days]
    """

    def __init__(self, said: Message, missing_share: float, longest_days: int) -> None:
        """Keep the reason and the two figures it rests on."""
        super().__init__(said)
        self.missing_share, self.longest_days = missing_share, longest_days

    def __reduce__(self) -> tuple[type[WeatherTooThin], tuple[Message, float, int]]:
        """Return how it is made anew in another process."""
        return type(self), (self.said, self.missing_share, self.longest_days)


@dataclass(frozen=True)
class Filled:
    """One gap and how it was filled."""

    first_day: date
    last_day: date
    origin: Origin

    @property
    def days(self) -> int:
        """Length of the gap."""
        return (self.last_day - self.first_day).days + 1


@dataclass(frozen=True)
class GapReport:
    """What was missing and what stands there now.

    Attributes
    ----------
    missing_days, missing_share, longest_days
        Days without a mean temperature before filling, their share 0..1, and the longest run of them.
    fills
        Each gap by its dates and how it was filled; a long gap may be in several pieces.
    neighbour_error_c
        Per neighbour: the standard deviation of what its offset leaves over, on the days both know; NaN
        where they share fewer than 30. [K]
    notes
        Sentences for people.
    """

    missing_days: int
    missing_share: float
    longest_days: int
    fills: tuple[Filled, ...] = ()
    neighbour_error_c: tuple[float, ...] = ()
    notes: tuple[Message, ...] = ()


def fill_gaps(
    weather: DailyWeather,
    neighbours: Sequence[DailyWeather] = (),
    *,
    interpolate_days: int = 3,
    most_missing_share: float = 0.25,
    longest_gap_days: int = 92,
) -> tuple[DailyWeather, GapReport]:
    """Fill every unknown daily mean of a record, and mark how.

    Impossible values are taken out first. A neighbour whose offset leaves a smaller error than
    interpolating the record's own days would (true of most neighbours within some tens of kilometres) fills
    all it knows, month by month corrected, the best neighbour first. Then gaps of up to `interpolate_days`
    are interpolated, longer ones taken from lesser neighbours; what no neighbour knows is the usual day of
    the other years plus the departure at the edges of the gap, fading. Minimum, maximum and humidity are
    not invented: they stay unknown on filled days.

    Parameters
    ----------
    weather
        The record.
    neighbours
        Records of stations nearby, any dates.
    interpolate_days
        Longest gap to interpolate. [days]
    most_missing_share, longest_gap_days
        Limits of what may be missing after the neighbours have helped. [-, days]

    Returns
    -------
    (DailyWeather, GapReport)
        The record with a mean temperature on every day, and what was done to it.

    Raises
    ------
    WeatherTooThin
        If more than that is missing, or the usual day is needed and the record does not show a whole year.
    """
    clean, notes = without_impossible(weather)
    missing = ~np.isfinite(clean.mean_c)
    report = GapReport(int(missing.sum()), float(missing.mean()), longest_run(missing), notes=notes)
    if not len(clean) or missing.all():
        said = message("weather.no_day", "the record has no day with a temperature")
        raise WeatherTooThin(said, 1.0, len(clean))
    if not missing.any():
        return clean, report
    mean, origin, source = clean.mean_c.copy(), clean.origin.copy(), clean.source.copy()
    sources = list(clean.sources)
    step_error = interpolation_error_c(clean.mean_c)
    pairs = [(neighbour_offsets(clean, other), other) for other in neighbours]
    errors = tuple(offsets[1] for offsets, _ in pairs)
    found = sorted(pairs, key=lambda pair: pair[0][1] if np.isfinite(pair[0][1]) else np.inf)
    better = [pair for pair in found if pair[0][1] < step_error]
    _from_neighbours(clean, better, mean, origin, source, sources)
    _interpolate_short(mean, origin, interpolate_days)
    _from_neighbours(clean, found, mean, origin, source, sources)
    left = ~np.isfinite(mean)
    _refuse_if_too_thin(left, missing, most_missing_share, longest_gap_days)
    if left.any():
        _from_usual_days(clean, mean, origin)
    filled = replace(clean, mean_c=mean, origin=origin, source=source, sources=tuple(sources))
    return filled, replace(report, fills=_fills(filled, missing), neighbour_error_c=errors)


def without_impossible(weather: DailyWeather) -> tuple[DailyWeather, tuple[Message, ...]]:
    """Return the record with impossible daily values taken out, and a note for each kind.

    Impossible: a mean below −60 or above 55 °C, a minimum above the maximum, a mean outside of minimum and
    maximum by more than 2 K, a humidity outside of 0 to 100 %.
    """
    mean, low, high = weather.mean_c, weather.min_c, weather.max_c
    with np.errstate(invalid="ignore"):
        out = (mean < LOWEST_C) | (mean > HIGHEST_C)
        crossed = (low > high) | (mean < low - 2.0) | (mean > high + 2.0)
        damp = (weather.humidity_pct < 0) | (weather.humidity_pct > 100)
    notes = []
    if out.any():
        notes.append(_out_of_range(int(out.sum())))
    if crossed.any():
        notes.append(_contradicting(int(crossed.sum())))
    if damp.any():
        notes.append(_impossible_humidities(int(damp.sum())))
    bad = out | crossed
    if not notes:
        return weather, ()
    blank = np.where(bad, np.nan, 0.0)
    return replace(
        weather,
        mean_c=mean + blank,
        min_c=low + blank,
        max_c=high + blank,
        humidity_pct=np.where(damp, np.nan, weather.humidity_pct),
        origin=np.where(bad, Origin.MISSING, weather.origin).astype(np.uint8),
        hourly_c=None if weather.hourly_c is None else weather.hourly_c + blank[:, None],
    ), tuple(notes)


def runs_of(flags: Flags) -> list[tuple[int, int]]:
    """Return start and end (behind the last) of each run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def longest_run(flags: Flags) -> int:
    """Return the length of the longest run of True."""
    return max((b - a for a, b in runs_of(flags)), default=0)


def _interpolate_short(mean: Floats, origin: Codes, most_days: int) -> None:
    for a, b in runs_of(~np.isfinite(mean)):
        if b - a <= most_days and a > 0 and b < len(mean):
            step = np.arange(1, b - a + 1) / (b - a + 1)
            mean[a:b] = mean[a - 1] + step * (mean[b] - mean[a - 1])
            origin[a:b] = Origin.INTERPOLATED


def neighbour_offsets(weather: DailyWeather, other: DailyWeather) -> tuple[Floats, float, Floats]:
    """Return what must be added to a neighbour, by month; the error that leaves; and the neighbour on our
    days.

    The offset of a month is drawn towards that of the whole year where few days are common, as the mean of
    `OFFSET_BELIEF_DAYS` more days would draw it.

    Returns
    -------
    tuple
        Offsets, shape (12,) [K]; standard deviation of the rest [K], NaN below 30 common days; the
        neighbour's daily means on the days of `weather`, shape (days,) [degC].
    """
    aligned = np.full(len(weather), np.nan)
    shift = (other.first_day - weather.first_day).days
    a, b = max(0, shift), min(len(weather), shift + len(other))
    if b > a:
        aligned[a:b] = other.mean_c[a - shift : b - shift]
    common = np.isfinite(aligned) & np.isfinite(weather.mean_c)
    if common.sum() < 30:
        return np.zeros(MONTHS), float("nan"), aligned
    difference = (weather.mean_c - aligned)[common]
    month = month_index(weather.dates)[common]
    count = np.bincount(month, minlength=MONTHS)
    total = np.bincount(month, weights=difference, minlength=MONTHS)
    offset = (total + OFFSET_BELIEF_DAYS * difference.mean()) / (count + OFFSET_BELIEF_DAYS)
    return offset, float(np.std(difference - offset[month])), aligned


def interpolation_error_c(mean_c: Floats) -> float:
    """Return the error of a day interpolated between its neighbours, seen on the record itself; inf without
    such. [K]"""
    rest = mean_c[1:-1] - (mean_c[:-2] + mean_c[2:]) / 2.0
    rest = rest[np.isfinite(rest)]
    return float(np.sqrt(np.mean(rest**2))) if len(rest) >= 30 else float("inf")


def _from_neighbours(
    weather: DailyWeather,
    found: Sequence[tuple[tuple[Floats, float, Floats], DailyWeather]],
    mean: Floats,
    origin: Codes,
    source: Codes,
    sources: list[Source],
) -> None:
    """Fill what neighbours know, the best one first."""
    month = month_index(weather.dates)
    for (offset, error, aligned), other in found:
        use = ~np.isfinite(mean) & np.isfinite(aligned)
        if not np.isfinite(error) or not use.any():
            continue
        mean[use] = (aligned + offset[month])[use]
        origin[use] = Origin.NEIGHBOUR
        theirs = other.source[np.flatnonzero(use) + (weather.first_day - other.first_day).days]
        ours = []
        for entry in other.sources:
            if entry not in sources:
                sources.append(entry)
            ours.append(sources.index(entry))
        source[use] = np.array(ours, dtype=np.uint8)[theirs]


def _refuse_if_too_thin(
    left: Flags,
    missing: Flags,
    most_share: float,
    longest_days: int,
) -> None:
    share, longest = float(left.mean()), longest_run(left)
    if share > most_share:
        said = message(
            "weather.too_many_unknown",
            "{share} of the days are unknown and no neighbour knows them; at most {most} may be. Add a "
            "neighbouring station or another source.",
            share=Percent(share),
            most=Percent(most_share),
        )
        raise WeatherTooThin(said, float(missing.mean()), longest)
    if longest > longest_days:
        said = message(
            "weather.gap_too_long",
            "{days} days in a row are unknown and no neighbour knows them; at most {most} may be. Add a "
            "neighbouring station or another source.",
            days=longest,
            most=longest_days,
        )
        raise WeatherTooThin(said, float(missing.mean()), longest)



def _from_usual_days(weather: DailyWeather, mean: Floats, origin: Codes) -> None:
    """Fill with the usual day of the other years; the departure at each edge of the gap fades into it."""
    if not covers_the_year(weather):
        left = ~np.isfinite(mean)
        said = message(
            "weather.no_whole_year",
            "the record does not show a whole year, so the usual day of other years is not known; add a "
            "neighbouring station or a longer record",
        )
        raise WeatherTooThin(said, float(left.mean()), longest_run(left))
    usual = fit_cycle(weather).mean_c(weather.dates)
    for a, b in runs_of(~np.isfinite(mean)):
        step = np.arange(1, b - a + 1)
        value = usual[a:b].copy()
        if a > 0:
            value += (mean[a - 1] - usual[a - 1]) * np.exp(-step / 3.0)
        if b < len(mean):
            value += (mean[b] - usual[b]) * np.exp(-step[::-1] / 3.0)
        mean[a:b], origin[a:b] = value, Origin.USUAL


def _fills(weather: DailyWeather, missing: Flags) -> tuple[Filled, ...]:
    fills = []
    for a, b in runs_of(missing):
        cuts = [a, *(a + 1 + np.flatnonzero(np.diff(weather.origin[a:b])).astype(int)).tolist(), b]
        for c, d in pairwise(cuts):
            first = weather.first_day + timedelta(days=c)
            fills.append(
                Filled(first, weather.first_day + timedelta(days=d - 1), Origin(int(weather.origin[c])))
            )
    return tuple(fills)


def _out_of_range(days: int) -> Message:
    return counted_message(
        "weather.days_out_of_range",
        "{n} day outside of {range} was taken as unknown.",
        "{n} days outside of {range} were taken as unknown.",
        days,
        range=Range(LOWEST_C, HIGHEST_C, "temperature"),
    )


def _contradicting(days: int) -> Message:
    return counted_message(
        "weather.days_contradicting",
        "{n} day whose mean, minimum and maximum contradict each other was taken as unknown.",
        "{n} days whose mean, minimum and maximum contradict each other were taken as unknown.",
        days,
    )


def _impossible_humidities(days: int) -> Message:
    return counted_message(
        "weather.humidities_out_of_range",
        "{n} humidity outside of 0 to 100 % was taken as unknown.",
        "{n} humidities outside of 0 to 100 % were taken as unknown.",
        days,
    )
