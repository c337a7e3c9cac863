"""The keys of `site.toml` about the installer's question: hopper, conveying, buffer, delivery and store
sizes.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema, model_validator

from fuelplan import units
from fuelplan.messages import Listed, Own, Refusal
from fuelplan.records.schema.quantities import (
    Clock,
    Day,
    Length,
    Mass,
    Money,
    Share,
    Temperature,
    Time,
    Volume,
    money_reader,
)
from fuelplan.records.schema.table_base import Name, Table


def _amount(kind: str, example: str) -> BeforeValidator:
    def read(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, (str, int, float)):
            raise Refusal.because(
                "value.with_unit_as", 'write text with a unit in quotes, e.g. "{example}"',
                example=Own(example),
            )  # fmt: skip
        return units.parse(value, kind)

    return BeforeValidator(read)


def _schema(kind: str, example: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": kind.replace("_", " "), "examples": [example]})


def _slope(value: float) -> float:
    if not 0 <= value < 90:
        raise Refusal.because(
            "store_keys.slope",
            "a floor slope of {slope} degrees is no floor; write the angle from the horizontal, "
            "usually 40 to 45, 0 for a flat one", slope=Own(f"{value:g}"),
        )  # fmt: skip
    return value


def _degrees(value: Any) -> Any:
    """Return "45 deg" as 45; a bare number stays as it is."""
    return units.parse(value, "angle") if isinstance(value, str) else value


SlopeDeg = Annotated[float, BeforeValidator(_degrees), AfterValidator(_slope)]
MassRate = Annotated[float, _amount("mass_rate", "400 kg/h"), _schema("mass_rate", "400 kg/h")]
Kelvin = Annotated[
    float, _amount("temperature_difference", "20 K"), _schema("temperature_difference", "20 K")
]
PricePerVolume = Annotated[
    tuple[float, str],
    BeforeValidator(money_reader("money_per_volume", "180 EUR/m3")),
    _schema("money_per_volume", "180 EUR/m3"),
]
Hour = Annotated[float, Field(ge=0, le=24)]


class HopperTable(Table):
    """The day hopper: the small store by the boiler."""

    size_kg: Mass | None = Field(
        None, alias="size", description="What it holds up to its full-level sensor.", examples=["60 kg"]
    )
    compare_kg: tuple[Mass, ...] = Field(
        (),
        alias="compare",
        max_length=40,
        description="Sizes to compare; left out: a row of sizes around one night's fuel.",
        examples=[["40 kg", "60 kg", "120 kg"]],
    )


class ConveyingTable(Table):
    """How fuel gets from the store, or from bags, into the hopper."""

    how: Literal["suction", "auger", "hand"] = Field(
        description='"suction" or "auger" from the bulk store, "hand" from bags.'
    )
    while_burning: bool = Field(
        False,
        description="True only where the maker says that the hopper may be filled while the boiler burns; "
        "else the fire burns out first.",
    )
    rate_kg_per_h: MassRate | None = Field(
        None, alias="rate", description="Conveying rate over a short line, from the maker."
    )
    line_m: Length = Field(0.0, alias="line", description="Length of the suction line.", examples=["8 m"])
    rise_m: Length = Field(
        0.0, alias="rise", description="How far the suction line rises.", examples=["2.5 m"]
    )
    line_limit_m: Length = Field(
        20.0,
        alias="line_limit",
        description="Longest line that the maker allows; guidance is 20 m.",
        examples=["20 m"],
    )
    rise_limit_m: Length = Field(
        6.0,
        alias="rise_limit",
        description="Highest rise that the maker allows; guidance is two floors.",
        examples=["5 m"],
    )
    burn_out_h: Time = Field(
        0.5,
        alias="burn_out",
        description="How long the fire burns out before conveying.",
        examples=["30 min"],
    )
    ignite_h: Time = Field(
        0.25, alias="ignite", description="How long ignition takes afterwards.", examples=["15 min"]
    )
    quiet_from_h: Hour | None = Field(
        None,
        alias="quiet_from",
        description="Clock hour from which nothing is conveyed, e.g. 22.",
        examples=[22],
    )
    quiet_to_h: Hour | None = Field(
        None,
        alias="quiet_to",
        description="Clock hour until which nothing is conveyed, e.g. 6.",
        examples=[6],
    )
    refill_at: Share = Field(
        0.3,
        lt=1,
        description="The controller calls for fuel at this share of a full hopper.",
        examples=["30 %"],
    )
    visits_h: tuple[Hour, ...] = Field(
        (7.0, 18.0),
        alias="visits",
        description="Clock hours at which someone fills by hand.",
        examples=[[7, 18]],
    )
    bag_kg: Mass = Field(
        default_factory=lambda: units.trade().bag_kg,
        gt=0,
        alias="bag",
        description="Mass of a bag, where it is filled by hand. Left out: 15 kg; 40 lb in North America.",
        examples=["15 kg"],
    )


class BufferTable(Table):
    """The heat that bridges a pause of the boiler: buffer and building."""

    volume_m3: Volume = Field(
        0.0,
        alias="volume",
        description="Water in the buffer; nothing where there is none.",
        examples=["800 litre"],
    )
    spread_k: Kelvin = Field(
        20.0, ge=0, le=70, alias="spread", description="By how much it may cool before rooms notice."
    )
    time_constant_h: Time = Field(
        40.0,
        ge=0,
        le=400,
        alias="time_constant",
        description="Time constant of the building: 20 h for a light one, 100 h and more for a heavy one.",
        examples=["80 h"],
    )
    sag_k: Kelvin = Field(
        1.0,
        ge=0,
        le=3,
        alias="sag",
        description="By how much rooms may cool before someone notices.",
        examples=["1 K"],
    )
    useful_from_c: Temperature = Field(
        40.0,
        alias="useful_from",
        description="Below this the heating cannot use the buffer.",
        examples=["40 degC"],
    )
    full_c: Temperature = Field(
        80.0, alias="full", description="Where the boiler stops charging the buffer.", examples=["80 degC"]
    )
    now_c: tuple[float, ...] = Field(
        (),
        alias="now",
        description="Temperatures in °C of equal layers now, top first; tells when to light next.",
        examples=[[78, 74, 60, 45]],
    )
    now_on: Day | None = Field(
        None,
        description="Day on which these were read; on another day they tell nothing.",
    )
    now_at_h: Clock = Field(
        18.0, alias="now_at", description="Time of day at which they were read.", examples=["18:30"]
    )


class AccessTable(Table):
    """What has been seen of the way in, the couplings and the store; leave out what nobody has looked at."""

    hose_m: Length | None = Field(
        None,
        alias="hose",
        description="From where the tanker stands to the fill coupling.",
        examples=["25 m"],
    )
    road_width_m: Length | None = Field(
        None, alias="road_width", description="Narrowest width of the way in.", examples=["3.2 m"]
    )
    road_height_m: Length | None = Field(
        None, alias="road_height", description="Lowest height of the way in.", examples=["4 m"]
    )
    weight_limit_kg: Mass | None = Field(
        None, alias="weight_limit", description="Gross weight that the way in bears.", examples=["18 t"]
    )
    axle_limit_kg: Mass | None = Field(
        None, alias="axle_limit", description="Axle weight that the way in bears.", examples=["10 t"]
    )
    tanker_kg: Mass | None = Field(
        None, alias="tanker", description="Gross weight of the supplier's tanker.", examples=["26 t"]
    )
    tanker_axle_kg: Mass | None = Field(
        None,
        alias="tanker_axle",
        description="Greatest axle weight of the supplier's tanker.",
        examples=["9.5 t"],
    )
    trailer_comes: bool | None = Field(None, description="Whether the supplier comes with a trailer.")
    trailer_can_pass: bool | None = Field(None, description="Whether a trailer gets in and can turn.")
    coupling_type: str | None = Field(
        None, max_length=80, description="Type of the fill and exhaust couplings here."
    )
    supplier_coupling: str | None = Field(None, max_length=80, description="Type of the supplier's hoses.")
    fill_height_m: Length | None = Field(
        None, alias="fill_height", description="Fill coupling above the ground.", examples=["1.2 m"]
    )
    exhaust_height_m: Length | None = Field(
        None, alias="exhaust_height", description="Exhaust coupling above the ground.", examples=["1.2 m"]
    )
    fill_outdoors: bool | None = Field(None, description="Whether the fill coupling ends outdoors.")
    exhaust_outdoors: bool | None = Field(None, description="Whether the exhaust coupling ends outdoors.")
    metal_pipes: bool | None = Field(None, description="Whether the fill line is of metal.")
    pipes_earthed: bool | None = Field(None, description="Whether the fill line is earthed.")
    gentle_bends: bool | None = Field(None, description="Whether its bends are few and gentle.")
    mat: bool | None = Field(None, description="Whether a deflector mat hangs opposite the inlet.")
    inlet_below_ceiling_m: Length | None = Field(
        None,
        alias="inlet_below_ceiling",
        description="Middle of the inlet pipe below the ceiling; a full store ends no higher, unless ullage "
        "says so.",
        examples=["25 cm"],
    )
    door_boards: bool | None = Field(None, description="Whether boards hold the fuel back behind the door.")
    walls_checked: bool | None = Field(
        None, description="Whether somebody competent has said that walls and floor bear the load."
    )
    electrics_inside: bool | None = Field(
        None, description="Whether lamps, switches, sockets or cables are in the store."
    )
    socket: bool | None = Field(None, description="Whether the driver's fan finds a socket within reach.")
    suction_floors: float | None = Field(
        None, ge=0, le=20, description="Floors that the suction line rises.", examples=[1]
    )


class VentilationTable(Table):
    """Venting of the store and what the fire code of the land asks about."""

    vent_line_m: Length | None = Field(
        None,
        alias="vent_line",
        description="Length of a vent line of its own from the store to the outside; leave out where there "
        "is none.",
        examples=["2.4 m"],
    )
    fire_threshold: Mass | None = Field(
        None,
        description="Amount of fuel above which the fire code of the land asks for more; ask the local "
        "authority.",
        examples=["6500 kg"],
    )
    fire_source: Name = Field(
        "local fire code, as the folder says", description="Where that amount is written."
    )


class CellarTable(Table):
    """A room that could become the store: is it enough, and which floor serves best?"""

    length_m: Length = Field(alias="length", description="Inside length.", examples=["4 m"])
    width_m: Length = Field(alias="width", description="Inside width.", examples=["2.5 m"])
    height_m: Length = Field(alias="height", description="Inside height.", examples=["2.2 m"])
    channel_m: Length = Field(
        0.2,
        alias="channel",
        description="Flat width above the conveyor, between sloped floors.",
        examples=["0.2 m"],
    )


class SizingTable(Table):
    """Which store sizes to compare, and what they cost."""

    rooms_m3: tuple[Volume, ...] = Field(
        (),
        alias="rooms",
        max_length=60,
        description="Volumes of room to compare; left out: a row from a quarter to two years' need.",
        examples=[["9 m3", "13 m3", "20 m3"]],
    )
    store_per_m3: PricePerVolume | None = Field(
        None, description="What a cubic metre of store room costs to build."
    )
    store_fixed: Money | None = Field(
        None,
        description="What a store costs whatever its size: couplings, mat, conveyor.",
        examples=["1500 EUR"],
    )
    store_years: int = Field(20, ge=1, le=100, description="Over how many years the store is written off.")
    empty_risk: Share = Field(
        0.02,
        gt=0,
        lt=0.5,
        description="Share of years with an empty store that is accepted when a size is chosen.",
        examples=["1 in 50"],
    )
    largest_drop_kg: Mass = Field(
        15000.0, gt=0, alias="largest_drop", description="Most that one tanker brings.", examples=["12 t"]
    )
    cellar: CellarTable | None = Field(None, description="A room to try.")

    @model_validator(mode="after")
    def _money_is_one(self) -> SizingTable:
        found = {m[1] for m in (self.store_per_m3, self.store_fixed) if m is not None}
        if len(found) > 1:
            raise Refusal.because(
                "store_keys.moneys", "costs in {money} cannot be added; write them in one money",
                money=Listed(tuple(map(Own, sorted(found)))),
            )  # fmt: skip
        return self
