"""Upkeep from the fuel burned: ash, chimney, store cleaning, as dated entries with their cautions."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.draws import StockDraws
from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.answer import UpkeepEntry
from fuelplan.messages import as_message, cautions, message
from fuelplan.ordering import SafePlan, upkeep

Floats = NDArray[np.float64]

YEAR_DAYS = 365
MOST_ASH_ENTRIES = 12
NEVER_ENTERED = {"fabric bag", "buried tank", "upright tank"}


def upkeep_of_site(setting: Setting, draws: StockDraws, plan: SafePlan) -> tuple[UpkeepEntry, ...]:
    """Return what is to be done within a year, in order of time; questions first."""
    items = [*_ash(setting, draws), *_sweeping(setting), *_cleaning(setting, plan)]
    items.sort(key=lambda i: (i.kind != "question", i.day))
    return tuple(
        UpkeepEntry(
            i.day,
            i.kind,
            i.title,
            i.text,
            i.latest,
            i.key,
            tuple(
                cautions.caution(name, i.title) for name in i.caution_ids
            ),
        )
        for i in items
    )


def known_by(as_of: date, day: date | None) -> date | None:
    """Return a day on which something was done, None where that was not known yet."""
    return day if day is not None and day <= as_of else None


def _dates(setting: Setting) -> NDArray[np.datetime64]:
    return np.datetime64(setting.as_of, "D") + 1 + np.arange(YEAR_DAYS)


def _ash(setting: Setting, draws: StockDraws) -> tuple[upkeep.UpkeepItem, ...]:
    given = setting.site.table.upkeep
    if given.ash_box_m3 is None:
        return ()
    burned: dict[str, Floats] = {setting.fuel.name: draws.demand_kg[:, :YEAR_DAYS]}
    shares = {setting.fuel.name: setting.material.ash_share}
    if draws.logs is not None and setting.log_side is not None:
        name = setting.log_side.burned.name
        burned[name] = draws.logs.demand_kg[:, :YEAR_DAYS]
        shares[name] = setting.log_side.wood.ash_share
    ash = upkeep.ash_from_fuels(burned, shares)
    box_l = given.ash_box_m3 * 1000.0
    emptied = known_by(setting.as_of, given.ash_emptied)
    since = 0 if emptied is None else (setting.as_of - emptied).days
    in_box = upkeep.ash_in_box(ash, since, box_l=box_l)
    return upkeep.ash_items(_dates(setting), ash, box_l=box_l, in_box_kg=in_box, most=MOST_ASH_ENTRIES)


def _sweeping(setting: Setting) -> tuple[upkeep.UpkeepItem, ...]:
    given = setting.site.table.upkeep
    rule = (
        None
        if given.sweepings_a_year is None
        else upkeep.SweepingRule(given.sweepings_a_year, given.sweeping_months)
    )
    until = setting.as_of + timedelta(days=YEAR_DAYS)
    logs = setting.log_side is not None
    return upkeep.sweeping_items(
        setting.as_of, until, rule, last_swept=known_by(setting.as_of, given.last_swept), logs=logs
    )


def _cleaning(setting: Setting, plan: SafePlan) -> tuple[upkeep.UpkeepItem, ...]:
    paths, dates = plan.with_orders, _dates(setting)
    due = upkeep.store_cleaning(
        dates,
        paths.level_kg[:, :YEAR_DAYS],
        paths.accepted_kg[:, :YEAR_DAYS] > 0,
        last_cleaned=known_by(setting.as_of, setting.site.table.upkeep.store_cleaned),
        past_fills=[d.day for d in setting.deliveries],
        off_season=upkeep.off_season(dates, map(setting.seasons.month, upkeep.OFF_SEASON)),
        entered=setting.site.table.store.shape not in NEVER_ENTERED,
        store=message("cleaning.store_of", "{fuel} store", fuel=as_message(setting.fuel.one)),
    )
    return () if due.item is None else (due.item,)
