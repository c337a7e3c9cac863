"""Logs in a boiler for logs and pellets: what they take of each day's heat, their stock, their pile.

What logs take of a day's heat hangs on its temperature and on whether it is a week-end. Both are learned from
running
boiler, buffer and house hour by hour through past years, and then laid over every draw: a modelling choice
that keeps
thousands of winters in hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat import boiler
from fuelplan.heat import fuels as fuel
from fuelplan.heat.building import HeatNeed, months_of
from fuelplan.messages import Message
from fuelplan.records.schema import SiteTable
from fuelplan.records.site import DeliveryRow, ReadingRow, Site, boiler_of
from fuelplan.store import log_heating, log_pile
from fuelplan.store.buffer import Buffer
from fuelplan.units import Amount
from fuelplan.weather import DailyWeather, place_seasons

Floats = NDArray[np.float64]
Dates = NDArray[np.datetime64]

YEARS = 5  # past years run hour by hour
BIN_K = 2.0
BINS_FROM_C, BINS_TO_C = -24.0, 28.0
POOLED_DAYS = 6.0  # days of the like that a rare day's share is drawn towards (our choice)
AMOUNT_SD = (
    0.10  # doubt of a counted stack, as a share (printed tables of a stacked metre differ by 15 % either way)
)
HABIT_SD = 0.15  # how far a person's loading differs from the rule, as a share (our assumption)


@dataclass(frozen=True)
class DailyShare:
    """What logs take, by temperature and kind of day.

    Attributes
    ----------
    pellet_share
        Shape (2, bins): pellets burned over those of a house without logs; row 1 for week-ends.
    logs_per_pellet
        Shape (2, bins): kilograms of logs for each kilogram of pellets that a house without logs would burn.
    """

    pellet_share: Floats
    logs_per_pellet: Floats

    def of(self, dates: Dates, mean_c: Floats) -> tuple[Floats, Floats]:
        """Return pellet share and logs per pellet on days, shape of `mean_c` (..., days)."""
        row, column = _weekend(dates), _bin_of(mean_c)
        rows = np.broadcast_to(row, column.shape)
        return self.pellet_share[rows, column], self.logs_per_pellet[rows, column]


@dataclass(frozen=True)
class LogSide:
    """The logs of a site on one day.

    Attributes
    ----------
    burned
        The fuel.
    share
        What they take of each day.
    wood
        As burned.
    stock_kg, stock_read_on
        Dry logs ready to burn, and when they were counted. [kg]
    coming
        Stacks that become dry later: day and mass. [kg]
    loading
        What loading saves a year.
    lots
        Stacks in words.
    cut_by
        When to cut or buy for the winters to come.
    plant
        Boiler, buffer and a load.
    """

    burned: fuel.Fuel
    share: DailyShare
    wood: fuel.Wood
    stock_kg: float
    stock_read_on: date | None
    coming: tuple[tuple[date, float], ...]
    loading: log_heating.LoadingValue
    lots: tuple[Message, ...]
    cut_by: tuple[Message, ...]
    plant: log_heating.LogPelletBoiler

    @property
    def kg_per_stacked_m3(self) -> float:
        """Mass of a stacked cubic metre as burned. [kg/m3]"""
        return self.wood.kg_per_stacked_m3


def log_side_of(
    site: Site, weather: DailyWeather, as_of: date, need: HeatNeed, bulk_kwh_per_kg: float
) -> LogSide | None:
    """Return the logs of a site; None where its boiler burns none."""
    table = site.table
    stacked = table.boiler.stacked
    if stacked is None:
        return None
    assert table.logs is not None
    wood = fuel.logs(table.logs.wood, table.logs.water)
    plant = plant_of(table, bulk_kwh_per_kg)
    share, loading = _run_years(site, weather, need, plant)
    climate = log_pile.PileClimate.from_days(weather.dates, weather.mean_c, weather.humidity_pct)
    lots = _lots(site)
    stock, read_on = _stock_kg(site, weather, as_of, wood, share, lots, climate, need, plant)
    return LogSide(
        burned=stacked,
        share=share,
        wood=wood,
        stock_kg=stock,
        stock_read_on=read_on,
        coming=_coming(lots, as_of, climate),
        loading=loading,
        lots=tuple(log_pile.lot_state(lot, as_of, climate).sentence for lot in lots if lot.since <= as_of),
        cut_by=_cut_by(wood, weather, as_of, climate),
        plant=plant,
    )


def _cut_by(
    wood: fuel.Wood, weather: DailyWeather, as_of: date, climate: log_pile.PileClimate
) -> tuple[Message, ...]:
    """Return by when to split wood for the next two winters; nothing where a place has no winter."""
    month = place_seasons(weather).month(log_pile.SEASON_MONTH)
    if month is None:
        return ()
    seasons = (log_pile.next_season(as_of, month), log_pile.winter_after_next(as_of, month))
    return tuple(log_pile.cut_by(wood.species, s, climate, as_of=as_of).sentence for s in seasons)


def plant_of(table: SiteTable, pellet_kwh_per_kg: float) -> log_heating.LogPelletBoiler:
    """Return boiler, buffer and a load of logs of a folder that has them."""
    assert table.logs is not None and table.boiler.rated_kw is not None  # the model of the file makes sure
    return log_heating.LogPelletBoiler(
        log_side=boiler_of(table, table.boiler.stacked),
        pellet_side=boiler_of(table),
        buffer=Buffer(table.buffer.volume_m3 * 1000.0, table.buffer.useful_from_c, table.buffer.full_c),
        load=log_heating.LogLoad(
            table.logs.load_kg, fuel.logs(table.logs.wood, table.logs.water).kwh_per_kg, table.logs.burn_h
        ),
        pellet_kwh_per_kg=pellet_kwh_per_kg,
    )


def loading_rule(site: Site) -> log_heating.LoadingRule:
    """Return when somebody loads logs."""
    given = site.table.loading
    return log_heating.LoadingRule(
        weekday_hours=given.weekdays,
        weekend_hours=given.weekends,
        cold_below_c=given.cold_below_c,
        cold_hours=given.cold_hours,
        not_above_c=given.not_above_c,
        months=given.months,
        away=tuple((a.first, a.last) for a in site.table.away),
        most_loads_a_day=given.most_loads_a_day,
    )


def _run_years(
    site: Site, weather: DailyWeather, need: HeatNeed, plant: log_heating.LogPelletBoiler
) -> tuple[DailyShare, log_heating.LoadingValue]:
    """Run the last years hour by hour with and without logs."""
    years = max(1, min(YEARS, len(weather) // 365))
    days = weather.dates[-365:]
    mean_c = (
        weather.mean_c[-365 * years :].reshape(years, -1) if len(weather) >= 365 else weather.mean_c[None, :]
    )
    days = days[-mean_c.shape[1] :]
    load = log_heating.spread_over_day(need.space_kwh(mean_c), need.hot_water_kwh(months_of(days)), 24)
    rule = loading_rule(site)
    at_home = log_heating.LoadingRule(**{**rule.__dict__, "away": ()})
    may = at_home.may_load(days, mean_c, 24)
    kept = {"most_loads_a_day": rule.most_loads_a_day, "half_loads": rule.half_loads}
    with_logs = log_heating.run(plant, load, may, **kept)  # type: ignore[arg-type]
    without = log_heating.run(plant, load, np.zeros_like(may), **kept)  # type: ignore[arg-type]
    rows = np.broadcast_to(_weekend(days), mean_c.shape)
    share = _by_bin(with_logs.pellets_kg, without.pellets_kg, rows, mean_c)
    logs = _by_bin(with_logs.logs_kg, without.pellets_kg, rows, mean_c)
    return DailyShare(np.clip(share, 0.0, 1.0), logs), log_heating.value_of_loading(with_logs, without)


def _weekend(dates: Dates) -> NDArray[np.int64]:
    """Return 1 for Saturdays and Sundays, else 0."""
    return ((dates.astype("datetime64[D]").astype(np.int64) + 3) % 7 >= 5).astype(np.int64)


def _bin_of(mean_c: Floats) -> NDArray[np.int64]:
    clipped = np.clip(mean_c, BINS_FROM_C, BINS_TO_C - 1e-9)
    return np.asarray((clipped - BINS_FROM_C) // BIN_K, dtype=np.int64)


def _by_bin(part: Floats, whole: Floats, rows: NDArray[np.int64], mean_c: Floats) -> Floats:
    """Return part over whole by kind of day and temperature, rare days drawn towards the like, shape (2,
    bins).
    """
    bins = int((BINS_TO_C - BINS_FROM_C) / BIN_K)
    at = (rows * bins + _bin_of(mean_c)).ravel()
    count = np.bincount(at, minlength=2 * bins).reshape(2, bins)
    sums = [np.bincount(at, weights=x.ravel(), minlength=2 * bins).reshape(2, bins) for x in (part, whole)]
    together = [s.sum(axis=0) for s in sums]
    known = together[1] > 0
    middle = np.arange(bins, dtype=float)
    pooled = np.interp(middle, middle[known], together[0][known] / together[1][known])
    per_day = np.where(count > 0, sums[1] / np.maximum(count, 1), 0.0)
    weight = POOLED_DAYS * np.where(per_day > 0, per_day, 1.0)
    return np.asarray((sums[0] + weight * pooled) / (sums[1] + weight))


def _lots(site: Site) -> tuple[log_pile.PileLot, ...]:
    return tuple(
        log_pile.PileLot(
            fuel.species(row.wood),
            _stacked_m3(row.amount, fuel.logs(row.wood, row.water or fuel.MoistureWet(0.20))),
            row.since,
            moisture=row.water,
            kept=row.kept,
            split=row.split,
            name=row.name,
        )
        for row in site.table.log_pile
    )


def _stacked_m3(amount: Amount, wood: fuel.Wood) -> float:
    return wood.amount(amount.value, amount.measure).stacked_m3


def amount_of_logs_kg(amount: Amount, wood: fuel.Wood) -> float:
    """Return the mass of an amount of logs as burned. [kg]"""
    return wood.amount(amount.value, amount.measure).kg


def _stock_kg(
    site: Site,
    weather: DailyWeather,
    as_of: date,
    wood: fuel.Wood,
    share: DailyShare,
    lots: tuple[log_pile.PileLot, ...],
    climate: log_pile.PileClimate,
    need: HeatNeed,
    plant: log_heating.LogPelletBoiler,
) -> tuple[float, date | None]:
    """Return the dry logs on the evening of `as_of`: the last count less what the rule burned since, else the
    dry stacks. [kg]
    """
    stacked = fuel.stacked().name
    counted: list[ReadingRow] = [r for r in site.read_by(as_of) if r.fuel == stacked]
    if not counted:
        kwh = log_pile.dry_stock_kwh(lots, as_of, climate)
        return kwh / wood.kwh_per_kg, None
    last = counted[-1]
    start = 0.0 if last.word == "empty" or last.reading is None else amount_of_logs_kg(last.reading, wood)
    came: list[DeliveryRow] = [
        r
        for r in site.delivered(as_of)
        if r.fuel == stacked and r.delivered_on is not None and r.delivered_on > last.day
    ]
    start += sum(amount_of_logs_kg(r.delivered, wood) for r in came if r.delivered is not None)
    since = weather.between(last.day + timedelta(days=1), as_of)
    if len(since) == 0:
        return start, last.day
    assert plant.pellet_side is not None
    per_kwh = 1.0 / (plant.pellet_kwh_per_kg * boiler.seasonal_efficiency(plant.pellet_side))
    equivalent = (need.space_kwh(since.mean_c) + need.hot_water_kwh(months_of(since.dates))) * per_kwh
    burned = share.of(since.dates, since.mean_c)[1] * equivalent * _at_home(site, since.dates)
    return max(0.0, start - float(burned.sum())), last.day


def _at_home(site: Site, dates: Dates) -> Floats:
    """Return 1 on days with somebody at home, 0 on days away, shape (days,)."""
    home = np.ones(len(dates))
    for away in site.table.away:
        home[(dates >= np.datetime64(away.first, "D")) & (dates <= np.datetime64(away.last, "D"))] = 0.0
    return home


def _coming(
    lots: tuple[log_pile.PileLot, ...], as_of: date, climate: log_pile.PileClimate
) -> tuple[tuple[date, float], ...]:
    """Return the stacks that become dry enough after `as_of`, with the mass they then have. [kg]"""
    found = []
    for lot in lots:
        day = log_pile.dry_on(lot, climate)
        if day is not None and day > as_of:
            wood = lot.wood(log_pile.moisture_on(lot, day, climate))
            found.append((day, wood.amount(lot.stacked_m3, "stacked_m3").kg))
    return tuple(sorted(found))


@dataclass(frozen=True)
class LogDraws:
    """Logs in every draw: level on the evening of the day asked, use on every day, arrivals of dried stacks.
    [kg]
    """

    level_kg: Floats
    demand_kg: Floats
    coming_kg: Floats


def split_demand(
    side: LogSide, site: Site, as_of: date, pellets_alone_kg: Floats, mean_c: Floats, rng: np.random.Generator
) -> tuple[Floats, LogDraws]:
    """Part the fuel of every draw into pellets and logs, as long as there are logs.

    Parameters
    ----------
    pellets_alone_kg, mean_c
        Shape (draws, days): pellets without logs, and weather. [kg, degC]

    Returns
    -------
    Pellets on every day, shape (draws, days), and the logs. [kg]
    """
    draws, days = pellets_alone_kg.shape
    dates = np.datetime64(as_of, "D") + 1 + np.arange(days)
    share, per_pellet = side.share.of(dates, mean_c)
    habit = np.clip(rng.normal(1.0, HABIT_SD, draws), 0.3, 1.7)[:, None] * _at_home(site, dates)
    taken = np.minimum((1.0 - share) * habit, 1.0)  # share of the heat that logs bring
    logs = (
        per_pellet
        * np.divide(taken, 1.0 - share, out=np.zeros_like(taken), where=share < 1)
        * pellets_alone_kg
    )
    level = side.stock_kg * np.clip(rng.normal(1.0, AMOUNT_SD, draws), 0.5, 1.5)
    coming = np.zeros(days)
    for day, kg in side.coming:
        at = (day - as_of).days - 1
        if at < days:
            coming[at] += kg
    there = np.empty_like(logs)
    left = level.copy()
    for t in range(days):
        left = left + coming[t]
        there[:, t] = np.minimum(logs[:, t], left)
        left = left - there[:, t]
    burning = np.divide(there, logs, out=np.zeros_like(there), where=logs > 0)
    return pellets_alone_kg * (1.0 - taken * burning), LogDraws(
        level, there, np.broadcast_to(coming, logs.shape)
    )
