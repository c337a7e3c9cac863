"""Logs in a boiler for logs and pellets: what they take of each day's heat, their stock, their pile."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat import fuels as fuel
from fuelplan.heat.building import HeatNeed
from fuelplan.messages import Day, Message, Own, Percent, Quantity, message
from fuelplan.records.site import DeliveryRow, ReadingRow, Site, loading_rule, plant_of, stack_of
from fuelplan.store import log_heating, log_pile
from fuelplan.units import Amount
from fuelplan.weather import DailyWeather, place_seasons

Floats = NDArray[np.float64]

COUNT_SD = 0.05
"""Doubt of one count of a stack, as a share; how tightly it is stacked is the same in all (assumptions)."""

LEAST_DAYS = 14
"""Between two counts that tell what was burned. [d]"""

EMPTY_M3 = 0.3
"""A stack with less is empty: what was burned then may have come from elsewhere, too. [m3]"""

LOADED_OTHERWISE = 0.15  # nearer to what is written it is not worth a sentence (our choice)
WORTH_TELLING = 0.1  # of a stack: less that was burned unseen is not told (our choice)


@dataclass(frozen=True)
class StackBurned:
    """What went from the stacks between two days, by counts of them.

    Attributes
    ----------
    stacked_m3
        [m3]
    kwh, sd_kwh
        Its energy when dry, and the doubt. [kWh]
    at_least
        Whether the stacks were empty in the end: then it may have been more.
    """

    first: date
    last: date
    stacked_m3: float
    kwh: float
    sd_kwh: float
    at_least: bool


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
    habit
        How much more or less than the rule is loaded.
    counted
        What counts say was burned, None where they tell nothing.
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
    habit: log_heating.Habit
    counted: StackBurned | None

    def left(self, dates: NDArray[np.datetime64], mean_c: Floats) -> Floats:
        """Return what share of the pellets of a house without logs is burned, shape of `mean_c`. [0..1]"""
        return self.share.loaded(dates, mean_c, self.habit.mean)[0]

    def burned_kg(self, need: HeatNeed, dates: NDArray[np.datetime64], mean_c: Floats) -> Floats:
        """Return the logs burned on each day, shape (days,). [kg]"""
        return log_heating.logs_burned_kg(
            self.plant, self.rule, self.share, need, dates, mean_c, self.habit.mean
        )

    def loaded_said(self) -> Message | None:
        """Return how much of what the rule says is loaded; None where nothing tells it."""
        share, (low, high) = Percent(self.habit.mean), map(Percent, self.habit.band)
        if self.counted is not None:
            return message(
                "logs.loaded_by_counts",
                "Your counts say that about {burned} of stacked logs were burned from {first} to {last}. "
                "With the {fuel} burned beside them that makes about {share} of what you write under loading "
                "({low} to {high}); so it is reckoned from now on.",
                burned=Quantity(max(self.counted.stacked_m3, 0.0), "volume"),
                first=Day(self.counted.first, year=True),
                last=Day(self.counted.last, year=True),
                fuel=fuel.usual().word,
                share=share,
                low=low,
                high=high,
            )
        if abs(self.habit.mean - 1.0) < LOADED_OTHERWISE:
            return None
        return message(
            "logs.loaded_by_other_fuel",
            "By the {fuel} burned beside them you load about {share} of what you write under loading ({low} "
            "to {high}); so it is reckoned. Count the stacks now and then: that tells it better.",
            fuel=fuel.usual().word,
            share=share,
            low=low,
            high=high,
        )

    @property
    def stock_read_on(self) -> date | None:
        """Day of the newest count of a stack, None where none was counted."""
        return max(self.counted_on.values(), default=None)

    @property
    def kg_per_stacked_m3(self) -> float:
        """Mass of a stacked cubic metre as burned. [kg/m3]"""
        return self.wood.kg_per_stacked_m3


def log_side_of(
    site: Site,
    weather: DailyWeather,
    as_of: date,
    need: HeatNeed,
    bulk_kwh_per_kg: float,
    habit: log_heating.Habit = log_heating.AS_WRITTEN,
    like: LogSide | None = None,
) -> LogSide | None:
    """Return the logs of a site; None where its boiler burns none.

    Parameters
    ----------
    need
        Of the house.
    bulk_kwh_per_kg
        Energy of the other fuel. [kWh/kg]
    habit
        How the person loads against the rule.
    like
        Logs of the same site, plant and about the same house, whose hours need not be run again.
    """
    table = site.table
    stacked = table.boiler.stacked
    if stacked is None:
        return None
    assert table.logs is not None
    wood = fuel.logs(table.logs.wood, table.logs.water)
    plant, rule = plant_of(table, bulk_kwh_per_kg), loading_rule(site)
    if like is None:
        share, loading = log_heating.daily_share(plant, rule, need, weather.dates, weather.mean_c)
    else:
        share, loading = like.share, like.loading
    climate = log_pile.PileClimate.from_days(weather.dates, weather.mean_c, weather.humidity_pct)
    given = _given(site, as_of, wood)
    burned = _burned_kwh(weather, _books_since(site, as_of), as_of, wood, need, (plant, rule, share), habit)
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
        habit=habit,
        counted=_burned_by_counts(given, wood),
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


def _burned_by_counts(given: _Given, wood: fuel.Wood) -> StackBurned | None:
    """Return what went from the stacks that were counted at least twice, over the time common to them."""
    stacks = {stack.name: stack for stack in given.stacks}
    series = {name: _counted_m3(given, stacks[name], wood) for name in stacks}
    series = {name: found for name, found in series.items() if found[-1][0] > found[0][0]}
    if not series:
        return None
    first, last = max(s[0][0] for s in series.values()), min(s[-1][0] for s in series.values())
    if (last - first).days < LEAST_DAYS:  # no time in common: the stack that was watched longest
        name = max(series, key=lambda n: series[n][-1][0] - series[n][0][0])
        series = {name: series[name]}
        first, last = series[name][0][0], series[name][-1][0]
        if (last - first).days < LEAST_DAYS:
            return None
    total, kwh, var, left = 0.0, 0.0, 0.0, 0.0
    for name, found in series.items():
        each = fuel.Wood(stacks[name].species, wood.moisture).kwh_per_stacked_m3
        came = sum(lot.stacked_m3 for lot in given.lots if lot.name == name and first < lot.since <= last)
        begin, end = (_m3_on(found, given, name, day) for day in (first, last))
        gone, sd = begin + came - end, COUNT_SD * np.hypot(begin, end) + log_heating.AMOUNT_SD * came
        if gone < -2 * sd:
            continue  # it grew, and nobody wrote down by what
        total, left = total + gone, left + end
        kwh, var = kwh + gone * each, var + (sd * each) ** 2
    if var == 0.0:
        return None
    sd_kwh = float(np.sqrt(var + (log_heating.AMOUNT_SD * kwh) ** 2))
    return StackBurned(first, last, total, kwh, sd_kwh, left < EMPTY_M3)


def _counted_m3(given: _Given, stack: log_pile.Stack, wood: fuel.Wood) -> list[tuple[date, float]]:
    """Return the counts of a stack in order of time, at least one entry. [m3]"""
    found = []
    for count in sorted(given.counts, key=lambda c: c.day):
        if count.stack == stack.name:
            there = fuel.Wood(stack.species, count.moisture or wood.moisture)
            found.append((count.day, there.amount(count.value, count.measure).stacked_m3))
    return found or [(date.min, 0.0)]


def _m3_on(counted: list[tuple[date, float]], given: _Given, name: str, day: date) -> float:
    """Return what lay in a stack on a day between counts, evenly burned between these. [m3]"""
    before = max((c for c in counted if c[0] <= day), key=lambda c: c[0])
    after = min((c for c in counted if c[0] >= day), key=lambda c: c[0])
    if before[0] == after[0]:
        return after[1]
    lots = [lot for lot in given.lots if lot.name == name and before[0] < lot.since <= after[0]]
    gone = before[1] + sum(lot.stacked_m3 for lot in lots) - after[1]
    part = (day - before[0]).days / (after[0] - before[0]).days
    return before[1] + sum(lot.stacked_m3 for lot in lots if lot.since <= day) - part * gone


def _stacked_m3(amount: Amount, wood: fuel.Wood) -> float:
    return wood.amount(amount.value, amount.measure).stacked_m3


def _burned_kwh(
    weather: DailyWeather,
    first: date,
    as_of: date,
    wood: fuel.Wood,
    need: HeatNeed,
    loaded: tuple[log_heating.LogPelletBoiler, log_heating.LoadingRule, log_heating.DailyShare],
    habit: log_heating.Habit,
) -> tuple[date, Floats]:
    """Return the first day, and the energy of the logs that were burned since by the way of loading. [kWh]"""
    days = weather.between(first, as_of)
    if len(days) == 0:
        return as_of, np.zeros(0)
    kg = log_heating.logs_burned_kg(*loaded, need, days.dates, days.mean_c, habit.mean)
    return days.dates[0].astype(object), kg * wood.kwh_per_kg
