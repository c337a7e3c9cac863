"""The keys of `round.toml` about depots and tankers."""

from __future__ import annotations

from pydantic import Field, model_validator

from fuelplan.messages import Quantity, Refusal
from fuelplan.records.schema.quantities import (
    Clock,
    Day,
    Length,
    Mass,
    MassRate,
    PricePerDistance,
    PricePerTime,
    Time,
)
from fuelplan.records.schema.table_base import Name, Table


class ArrivingTable(Table):
    """Fuel that comes to a depot."""

    day: Day = Field(alias="on", description="Day from whose morning on it can be loaded.")
    grade: str = Field(alias="class", description="Class of fuel.")
    amount_kg: Mass = Field(alias="amount", gt=0, description="How much comes.", examples=["24 t"])


class DepotTable(Table):
    """A place where tankers load."""

    name: Name = Field(description="Name of the depot.")
    latitude: float = Field(ge=-90, le=90, description="Degrees north.")
    longitude: float = Field(ge=-180, le=180, description="Degrees east.")
    opens_h: Clock = Field(6.0, alias="opens", description="Loading begins.", examples=["06:00"])
    closes_h: Clock = Field(18.0, alias="closes", description="Tankers must be back.", examples=["18:00"])
    stock_kg: dict[str, Mass] | None = Field(
        None,
        alias="stock",
        description='What lies there, by class, e.g. {A1 = "120 t", A2 = "30 t"}; a class left out of it is '
        "not there. Without stock: always enough.",
        examples=[{"A1": "120 t", "A2": "30 t"}],
    )
    arriving: tuple[ArrivingTable, ...] = Field((), description="Fuel that is on its way there.")

    @model_validator(mode="after")
    def _opens_before_it_closes(self) -> DepotTable:
        if self.closes_h <= self.opens_h:
            raise Refusal.because(
                "fleet.closes", 'closes must be later than opens, e.g. opens = "06:00", closes = "18:00"'
            )
        return self


class TankerTable(Table):
    """A blower tanker. One class of fuel to a chamber."""

    name: Name = Field(description="Name or plate of the tanker.")
    depot: Name = Field(description="Depot where it starts, loads and ends.")
    chambers_kg: tuple[Mass, ...] = Field(
        alias="chambers",
        min_length=1,
        max_length=12,
        description='What each chamber holds, e.g. ["5 t", "5 t", "5 t"].',
        examples=[["5 t", "5 t", "5 t"]],
    )
    payload_kg: Mass | None = Field(
        None,
        alias="payload",
        description="What it may carry in all; left out: the sum of the chambers.",
        examples=["14 t"],
    )
    classes: tuple[str, ...] = Field(
        (), description="Classes it may carry; left out: every class of the round.", examples=[["A1"]]
    )
    hose_m: Length = Field(
        30.0, alias="hose", description="Hose on board (30 m is common practice).", examples=["40 m"]
    )
    width_m: Length = Field(2.55, alias="width", description="Width without mirrors.", examples=["2.5 m"])
    laden_weight_kg: Mass | None = Field(
        None,
        alias="laden_weight",
        description="Weight with a full load, for roads and yards with a limit.",
        examples=["26 t"],
    )
    trailer: bool = Field(False, description="Whether it pulls a trailer.")
    cost_per_km: PricePerDistance = Field(description="Fuel, tyres, wear and toll of each kilometre.")
    cost_per_hour: PricePerTime = Field(description="Driver and tanker for each hour.", examples=["48 EUR/h"])
    blow_rate_kg_h: MassRate = Field(
        8000.0, gt=0, alias="blow_rate", description="Fuel blown in an hour (5 to 10 t/h is common practice)."
    )
    set_up_h: Time = Field(
        18 / 60,
        alias="set_up",
        description="Time of a stop besides blowing: couplings, hoses, papers (15 to 20 min is common "
        "practice).",
        examples=["18 min"],
    )
    hose_time_h: Time = Field(
        2 / 60,
        alias="hose_time",
        description="Further time for each 10 m of hose beyond hose_included, laid and taken in again (value "
        "from memory).",
        examples=["2 min"],
    )
    hose_included_m: Length = Field(
        20.0, alias="hose_included", description="Hose whose laying is part of set_up.", examples=["20 m"]
    )
    reload_h: Time = Field(
        35 / 60, alias="reload", description="Time to load at the depot between runs.", examples=["35 min"]
    )
    aboard_kg: dict[str, Mass] = Field(
        default_factory=dict,
        alias="aboard",
        description='What is still aboard this morning by the on-board weigher, e.g. {A1 = "1.2 t"}.',
        examples=[{"A1": "1.2 t"}],
    )
    out_of_service: tuple[Day, ...] = Field((), description="Days on which it does not drive.")

    @model_validator(mode="after")
    def _carries_what_it_holds(self) -> TankerTable:
        holds = sum(self.chambers_kg)
        if min(self.chambers_kg) <= 0:
            raise Refusal.because(
                "fleet.chamber_of_nothing",
                'a chamber must hold something, e.g. chambers = ["5 t", "5 t"]',
            )
        if self.payload_kg is not None and not 0 < self.payload_kg <= holds:
            raise Refusal.because(
                "fleet.payload",
                "payload must be more than nothing and no more than the chambers hold ({most})",
                most=Quantity.written(holds / 1000, "t", "g"),
            )
        if self.laden_weight_kg is not None and self.laden_weight_kg <= self.carries_kg:
            raise Refusal.because(
                "fleet.laden_weight",
                "laden_weight must be more than the load; write the weight of tanker and load together",
            )
        return self

    @property
    def carries_kg(self) -> float:
        """What it may carry in all. [kg]"""
        return sum(self.chambers_kg) if self.payload_kg is None else self.payload_kg

    def laying_h(self, hose_m: float) -> float:
        """Return how long a stop takes besides blowing: set-up, and the hose beyond `hose_included_m`. [h]"""
        return self.set_up_h + max(0.0, hose_m - self.hose_included_m) * self.hose_time_h / 10

    def stop_h(self, hose_m: float, kg: float) -> float:
        """Return how long this tanker takes to blow `kg` in through so much hose. [h]"""
        return self.laying_h(hose_m) + kg / self.blow_rate_kg_h
