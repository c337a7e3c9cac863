"""The keys of `site.toml`. Unknown keys are faults; every key's description feeds the reference page."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, StringConstraints, create_model, model_validator

from fuelplan.heat import fuels
from fuelplan.messages import Own, Refusal
from fuelplan.records.schema.formats import SITE_STEPS
from fuelplan.records.schema.heat import BoilerTable, BuildingTable
from fuelplan.records.schema.logs import (
    FuelPriceTable,
    LoadingTable,
    LogPileTable,
    LogsTable,
    SecondSourceTable,
    UpkeepTable,
)
from fuelplan.records.schema.money import OfferTable, SupplyTable
from fuelplan.records.schema.of_fuels import amount_of, table_of_fuel
from fuelplan.records.schema.quantities import Day, Length, Mass, Share, Temperature
from fuelplan.records.schema.store import (
    AccessTable,
    BufferTable,
    ConveyingTable,
    HopperTable,
    SizingTable,
    SlopeDeg,
    VentilationTable,
)
from fuelplan.records.schema.table_base import Name, Table, Text

SITE_FILE, DELIVERIES_FILE, READINGS_FILE = "site.toml", "deliveries.csv", "readings.csv"
FORMAT = len(SITE_STEPS)

if TYPE_CHECKING:
    PelletsTable = Table
else:
    PelletsTable = table_of_fuel(fuels.usual())


class PlaceTable(Table):
    """Where the house stands, or the round lies."""

    country: Annotated[str, StringConstraints(pattern=r"^[A-Z]{2}$")] | None = Field(
        None,
        description="Two-letter country code; its bank holidays count in lead times. Left out: Saturdays "
        "and Sundays only.",
        examples=["AT"],
    )
    subdivision: str | None = Field(
        None, description="State or canton code, for its own bank holidays.", examples=["6"]
    )
    time_zone: str = Field(
        "UTC",
        description="IANA time zone; all dates in the folder are local to it.",
        examples=["Europe/Vienna"],
    )
    latitude: float | None = Field(
        None, ge=-90, le=90, description="Degrees north; needed for station weather.", examples=[47.2]
    )
    longitude: float | None = Field(
        None, ge=-180, le=180, description="Degrees east; needed for station weather.", examples=[11.4]
    )
    elevation_m: Length | None = Field(
        None, alias="elevation", description="Height above sea level.", examples=["580 m"]
    )


class WeatherTable(Table):
    """Which weather to use."""

    source: Literal["file", "meteostat", "monthly"] = Field(
        description='"file": a CSV or EPW file in this folder; "meteostat": open station data for the place; '
        '"monthly": twelve monthly means.'
    )
    fallback: Literal["file", "meteostat", "monthly"] | None = Field(
        None, description="A second source for the days that the first does not have."
    )
    file: str | None = Field(
        None, description="Name of the weather file inside the folder.", examples=["weather.csv"]
    )
    columns: dict[str, str] = Field(
        default_factory=dict,
        description='Which column holds what, e.g. {date = "Day", mean_c = "T avg"}, when the file names '
        "them otherwise.",
        examples=[{"date": "Day", "mean_c": "T avg"}],
    )
    unit: Literal["degC", "degF", "K"] = Field("degC", description="Unit of all temperatures in the file.")
    decimal: Literal[".", ","] = Field(".", description="Decimal sign in the file.")
    date_format: str | None = Field(
        None,
        description='How the file writes dates, e.g. "%d.%m.%Y"; left out: 2026-01-31.',
        examples=["%d.%m.%Y"],
    )
    clock: Literal["local", "standard", "utc"] = Field(
        "local", description='Clock of hourly times: "local" with summer time, "standard" all year, or "utc".'
    )
    attribution: Text = Field("", description="Whom to thank for the file's data; shown with every answer.")
    licence: str = Field("", description="Licence of the file's data.")
    invented: bool = Field(
        False, description="True for made-up weather, which is then said wherever it is shown."
    )
    first_year: int = Field(1995, ge=1900, le=2100, description="First year asked of the stations.")
    radius_km: float = Field(
        50.0, gt=0, le=300, alias="radius", description="How far the stations may lie, in km."
    )
    resolution: Literal["daily", "hourly"] = Field("daily", description="Daily or hourly station data.")
    stations: int = Field(4, ge=1, le=10, description="How many stations are blended.")
    monthly_means_c: tuple[float, ...] | None = Field(
        None,
        alias="monthly_means",
        description="Twelve monthly mean temperatures in °C, January first.",
        min_length=12,
        max_length=12,
        examples=[[-2, 0, 4, 9, 13, 17, 19, 18, 14, 9, 3, -1]],
    )

    @model_validator(mode="after")
    def _has_what_its_source_needs(self) -> WeatherTable:
        wanted = {self.source, self.fallback}
        if "file" in wanted and not self.file:
            raise Refusal.because(
                "site_keys.weather_file", 'source "file" needs the key file, e.g. file = "weather.csv"'
            )
        if "monthly" in wanted and self.monthly_means_c is None:
            raise Refusal.because(
                "site_keys.monthly_means",
                'source "monthly" needs the key monthly_means with twelve numbers',
            )
        return self


class StoreTable(Table):
    """The bulk store: a capacity, or a shape with its measures."""

    capacity_kg: Mass | None = Field(
        None, alias="capacity", description="What the store holds when full, at 650 kg/m3.", examples=["6 t"]
    )
    shape: (
        Literal[
            "two slopes",
            "one slope",
            "flat floor",
            "fabric bag",
            "pyramid bottom",
            "buried tank",
            "upright tank",
        ]
        | None
    ) = Field(None, description="Shape of the store, where its measures are given.")
    length_m: Length | None = Field(
        None, alias="length", description="Inside length, along the conveyor.", examples=["3 m"]
    )
    width_m: Length | None = Field(
        None, alias="width", description="Inside width, across the conveyor.", examples=["2 m"]
    )
    height_m: Length | None = Field(
        None, alias="height", description="Inside height, floor to ceiling.", examples=["2.4 m"]
    )
    diameter_m: Length | None = Field(
        None, alias="diameter", description="Inside diameter of a buried tank.", examples=["2.5 m"]
    )
    slope_deg: SlopeDeg | None = Field(
        None, alias="slope", description="Slope of the sloped floors in degrees.", examples=["40 deg"]
    )
    channel_m: Length | None = Field(
        None,
        alias="channel",
        description="Flat width between the slopes, above the conveyor.",
        examples=["0.2 m"],
    )
    funnel_m: Length | None = Field(
        None,
        alias="funnel",
        description="Depth of the funnel of a bag or a pyramid bottom.",
        examples=["0.6 m"],
    )
    outlet_m: Length | None = Field(
        None, alias="outlet", description="Side of the flat square outlet of a funnel.", examples=["0.3 m"]
    )
    suction_points: int = Field(
        0,
        ge=0,
        le=20,
        description="Points along the length from which fuel is drawn; 0 for what suits the shape. One "
        "point leaves far more residue than an auger.",
    )
    inlet_clearance_m: Length | None = Field(
        None,
        alias="inlet_clearance",
        description="Free height kept under the ceiling where the pile is highest.",
        examples=["0.2 m"],
    )
    inlets: int = Field(
        1, ge=1, le=8, description="How many inlets the tanker can blow into, each with its own pile."
    )
    inlets_at: Literal["end", "side"] = Field(
        "end", description='Wall of a room that the inlets are in: "end" of its length, or a long "side".'
    )
    ullage_m: Length | None = Field(
        None,
        alias="ullage",
        description="Mean free height below the ceiling of a full store. Left out: 0.3 m, or as low as "
        "the inlet pipe.",
        examples=["0.3 m"],
    )
    reserve_kg: Mass = Field(
        alias="reserve",
        description="Level that must not be undercut before a delivery comes.",
        examples=["400 kg"],
    )
    residue_kg: Mass | None = Field(
        None,
        alias="residue",
        description="What stays in the store and cannot be conveyed out.",
        examples=["80 kg"],
    )


class RiskTable(Table):
    """How much risk is accepted."""

    per_order: Share = Field(
        0.02,
        gt=0,
        lt=0.5,
        description="Chance, per order, of falling below the reserve before the tanker comes.",
    )
    look_again_days: int = Field(7, ge=1, le=60, description="How soon you will look at the answer again.")


class AwayTable(Table):
    """A time when nobody is at home or the boiler is off."""

    first: Day = Field(alias="from", description="First day.")
    last: Day = Field(alias="to", description="Last day.")
    indoor_c: Temperature | None = Field(
        None, alias="indoor", description="Room temperature kept meanwhile.", examples=["12 degC"]
    )
    boiler_off: bool = Field(False, description="True when nothing is burned at all.")

    @model_validator(mode="after")
    def _in_order(self) -> AwayTable:
        if self.last < self.first:
            raise Refusal.because(
                "site_keys.away_backwards", "to = {last} lies before from = {first}",
                last=Own(str(self.last)), first=Own(str(self.first)),
            )  # fmt: skip
        if not self.boiler_off and self.indoor_c is None:
            raise Refusal.because(
                "site_keys.away_how",
                'say either boiler_off = true or the temperature kept, e.g. indoor = "12 degC"',
            )
        return self


class SiteTable(Table):
    """The whole of `site.toml`."""

    format: int = Field(
        description="Format number of the folder; a folder of an older one is opened all the same."
    )
    name: Name = Field(description="What you call the place.")
    note: Text = Field("", description="Anything worth knowing.")
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")] | None = Field(
        None, description="Three-letter currency code; left out: that of the prices.", examples=["EUR"]
    )
    example_date: Day | None = Field(
        None, description="For example folders only: the day taken as today unless another is asked for."
    )
    place: PlaceTable
    weather: WeatherTable
    building: BuildingTable
    boiler: BoilerTable = Field(default_factory=lambda: BoilerTable.model_validate({}))
    pellets: PelletsTable = Field(default_factory=lambda: PelletsTable.model_validate({}))
    store: StoreTable
    supply: SupplyTable = Field(default_factory=lambda: SupplyTable.model_validate({}))
    logs: LogsTable | None = Field(None, description="Logs, for a boiler that burns them.")
    loading: LoadingTable = Field(default_factory=lambda: LoadingTable.model_validate({}))
    log_pile: tuple[LogPileTable, ...] = Field((), description="Stacks of logs.")
    upkeep: UpkeepTable = Field(default_factory=lambda: UpkeepTable.model_validate({}))
    fuel_price: tuple[FuelPriceTable, ...] = Field(
        (), description="Prices of fuels to compare by the heat they give."
    )
    second_source: tuple[SecondSourceTable, ...] = Field(
        (), description="Other heat that takes its share before the boiler."
    )
    offer: tuple[OfferTable, ...] = Field((), description="Offers you have.")
    risk: RiskTable = Field(default_factory=lambda: RiskTable.model_validate({}))
    away: tuple[AwayTable, ...] = Field((), description="Times away or with the boiler off.")
    hopper: HopperTable | None = Field(None, description="The day hopper.")
    conveying: ConveyingTable | None = Field(None, description="How it is filled.")
    buffer: BufferTable = Field(
        default_factory=lambda: BufferTable.model_validate({}), description="What bridges a pause."
    )
    access: AccessTable | None = Field(None, description="The way in, couplings and store, as seen.")
    ventilation: VentilationTable | None = Field(None, description="Venting and fire code.")
    sizing: SizingTable = Field(
        default_factory=lambda: SizingTable.model_validate({}), description="Store sizes to compare."
    )

    @model_validator(mode="after")
    def _logs_have_what_they_need(self) -> SiteTable:
        if self.boiler.stacked is not None:
            kind = self.boiler.kind
            if self.logs is None:
                raise Refusal.because(
                    "site_keys.needs_table", "a boiler for {kind} needs the table [{table}]",
                    kind=Own(kind), table=Own(self.boiler.stacked.name),
                )  # fmt: skip
            if self.buffer.volume_m3 == 0:
                raise Refusal.because(
                    "site_keys.needs_buffer",
                    'a boiler for {kind} needs a buffer: [buffer] with volume = "1500 litre"',
                    kind=Own(kind),
                )
            if self.boiler.rated_kw is None:
                raise Refusal.because(
                    "site_keys.needs_size", 'a boiler for {kind} needs its size: rated = "30 kW"',
                    kind=Own(kind),
                )  # fmt: skip
        elif self.logs is not None:
            raise Refusal.because(
                "site_keys.logs_without_boiler",
                '[logs] needs a boiler that burns them: kind = "logs and pellets" under [boiler]',
            )
        return self

    @model_validator(mode="after")
    def _says_nothing_of_other_fuels(self) -> SiteTable:
        for other in (f for f in fuels.fuels() if f.in_bulk and f is not self.boiler.bulk):
            burned = any(getattr(self.building, key, None) is not None for key in year_fields(other))
            if other.name in self.model_fields_set and not burned:
                raise Refusal.because(
                    "site_keys.table_without_boiler",
                    '[{table}] needs a boiler that burns them: kind = "{kind}" under [boiler]',
                    table=Own(other.name), kind=Own(other.name),
                )  # fmt: skip
        return self


def year_fields(fuel: fuels.Fuel) -> tuple[str, str]:
    """Return the names that a year's use of a fuel may have in the model of `[building]`."""
    return f"{fuel.year_key}_kg", fuel.year_key


def site_model() -> type[SiteTable]:
    """Return the model of `site.toml` with a table, and a year's use, of every fuel that is registered."""
    more = tuple(f for f in fuels.fuels() if f.in_bulk and f.name not in SiteTable.model_fields)
    return _with_fuels(more) if more else SiteTable


@cache
def _with_fuels(more: tuple[fuels.Fuel, ...]) -> type[SiteTable]:
    years: dict[str, Any] = {
        f.year_key: (
            amount_of(f) | None,
            Field(
                None, description=f"{f.name.capitalize()} burned in a usual year.", examples=[f.year_example]
            ),
        )
        for f in more
    }
    tables: dict[str, Any] = {
        f.name: (
            table := table_of_fuel(f),
            Field(default_factory=lambda table=table: table.model_validate({})),
        )
        for f in more
    }
    building = create_model("BuildingTable", __base__=BuildingTable, __doc__=BuildingTable.__doc__, **years)
    return create_model(
        "SiteTable", __base__=SiteTable, __doc__=SiteTable.__doc__, building=(building, ...), **tables
    )
