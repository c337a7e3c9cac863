"""The day hopper at fifteen minutes or finer: burn, burn-out, convey, ignite."""

from fuelplan.sizing.hopper_cycle.cycle import BoilerState, Cycle, Disturbances, Trace, simulate
from fuelplan.sizing.hopper_cycle.findings import (
    BOILER_TOO_SMALL,
    TOO_SMALL_FOR_NIGHT,
    ColdestWeek,
    HopperAnswer,
    HopperOption,
    coldest_week,
    hopper_answer,
    night_kg,
    week_trace,
)
from fuelplan.sizing.hopper_cycle.load import (
    HOT_WATER_BY_HOUR,
    USUAL_RANGE_K,
    heat_by_step,
    hourly_from_daily_c,
    steps_per_hour,
)

__all__ = [
    "BOILER_TOO_SMALL",
    "HOT_WATER_BY_HOUR",
    "TOO_SMALL_FOR_NIGHT",
    "USUAL_RANGE_K",
    "BoilerState",
    "ColdestWeek",
    "Cycle",
    "Disturbances",
    "HopperAnswer",
    "HopperOption",
    "Trace",
    "coldest_week",
    "heat_by_step",
    "hopper_answer",
    "hourly_from_daily_c",
    "night_kg",
    "simulate",
    "steps_per_hour",
    "week_trace",
]
