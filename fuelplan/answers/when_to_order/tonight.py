"""Tonight: how many logs to load now, when to light next, and when the other fuel takes over."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.draws import StockDraws
from fuelplan.answers.log_side import LogSide
from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.answer import Tonight
from fuelplan.messages import Day, Message, message
from fuelplan.records.site import wet_logs_burned
from fuelplan.store import buffer
from fuelplan.store.log_heating import spread_over_day

Floats = NDArray[np.float64]

AHEAD_DAYS = 3
LEAST_KG = 1.0  # of dry logs: with less nobody lights a fire


def heat_asked_kwh(setting: Setting, side: LogSide, draws: StockDraws) -> Floats:
    """Return what both fuels give on each day ahead in the learned house, shape (draws, days). [kWh]"""
    assert side.plant.load is not None and draws.logs is not None
    by_logs = draws.logs.demand_kg * (side.plant.load_useful_kwh / side.plant.load.kg)
    return by_logs + draws.demand_kg * setting.useful_kwh_per_kg


def week_loads(setting: Setting, side: LogSide, draws: StockDraws) -> tuple[float, float]:
    """Return the loads a day in the week ahead if logs gave all the heat, p10 to p90."""
    a_day = heat_asked_kwh(setting, side, draws)[:, :7].mean(axis=1) / side.plant.load_useful_kwh
    low, high = np.quantile(a_day, (0.1, 0.9))
    return float(low), float(high)


def light_next(setting: Setting, side: LogSide, draws: StockDraws) -> tuple[Message | None, Tonight | None]:
    """Return what is to be said about the next fire, and the same as values where there is to be one.

    Nothing where the folder does not tell the buffer's temperatures.
    """
    table = setting.site.table.buffer
    if not table.now_c:
        return None, None
    refused = _no_fire(setting, side)
    if refused is not None:
        return refused, None
    assert side.plant.load is not None
    load_kw, may = _ahead(setting, side, draws)
    found = buffer.light_next(
        side.plant.buffer,
        table.now_c,
        load_kw,
        batch_kg=side.plant.load.kg,
        batch_kwh=side.plant.load_useful_kwh,
        batch_h=side.plant.load.burn_h,
        may_light=may,
    )
    at, gone, first = table.now_at_h, found.hours, found.first_hours
    over = gone is not None and (first is None or gone < first)
    return found.sentence, Tonight(
        read_on=setting.as_of,
        read_at_h=at,
        held_kwh=found.held_kwh,
        kg_now=min(found.kg_now, side.stock_kg),
        full_kg=side.plant.load.kg,
        light_at_h=None if first is None else at + first,
        over_at_h=at + gone if over and gone is not None else None,
    )


def _no_fire(setting: Setting, side: LogSide) -> Message | None:
    """Return why nothing is said of a next fire: old temperatures, wet logs, no dry ones."""
    read_on = setting.site.table.buffer.now_on
    if read_on is not None and read_on != setting.as_of:
        return message(
            "tonight.read_again",
            "The temperatures of the buffer are of {day}: read them again and note them.",
            day=Day(read_on, year=True),
        )
    if wet_logs_burned(setting.site.table) is not None:
        return message("tonight.wet_logs", "Light no fire with wet logs.")
    if side.stock_kg < LEAST_KG:
        return message("tonight.no_dry_logs", "Light no fire of logs: no dry ones are known to be left.")
    return None


def _ahead(setting: Setting, side: LogSide, draws: StockDraws) -> tuple[Floats, NDArray[np.bool_]]:
    """Return what the house takes in each hour from the reading on, and whether somebody would load. [kW]

    The rest of today is taken as tomorrow: the night is what the two share.
    """
    days = [0, *range(AHEAD_DAYS)]
    asked = np.median(heat_asked_kwh(setting, side, draws)[:, :AHEAD_DAYS], axis=0)[days]
    water = np.minimum(asked, setting.need.hot_water_kwh_per_day)
    mean_c = np.median(draws.mean_c[:, :AHEAD_DAYS], axis=0)[days]
    dates = np.datetime64(setting.as_of, "D") + np.arange(len(days))
    from_hour = int(setting.site.table.buffer.now_at_h)
    load_kw = spread_over_day(asked - water, water, 24)[0]
    return load_kw[from_hour:], side.rule.may_load(dates, mean_c, 24)[0, from_hour:]
