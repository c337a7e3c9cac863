"""Many possible winters: what the weather from a day on could be, as whole paths."""

from __future__ import annotations

import calendar
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

import numpy as np

from fuelplan.messages import Day, Message, Quantity, counted_message, message
from fuelplan.weather.generator import USUAL_SHARES, Generator, fit_generator
from fuelplan.weather.outlook import FADE_DAYS, lay_over
from fuelplan.weather.record import LOTS, DailyWeather, Dates, Floats, Forecast, Ints, Origin, Winters
from fuelplan.weather.seasons import TooLittleWeather, Trend, YearlyCycle, cycle_of_reference_year, fit_cycle

REAL_ORIGINS = (Origin.OBSERVED, Origin.MODEL, Origin.INTERPOLATED, Origin.NEIGHBOUR, Origin.INVENTED)
REAL_SHARE = 0.9
"""A run of days counts as a real winter if this share of it is more than the usual day of other years. [-]"""

GENERATED_PATHS = 400
LEAST_PART_DAYS = 180
REAL_LOTS = 500  # a hundred years, each with four variants

Method = Literal["auto", "real", "generated"]


@dataclass(frozen=True)
class RecordRun:
    """A run of real days: where it starts in the record, its year, and how many of its days are there."""

    start: int
    year: int
    days: int


def possible_winters(
    weather: DailyWeather,
    first_day: date,
    days: int,
    *,
    seed: int,
    forecast: Forecast | None = None,
    paths: int | None = None,
    method: Method = "auto",
    least_years: int = 10,
    variants: Sequence[int] = (-14, -7, 7, 14),
    trend: Trend | None = Trend(),  # noqa: B008 - frozen
    hindsight: bool = False,
    steady: bool = False,
) -> Winters:
    """Return many possible paths of weather from `first_day` on.

    From `least_years` real runs on, the paths are first the real runs of days from the same calendar day of
    past years, one each (rows 0 to `winters` − 1); then their neighbouring-week variants: the *anomalies*
    of the run that began 7 or 14 days earlier or later, laid on the usual temperatures of the days wanted;
    then as many paths again of a weather generator fitted to the record, for the tails that so few winters
    cannot show. Neither counts as a winter. With fewer years all paths but the real runs come from the
    generator. All sites of an area take their winters from one record and one seed, so that a cold spell
    hits them together.

    Parameters
    ----------
    weather
        The record. Days from `first_day` on are not looked at. A run with an unknown day is not used: fill
        gaps first.
    first_day, days
        First day wanted, and how many. [days]
    seed
        Same seed, record and days: same paths.
    forecast
        Laid over the first days with an error that grows with lead time; see :func:`lay_over`.
    paths
        How many paths; None takes every real run and variant and as many generated ones, or 400 where years
        are few.
    method
        "real" (runs and variants alone) or "generated" (real runs and the generator) instead of "auto".
    least_years
        With fewer real runs, all other paths come from the generator. [years]
    variants
        Shifts of the variants. [days]
    trend
        Belief about warming; past years are moved to the temperature level of the path's dates by the slope
        of :func:`shrunk_slope`. None: no correction.
    hindsight
        Use later years too, but never a day of the path itself: for checking with held-back years.
    steady
        Generated paths are the same on the same calendar day from whichever day they are asked, and every
        path keeps its `lot`: what is answered today and tomorrow rests on the same chances.

    Returns
    -------
    Winters
        Paths of shape (paths, days), with how many real winters stand behind them and what must be said.
        [degC]

    Raises
    ------
    TooLittleWeather
        If the record holds less than a whole year of seasons.
    ValueError
        If `days` or `paths` is below 1.
    """
    if days < 1 or (paths is not None and paths < 1):
        raise ValueError(f"{days} days and {paths} paths: give at least one of each")
    rng = np.random.default_rng(seed)
    dates = np.datetime64(first_day, "D") + np.arange(days)

    def made(generator: Generator, count: int) -> Floats:
        return generator.draw_steady(dates, count, seed) if steady else generator.draw(dates, count, rng)

    if weather.reference_year:
        drawn = _from_reference_year(weather, dates, paths or GENERATED_PATHS, made)
        usual = cycle_of_reference_year(weather)
        return _with_forecast(drawn, forecast, usual)
    known = _without_the_future(weather, first_day, days, hindsight)
    cycle = fit_cycle(known, trend)
    runs = find_runs(known, first_day, days, least_years)
    if method == "real" and not runs:
        raise TooLittleWeather(
            message(
                "weather.no_run_of_days",
                "no past year has {days} days in a row from {first} on; fill the gaps of the record or let "
                "the weather generator make the paths",
                days=days,
                first=Day(first_day),
            )
        )
    few = len(runs) < least_years if method == "auto" else method == "generated"
    real = real_paths(known, cycle, runs, dates, () if few else variants, rng)
    if few:
        drawn = _few_years(known, cycle, real, dates, paths, made)
    elif method == "real":
        drawn = _many_years(real, paths, rng)
    else:
        drawn = _with_tails(real, lambda n: made(fit_generator(known, cycle), n), paths, rng)
    return _with_forecast(replace(drawn, notes=(*_trend_note(cycle, trend), *drawn.notes)), forecast, cycle)


def find_runs(weather: DailyWeather, first_day: date, days: int, least_years: int) -> list[RecordRun]:
    """Return the runs of known days from the same calendar day of each year, full ones first choice.

    Runs that end with the record (at least half of a year, or of the days wanted) are taken as well while
    full ones are fewer than `least_years`; they are to be continued with another year.

    Parameters
    ----------
    weather
        The record; a run ends where a day is unknown.
    first_day, days
        First day wanted, and how many. [days]
    least_years
        From so many full runs on, none that ends early is taken. [years]

    Returns
    -------
    list of RecordRun
        In order of time.
    """
    held = np.isfinite(weather.mean_c)
    real = np.isin(weather.origin, REAL_ORIGINS)
    full, part = [], []
    for year in range(weather.first_day.year, weather.last_day.year + 1):
        start = weather.index_of(same_calendar_day(first_day, year))
        if not 0 <= start < len(weather):
            continue
        there = held[start : start + days]
        length = len(there) if there.all() else int(np.argmin(there))
        if length == 0 or real[start : start + length].mean() < REAL_SHARE:
            continue
        if length == days:
            full.append(RecordRun(start, year, days))
        elif length >= min(LEAST_PART_DAYS, days / 2):
            part.append(RecordRun(start, year, length))
    return full if len(full) >= least_years or not full else sorted(full + part, key=lambda run: run.year)


def same_calendar_day(day: date, year: int) -> date:
    """Return the same day and month in another year; 29 February becomes 28 February where there is none."""
    leap = day.month == 2 and day.day == 29 and not calendar.isleap(year)
    return date(year, 2, 28) if leap else date(year, day.month, day.day)


def real_paths(
    weather: DailyWeather,
    cycle: YearlyCycle,
    runs: list[RecordRun],
    dates: Dates,
    variants: Sequence[int],
    rng: np.random.Generator,
) -> Winters:
    """Return each run as a path at the temperature level of `dates`, then its variants where the record has
    them."""
    first_day, days = dates[0].item(), len(dates)
    anomaly = weather.mean_c - cycle.mean_c(weather.dates)
    usual = cycle.mean_c(dates)
    rows, years, lots = [], [], []
    joined = 0
    full = [run for run in runs if run.days == days]
    for run in runs:
        piece = anomaly[run.start : run.start + run.days]
        if run.days < days:
            # Not with a run that would bring the same days again, where there is another.
            others = [other for other in full if other.year + 1 != run.year] or full
            piece = _continue(piece, anomaly, others, days, rng)
            joined += 1
        rows.append(piece)
        years.append(run.year)
        lots.append(run.year)
    for i, shift in enumerate(variants, start=1):
        for run in runs:
            start = run.start + shift
            piece = anomaly[start : start + days] if start >= 0 else anomaly[:0]
            if len(piece) == days and np.isfinite(piece).all():
                rows.append(piece)
                years.append(run.year)
                lots.append(run.year + 100 * i)
    notes: tuple[Message, ...] = ()
    if joined:
        notes = (_joined(joined, len(runs)),)
    table = usual + np.array(rows).reshape(len(rows), days)
    year = np.array(years, dtype=np.int64)
    return Winters(first_day, table, year, len(runs), 0, notes, np.array(lots, dtype=np.int64) % REAL_LOTS)


def _joined(joined: int, years: int) -> Message:
    return counted_message(
        "winters.joined",
        "{n} of {years} years ends before the last day wanted and goes on with another year.",
        "{n} of {years} years end before the last day wanted and go on with another year.",
        joined,
        years=years,
    )


def _continue(
    piece: Floats, anomaly: Floats, full: list[RecordRun], days: int, rng: np.random.Generator
) -> Floats:
    """Go on with the same calendar days of another year; the step between them fades as anomalies do."""
    donor = full[int(rng.integers(len(full)))]
    rest = anomaly[donor.start + len(piece) : donor.start + days].copy()
    before = anomaly[donor.start + len(piece) - 1]
    rest += (piece[-1] - before) * np.exp(-np.arange(1, len(rest) + 1) / FADE_DAYS)
    return np.concatenate([piece, rest])


def _many_years(real: Winters, paths: int | None, rng: np.random.Generator) -> Winters:
    """Keep as many paths as wanted: every real run before any variant, then runs and variants again in
    turn."""
    if paths is None:
        return real
    order = np.arange(len(real.year))
    extra = order[real.winters :]
    rng.shuffle(extra)
    chosen = np.resize(np.concatenate([order[: real.winters], extra]), paths)
    count = len(np.unique(real.year[chosen]))
    lot = None if real.lot is None else real.lot[chosen]
    return replace(real, mean_c=real.mean_c[chosen], year=real.year[chosen], winters=count, lot=lot)


def _made_lots(count: int) -> Ints:
    """Return the numbers of made paths, behind those of real years."""
    return REAL_LOTS + np.arange(count) % (LOTS - REAL_LOTS)


def _lots(real: Winters, kept: int, count: int) -> Ints | None:
    """Return the numbers of the first `kept` real paths and of `count` made ones."""
    return None if real.lot is None else np.concatenate([real.lot[:kept], _made_lots(count)])


def _with_tails(
    real: Winters, made: Callable[[int], Floats], paths: int | None, rng: np.random.Generator
) -> Winters:
    """Return the real runs and variants, and as many paths of the generator again.

    The coldest of n winters is exceeded once in n + 1, so twenty winters by themselves make a cold of 1 in
    50 look like their coldest one; the generator fills in what lies between and beyond them.
    """
    if paths is not None and paths <= real.winters:
        return _many_years(real, paths, rng)
    total = 2 * len(real.year) if paths is None else paths
    kept = _many_years(real, max(real.winters, total // 2), rng)
    count = total - len(kept.year)
    return replace(
        kept,
        mean_c=np.concatenate([kept.mean_c, made(count)]),
        year=np.concatenate([kept.year, np.zeros(count, dtype=np.int64)]),
        lot=_lots(kept, len(kept.year), count),
        notes=(*kept.notes, _generated(count)),
    )


def _generated(count: int) -> Message:
    return counted_message(
        "winters.generated",
        "{n} simulated winter is added to the real winters and their variants.",
        "{n} simulated winters are added to the real winters and their variants.",
        count,
    )


def _few_years(
    weather: DailyWeather,
    cycle: YearlyCycle,
    real: Winters,
    dates: Dates,
    paths: int | None,
    draw: Callable[[Generator, int], Floats],
) -> Winters:
    """Return the real runs, then paths of the generator fitted to the record."""
    wanted = paths or GENERATED_PATHS
    head = min(len(real.year), wanted)
    made = draw(fit_generator(weather, cycle), wanted - head)
    note = message(
        "winters.few",
        "Only {winters} real winters from this day of the year on are on record; the other paths come from a "
        "weather generator fitted to it.",
        winters=real.winters,
    )
    return Winters(
        dates[0].item(),
        np.concatenate([real.mean_c[:head], made]),
        np.concatenate([real.year[:head], np.zeros(wanted - head, dtype=np.int64)]),
        real.winters,
        0,
        (*real.notes, note),
        _lots(real, head, wanted - head),
    )


def _from_reference_year(
    weather: DailyWeather, dates: Dates, paths: int, draw: Callable[[Generator, int], Floats]
) -> Winters:
    """Return paths made from a reference year or from monthly means: no real winter stands behind them."""
    cycle = cycle_of_reference_year(weather)
    made = draw(Generator(cycle, USUAL_SHARES, 30.0), paths)
    note = message(
        "winters.none",
        "No real winters: the paths come from a weather generator around a reference year or monthly means.",
    )
    zeros = np.zeros(paths, dtype=np.int64)
    return Winters(dates[0].item(), made, zeros, 0, 0, (note,), _made_lots(paths))


def _without_the_future(weather: DailyWeather, first_day: date, days: int, hindsight: bool) -> DailyWeather:
    """Return what may be looked at: the days before `first_day`, with hindsight also those after the path."""
    if not hindsight:
        return weather.until(first_day - timedelta(days=1))
    mean = weather.mean_c.copy()
    start = weather.index_of(first_day)
    mean[max(0, start) : max(0, start + days)] = np.nan
    return replace(weather, mean_c=mean)


def _trend_note(cycle: YearlyCycle, trend: Trend | None) -> tuple[Message, ...]:
    if trend is None:
        return ()
    said = message(
        "winters.warming",
        "Past years are corrected for a warming of {used} per decade: the place's own warming, adjusted "
        "towards {regional}.",
        used=Quantity.written(10 * cycle.slope_c_per_year, "K", ".2f"),
        regional=Quantity.written(trend.regional_k_per_decade, "K", "g"),
    )
    return (said,)


def _with_forecast(winters: Winters, forecast: Forecast | None, cycle: YearlyCycle) -> Winters:
    if forecast is None:
        return winters
    dates = np.datetime64(winters.first_day, "D") + np.arange(winters.days)
    table, led = lay_over(winters.mean_c, winters.first_day, forecast, cycle.mean_c(dates), cycle.sd_c(dates))
    return replace(winters, mean_c=table, forecast_days=led)
