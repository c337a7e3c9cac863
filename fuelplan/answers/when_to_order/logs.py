"""The part of the order answer that is about logs: stock, use, run-out, what loading saves, the pile."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.draws import StockDraws
from fuelplan.answers.log_side import LogSide
from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.answer import FuelStock, FuelUse, LogAdvice, RunOut, StackedLogs
from fuelplan.answers.when_to_order.tonight import heat_asked_kwh, light_next, week_loads
from fuelplan.messages import Day, Message, Quantity, message, paragraph
from fuelplan.records.site import buffer_too_small, wet_logs_burned
from fuelplan.store.log_heating import AMOUNT_SD
from fuelplan.store.log_pile import LotState

Floats = NDArray[np.float64]

USE_DAYS = (30, 90, 365)
WEEKS_WITHIN = 365  # days in which the coldest week is looked for
LEAST_M3 = 0.05  # less is told as none


def log_stock(setting: Setting, draws: StockDraws) -> tuple[FuelStock, ...]:
    """Return the dry logs on the day, where the boiler burns them."""
    side = setting.log_side
    if side is None or draws.logs is None:
        return ()
    p10, p50, p90 = np.quantile(draws.logs.level_kg, (0.1, 0.5, 0.9))
    read_on = side.stock_read_on
    return (
        FuelStock(
            fuel=side.burned.name,
            kg=float(p50),
            p10_kg=float(p10),
            p90_kg=float(p90),
            usable_kg=float(p50),
            capacity_kg=float("nan"),
            reserve_kg=0.0,
            reading_age_days=None if read_on is None else (setting.as_of - read_on).days,
            reading_on=read_on,
            stacked_m3=float(p50) * _m3_per_kg(side),
            waiting_m3=side.waiting_m3,
        ),
    )


def _m3_per_kg(side: LogSide) -> float:
    """Return the stack of a kilogram as burned, of the wood that lies there dry. [m3/kg]"""
    return side.stock_m3 / side.stock_kg if side.stock_kg > 0 else 1.0 / side.kg_per_stacked_m3


def log_use(setting: Setting, draws: StockDraws) -> tuple[FuelUse, ...]:
    """Return the logs burned over the next days."""
    side = setting.log_side
    if side is None or draws.logs is None:
        return ()
    found = []
    for days in USE_DAYS:
        p10, p50, p90 = np.quantile(draws.logs.demand_kg[:, :days].sum(axis=1), (0.1, 0.5, 0.9))
        found.append(FuelUse(side.burned.name, days, float(p10), float(p50), float(p90)))
    return tuple(found)


def log_run_out(setting: Setting, draws: StockDraws) -> tuple[RunOut, ...]:
    """Return when the dry logs there are, and those that become dry, are burned."""
    side, logs = setting.log_side, draws.logs
    if side is None or logs is None:
        return ()
    left = logs.level_kg[:, None] + np.cumsum(logs.coming_kg - logs.demand_kg, axis=1)
    gone = left <= 1e-6
    days = left.shape[1]
    day = np.where(gone.any(axis=1), gone.argmax(axis=1), days)

    def quantile(share: float) -> date | None:
        at = int(np.quantile(day, share, method="inverted_cdf"))
        return None if at >= days else setting.as_of + timedelta(days=at + 1)

    return (RunOut(side.burned.name, quantile(0.02), quantile(0.10), quantile(0.50), quantile(0.90)),)


def log_advice(setting: Setting, draws: StockDraws) -> LogAdvice | None:
    """Return what is to be said about logs."""
    side = setting.log_side
    if side is None:
        return None
    year_kg = np.quantile(side.loading.logs_kg, (0.1, 0.9))
    per_hour = side.loading.kg_per_hour
    less, more = side.habit.band
    low, high = year_kg / side.kg_per_stacked_m3 * (less, more)
    said, tonight = light_next(setting, side, draws)
    return LogAdvice(
        loading=_loading(setting, side),
        loaded_share=(less, side.habit.mean, more),
        loaded_said=side.loaded_said(),
        kg_saved_per_hour=None if np.isnan(per_hour) else per_hour,
        stacks=tuple(state.sentence for state in side.lots),
        yard=tuple(_stacked(side, state) for state in side.lots),
        cut_by=side.cut_by,
        light_next=said,
        tonight=tonight,
        week_loads=week_loads(setting, side, draws),
        coldest_week_loads=_coldest_week_loads(setting, side, draws),
        winter_stacked_m3=(float(low) * (1 - AMOUNT_SD), float(high) * (1 + AMOUNT_SD)),
    )


def _coldest_week_loads(setting: Setting, side: LogSide, draws: StockDraws) -> tuple[float, float]:
    """Return the loads a day in the coldest week of the year ahead if logs gave all the heat, p10 to p90."""
    loads = heat_asked_kwh(setting, side, draws)[:, :WEEKS_WITHIN] / side.plant.load_useful_kwh
    weekly = np.cumsum(np.pad(loads, ((0, 0), (1, 0))), axis=1)
    most = ((weekly[:, 7:] - weekly[:, :-7]) / 7.0).max(axis=1)
    low, high = np.quantile(most, (0.1, 0.9))
    return float(low), float(high)


def _loading(setting: Setting, side: LogSide) -> Message:
    """Return what loading saves: never of wet logs, and with the reason where the buffer is too small."""
    table = setting.site.table
    wet, small = wet_logs_burned(table), buffer_too_small(table)
    return paragraph([side.loading.sentence if wet is None else wet, *([] if small is None else [small])])


def _stacked(side: LogSide, state: LotState) -> StackedLogs:
    lot = state.lot
    return StackedLogs(
        stack=lot.name,
        wood=lot.species.name,
        stacked_m3=lot.stacked_m3,
        kg=state.kg,
        kwh=state.kwh,
        is_dry=state.is_dry,
        water=state.moisture.wet.share,
        water_if_slow=state.moisture_slow.wet.share,
        dry_from=state.dry_from,
        counts_from=state.counts_from,
        counted_on=side.counted_on.get(lot.name),
    )


def logs_sentence(stock: FuelStock, run_out: RunOut, bulk: Message, *, more_later: bool) -> Message:
    """Return how the logs stand: the dry ones, then those that are not counted on.

    `more_later` tells whether some of these become dry: how long logs last counts them from then on.
    """
    assert stock.stacked_m3 is not None and stock.waiting_m3 is not None
    said = [_dry_left(stock.stacked_m3, run_out, bulk, more_later)]
    if stock.waiting_m3 >= LEAST_M3:
        waiting = Quantity(stock.waiting_m3, "volume")
        said.append(
            message(
                "logs.waiting",
                "{waiting} more are not dry yet, or not surely: do not burn them unmeasured. They are "
                "counted from when they are dry even in a slow year.",
                waiting=waiting,
            )
        )
    return paragraph(said)


def _dry_left(stacked_m3: float, run_out: RunOut, bulk: Message, more_later: bool) -> Message:
    if stacked_m3 < LEAST_M3:
        if more_later:
            return message(
                "logs.none_left_now", "No dry logs are left; {bulk} do all the work for now.", bulk=bulk
            )
        return message("logs.none_left", "No dry logs are left; {bulk} do all the work.", bulk=bulk)
    stack = Quantity(stacked_m3, "volume")
    if more_later and run_out.p50 is None:
        return message(
            "logs.last_beyond_with_later",
            "About {stack} of stacked dry logs are left; by your way of loading they last beyond the "
            "horizon, together with those that become dry, and {bulk} do the rest.",
            bulk=bulk,
            stack=stack,
        )
    if more_later and run_out.p50 is not None:
        return message(
            "logs.last_until_with_later",
            "About {stack} of stacked dry logs are left; by your way of loading they last until about "
            "{until}, together with those that become dry before, and {bulk} do the rest.",
            bulk=bulk,
            stack=stack,
            until=Day(run_out.p50, year=True),
        )
    if run_out.p50 is None:
        return message(
            "logs.last_beyond",
            "About {stack} of stacked dry logs are left; by your way of loading they last beyond the "
            "horizon, and {bulk} do the rest.",
            bulk=bulk,
            stack=stack,
        )
    return message(
        "logs.last_until",
        "About {stack} of stacked dry logs are left; by your way of loading they last until about {until}, "
        "and {bulk} do the rest.",
        bulk=bulk,
        stack=stack,
        until=Day(run_out.p50, year=True),
    )
