"""The keys of `site.toml` about logs, their pile, loading them, the buffer and upkeep."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from fuelplan import units
from fuelplan.heat import fuels as fuel
from fuelplan.messages import Own, Refusal
from fuelplan.records.schema.of_fuels import Water, WoodName, amount_of
from fuelplan.records.schema.quantities import Day, Mass, OneOf, Power, Temperature, Time, Volume
from fuelplan.records.schema.table_base import Name, Table

if TYPE_CHECKING:
    StackedAmount = Any
else:
    StackedAmount = amount_of(fuel.stacked())


def _hours(value: Any) -> tuple[float, float]:
    parts = value.split(" to ") if isinstance(value, str) else []
    if len(parts) != 2:
        raise Refusal.because("value.clock_hours", 'write clock hours in quotes, e.g. "17:00 to 22:00"')
    return units.parse_clock(parts[0].strip()), units.parse_clock(parts[1].strip())


Hours = Annotated[
    tuple[float, float],
    BeforeValidator(_hours),
    WithJsonSchema({"type": "string", "description": "clock hours", "examples": ["17:00 to 22:00"]}),
]


class LogsTable(Table):
    """The logs burned, and one load of them."""

    wood: WoodName = Field(description="Kind of wood.")
    water: Water = Field(
        description='Water content with its basis: "18 % wet" (of the wet mass) or "22 % dry" (of the dry '
        "mass)."
    )
    load_kg: Mass = Field(
        alias="load", gt=0, description="Mass of a full load in the fuel chamber.", examples=["30 kg"]
    )
    burn_h: Time = Field(4.0, alias="burn", gt=0, description="How long a full load burns.")
    chamber_m3: Volume | None = Field(
        None,
        alias="chamber",
        gt=0,
        description="What the fuel chamber holds, from the maker's data; some rules size the buffer by it.",
        examples=["120 litre"],
    )


class LoadingTable(Table):
    """When somebody loads logs. Never on the days of [[away]]."""

    weekdays: tuple[Hours, ...] = Field(
        ((17.0, 22.0),), description="Hours on weekdays.", examples=[["17:00 to 22:00"]]
    )
    weekends: tuple[Hours, ...] = Field(
        ((8.0, 22.0),), description="Hours on Saturdays and Sundays.", examples=[["08:00 to 22:00"]]
    )
    cold_below_c: Temperature | None = Field(
        None,
        alias="cold_below",
        description="On days colder than this, also in cold_hours.",
        examples=["-5 degC"],
    )
    cold_hours: tuple[Hours, ...] = Field(
        ((6.0, 22.0),), description="Hours on cold days.", examples=[["06:00 to 22:00"]]
    )
    not_above_c: Temperature = Field(
        15.0, alias="not_above", description="No logs on days with a warmer mean.", examples=["12 degC"]
    )
    months: tuple[int, ...] = Field(
        tuple(range(1, 13)),
        description="Months in which logs are burned, 1 to 12.",
        examples=[[10, 11, 12, 1, 2, 3, 4]],
    )
    most_loads_a_day: int = Field(4, ge=0, le=24, description="At most so many loads a day.")


class LogPileTable(Table):
    """A stack of logs; it may begin empty, and stays here when it is used up. Count it, and note what comes
    to it, by its name in `readings.csv` and `deliveries.csv`; the stock is the sum of all stacks.
    """

    name: Name = Field(description="What you call it, or where it is.")
    wood: WoodName = Field(description="Kind of wood.")
    amount: StackedAmount = Field(
        description="How much lay there on the day since; what is burned, counted and brought later is "
        "reckoned from it."
    )
    since: Day = Field(
        description="Day of felling and splitting, or of the measurement where water is given."
    )
    water: Water | None = Field(None, description="Water content on that day; left out: green.")
    kept: Literal["covered", "shed", "open"] = Field(
        "covered", description='"covered": airy with a roof; "shed"; "open": rain comes in.'
    )
    split: bool = Field(True, description="False for rounds that are not split.")


class UpkeepTable(Table):
    """What is known about upkeep."""

    ash_box_m3: Volume | None = Field(
        None, alias="ash_box", description="Volume of the ash box, e.g. 40 litre.", examples=["40 litre"]
    )
    ash_emptied: Day | None = Field(None, description="Day on which it was last emptied.")
    sweepings_a_year: int | None = Field(
        None,
        ge=1,
        le=12,
        description="What your local rule asks for; ask, it differs by place.",
        examples=[2],
    )
    sweeping_months: tuple[int, ...] = Field(
        (), description="In which months, if that is fixed.", examples=[[9, 2]]
    )
    last_swept: Day | None = Field(None, description="Last sweeping.")
    store_cleaned: Day | None = Field(None, description="Last time the pellet store was emptied and cleaned.")


class SecondSourceTable(Table):
    """Another source of heat that takes its share before the boiler."""

    kind: Literal["stove", "heat pump", "solar"] = Field(
        description='"stove": heat into the rooms; "heat pump"; "solar": hot water in summer.'
    )
    power_kw: Power | None = Field(
        None, alias="power", description="Heat it gives; a stove or a heat pump needs it.", examples=["6 kW"]
    )
    hours_a_day: float = Field(
        4.0, ge=0, le=24, description="How long a stove burns on a day on which it is lit."
    )
    days_a_week: float = Field(7.0, ge=0, le=7, description="On how many days a week a stove is lit.")
    below_c: Temperature = Field(
        10.0, alias="below", description="A stove is lit on days colder than this.", examples=["8 degC"]
    )
    down_to_c: Temperature = Field(
        2.0, alias="down_to", description="A heat pump stops on days colder than this.", examples=["2 degC"]
    )
    hot_water: bool = Field(True, description="Whether a heat pump heats the hot water too.")
    share_by_month: tuple[float, ...] = Field(
        (),
        description="Share of the hot water that solar covers, twelve numbers from 0 to 1, January first.",
        examples=[[0.05, 0.15, 0.35, 0.55, 0.75, 0.85, 0.9, 0.85, 0.65, 0.35, 0.1, 0.05]],
    )

    @model_validator(mode="after")
    def _has_its_power(self) -> SecondSourceTable:
        if self.kind != "solar" and self.power_kw is None:
            raise Refusal.because(
                "second.power", 'a {kind} needs its power, e.g. power = "6 kW"', kind=Own(self.kind)
            )
        if self.share_by_month and len(self.share_by_month) != 12:
            raise Refusal.because("second.months", "share_by_month needs twelve numbers, January first")
        return self


def _fuel_price(value: Any) -> units.FuelPrice:
    if not isinstance(value, str):
        raise Refusal.because(
            "value.fuel_price", 'write a price in quotes, e.g. "95 EUR/stacked m3" or "0.12 EUR/kWh"'
        )
    return units.parse_price(value)


PriceOfFuel = Annotated[
    Any,
    BeforeValidator(_fuel_price),
    WithJsonSchema(
        {"type": "string", "description": "price the way it is sold", "examples": ["95 EUR/stacked m3"]}
    ),
]


OTHER_HEAT = ("heating oil", "natural gas", "electricity")
"""Other ways of heating whose price can be compared."""


class FuelPriceTable(Table):
    """A price to compare: what does a kilowatt-hour of heat cost me?"""

    name: Name = Field(description="What you call it.")
    fuel: Annotated[str, OneOf(lambda: (*fuel.names(), *OTHER_HEAT))] = Field(description="Which fuel.")
    price: PriceOfFuel = Field(description="Gross price the way it is sold.")
    wood: WoodName | None = Field(None, description="Kind of wood of logs and chips.")
    water: Water | None = Field(None, description="Water content of logs and chips, with its basis.")
    efficiency: float | None = Field(
        None,
        gt=0,
        le=6,
        description="Over the year; above 1 for a heat pump. Left out: that of this boiler, for wood.",
        examples=[0.85],
    )
