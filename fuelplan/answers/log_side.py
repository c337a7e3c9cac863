"""Logs in a boiler for logs and pellets: what they take of each day's heat, their stock, their pile."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from fuelplan.heat import fuels as fuel
from fuelplan.heat.building import HeatNeed
from fuelplan.messages import Message
from fuelplan.records.schema import SiteTable
from fuelplan.records.site import DeliveryRow, ReadingRow, Site, boiler_of
from fuelplan.store import log_heating, log_pile
from fuelplan.store.buffer import Buffer
from fuelplan.units import Amount
from fuelplan.weather import DailyWeather, place_seasons


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
    plant, rule
        Boiler, buffer and a load; when somebody loads.
    """

    burned: fuel.Fuel
    share: log_heating.DailyShare
    wood: fuel.Wood
    stock_kg: float
    stock_read_on: date | None
    coming: tuple[tuple[date, float], ...]
    loading: log_heating.LoadingValue
    lots: tuple[Message, ...]
    cut_by: tuple[Message, ...]
    plant: log_heating.LogPelletBoiler
    rule: log_heating.LoadingRule

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
    plant, rule = plant_of(table, bulk_kwh_per_kg), loading_rule(site)
    share, loading = log_heating.daily_share(plant, rule, need, weather.dates, weather.mean_c)
    climate = log_pile.PileClimate.from_days(weather.dates, weather.mean_c, weather.humidity_pct)
    lots = _lots(site)
    stock, read_on = _stock_kg(site, weather, as_of, wood, share, rule, lots, climate, need, plant)
    return LogSide(
        burned=stacked,
        share=share,
        wood=wood,
        stock_kg=stock,
        stock_read_on=read_on,
        coming=log_pile.dried_later(lots, as_of, climate),
        loading=loading,
        lots=tuple(log_pile.lot_state(lot, as_of, climate).sentence for lot in lots if lot.since <= as_of),
        cut_by=_cut_by(wood, weather, as_of, climate),
        plant=plant,
        rule=rule,
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
    share: log_heating.DailyShare,
    rule: log_heating.LoadingRule,
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
    burned = log_heating.logs_burned_kg(plant, rule, share, need, since.dates, since.mean_c)
    return max(0.0, start - burned), last.day
