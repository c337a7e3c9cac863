"""Logs in a boiler for logs and pellets: what they take of each day's heat, their stock, their pile."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat import fuels as fuel
from fuelplan.heat.building import HeatNeed
from fuelplan.messages import Message, Own, Quantity, message
from fuelplan.records.site import DeliveryRow, ReadingRow, Site, loading_rule, plant_of, stack_of
from fuelplan.store import log_heating, log_pile
from fuelplan.units import Amount
from fuelplan.weather import DailyWeather, place_seasons

WORTH_TELLING = 0.1  # of a stack: less that was burned unseen is not told (our choice)


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
    stock_kg, stock_m3
        Logs that are dry even if they dried slowly: as kilograms of `wood` with the same energy, and as they
        are stacked. [kg, m3]
    waiting_m3
        Logs that are not dry yet, or not surely. [m3]
    coming
        Lots that become dry later: day and kilograms of `wood` with the same energy. [kg]
    loading
        What loading saves a year.
    lots
        What lies in the yard, lot by lot.
    counted_on
        Day of the newest count of each stack that was counted.
    notes
        What only a count would tell.
    cut_by
        When to cut or buy for the winters to come.
    plant, rule
        Boiler, buffer and a load; when somebody loads.
    """

    burned: fuel.Fuel
    share: log_heating.DailyShare
    wood: fuel.Wood
    stock_kg: float
    stock_m3: float
    waiting_m3: float
    coming: tuple[tuple[date, float], ...]
    loading: log_heating.LoadingValue
    lots: tuple[log_pile.LotState, ...]
    counted_on: Mapping[str, date]
    notes: tuple[Message, ...]
    cut_by: tuple[Message, ...]
    plant: log_heating.LogPelletBoiler
    rule: log_heating.LoadingRule

    @property
    def stock_read_on(self) -> date | None:
        """Day of the newest count of a stack, None where none was counted."""
        return max(self.counted_on.values(), default=None)

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
    given = _given(site, as_of, wood)
    burned = _burned_kwh(weather, _books_since(site, as_of), as_of, wood, need, (plant, rule, share))
    lots = log_pile.yard_on(
        given.stacks, given.lots, given.counts, as_of, climate, burned_kwh=burned, enough=given.enough
    )
    counted_on = {count.stack: count.day for count in given.counts}
    states = tuple(log_pile.lot_state(lot, as_of, climate, enough=given.enough) for lot in lots)
    dry = [state for state in states if state.is_dry]
    coming = log_pile.dried_later(lots, as_of, climate, enough=given.enough)
    return LogSide(
        burned=stacked,
        share=share,
        wood=wood,
        stock_kg=sum(state.kwh for state in dry) / wood.kwh_per_kg,
        stock_m3=sum(state.lot.stacked_m3 for state in dry),
        waiting_m3=sum(state.lot.stacked_m3 for state in states if not state.is_dry),
        coming=tuple((day, kwh / wood.kwh_per_kg) for day, kwh in coming),
        loading=loading,
        lots=states,
        counted_on=counted_on,
        notes=_never_counted([lot for lot in given.lots if lot.name not in counted_on], lots),
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


@dataclass(frozen=True)
class _Given:
    """What a folder says about its stacks."""

    stacks: tuple[log_pile.Stack, ...]
    lots: tuple[log_pile.PileLot, ...]
    counts: tuple[log_pile.StackCount, ...]
    enough: fuel.Moisture


def _given(site: Site, as_of: date, wood: fuel.Wood) -> _Given:
    """Return the stacks of the settings, what came to them and what was counted."""
    stacks = {"": log_pile.Stack("", wood.species, wood.moisture)}  # where the settings have none
    lots = []
    for row in site.table.log_pile:
        kind, water = fuel.species(row.wood), row.water
        m3 = _stacked_m3(row.amount, fuel.Wood(kind, water or kind.green))
        stacks.setdefault(row.name, log_pile.Stack(row.name, kind, None, row.kept, row.split))
        if m3 > 0:
            lots.append(log_pile.PileLot(kind, m3, row.since, water, row.kept, row.split, name=row.name))
    stacked = fuel.stacked().name
    for came in site.delivered(as_of):
        if came.fuel == stacked and held_by_settings(site, came) is None:
            lots.append(_lot_of(site, came, stacks))
    counts = tuple(
        _count_of(site, row)
        for row in site.read_by(as_of)
        if row.fuel == stacked
        and stack_of(site.table, row) is not None
        and held_by_settings(site, row) is None
    )
    # Without stacks in the settings nothing is known of drying: what is counted is burned as they say.
    as_burned = max(log_pile.DRY_ENOUGH, wood.moisture.wet, key=lambda m: m.share)
    enough = log_pile.DRY_ENOUGH if site.table.log_pile else as_burned
    return _Given(tuple(stacks.values()), tuple(lots), counts, enough)


def held_by_settings(site: Site, row: DeliveryRow | ReadingRow) -> date | None:
    """Return the day of a stack's amount in the settings where it is newer than a row, else None; a count of
    the same day is the newer of the two.
    """
    name = stack_of(site.table, row)
    days = (r.since for r in site.table.log_pile if r.name == name and r.amount.value > 0)
    since = min(days, default=None)
    if since is None:
        return None
    if isinstance(row, ReadingRow):
        return since if row.day < since else None
    return since if row.delivered_on is not None and row.delivered_on <= since else None


def _books_since(site: Site, as_of: date) -> date:
    """Return the first day with an entry: before it nobody wrote down what was stacked, brought or burned."""
    days = [row.day for row in site.read_by(as_of)]
    days += [row.delivered_on for row in site.delivered(as_of) if row.delivered_on is not None]
    return min(days, default=as_of)


def _never_counted(
    brought: list[log_pile.PileLot], left: tuple[log_pile.PileLot, ...]
) -> tuple[Message, ...]:
    """Return what is to be said of stacks of which logs were burned by the reckoning alone."""
    found = []
    for name in dict.fromkeys(lot.name for lot in brought):
        had, has = (sum(lot.stacked_m3 for lot in lots if lot.name == name) for lots in (brought, left))
        if has < had * (1 - WORTH_TELLING):
            found.append(
                message(
                    "logs.never_counted",
                    "Nobody has counted the stack {name}: of {had} that were stacked, about {left} are left "
                    "by your way of loading. Count it.",
                    name=Own(name),
                    had=Quantity(had, "volume"),
                    left=Quantity(has, "volume"),
                )
            )
    return tuple(found)


def _lot_of(site: Site, row: DeliveryRow, stacks: Mapping[str, log_pile.Stack]) -> log_pile.PileLot:
    """Return a delivery as a lot of its stack: green unless it says how wet it was."""
    assert row.delivered is not None and row.delivered_on is not None  # the reader of the file makes sure
    name = stack_of(site.table, row)
    stack = stacks[name or ""]
    kind = fuel.species(row.wood) if row.wood else stack.species
    water = None if row.water == "green" else row.water
    m3 = _stacked_m3(row.delivered, fuel.Wood(kind, water or kind.green))
    return log_pile.PileLot(
        kind, m3, row.delivered_on, water, stack.kept, stack.split, name=row.stack if name is None else name
    )


def _count_of(site: Site, row: ReadingRow) -> log_pile.StackCount:
    name, seen = stack_of(site.table, row) or "", row.reading
    value, measure = (0.0, "stacked_m3") if seen is None else (seen.value, seen.measure)
    return log_pile.StackCount(name, row.day, value, measure, row.water)


def _stacked_m3(amount: Amount, wood: fuel.Wood) -> float:
    return wood.amount(amount.value, amount.measure).stacked_m3


def _burned_kwh(
    weather: DailyWeather,
    first: date,
    as_of: date,
    wood: fuel.Wood,
    need: HeatNeed,
    loaded: tuple[log_heating.LogPelletBoiler, log_heating.LoadingRule, log_heating.DailyShare],
) -> tuple[date, NDArray[np.float64]]:
    """Return the first day, and the energy of the logs that the rule of loading burned since. [kWh]"""
    days = weather.between(first, as_of)
    if len(days) == 0:
        return as_of, np.zeros(0)
    kg = log_heating.logs_burned_kg(*loaded, need, days.dates, days.mean_c)
    return days.dates[0].astype(object), kg * wood.kwh_per_kg
