"""The keys of `round.toml` about how the supplier works: rules, drivers' hours, distances."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from fuelplan.messages import Refusal
from fuelplan.records.schema.quantities import Clock, Day, Mass, Money, PricePerTime, Share, Speed, Time
from fuelplan.records.schema.table_base import Table

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]


class RulesTable(Table):
    """How the supplier works."""

    horizon_days: int = Field(10, ge=1, le=15, description="Working days that are planned ahead.")
    weekdays: tuple[Weekday, ...] = Field(
        ("monday", "tuesday", "wednesday", "thursday", "friday"),
        min_length=1,
        description="Weekdays on which tankers drive.",
        examples=[["monday", "tuesday", "wednesday", "thursday"]],
    )
    bank_holidays: bool = Field(
        True, description="Whether the bank holidays of [place] are free, where it names a country."
    )
    closed: tuple[Day, ...] = Field((), description="Further days on which no tanker drives.")
    reserve: Share = Field(
        0.1,
        lt=0.9,
        description="Reserve of a customer whose reserve_kg is empty, as a share of the store.",
        examples=["10 %"],
    )
    risk: Share = Field(
        0.02,
        gt=0,
        lt=0.5,
        description="Chance, for each drop, that a top-up customer falls below the reserve before it comes.",
    )
    ring_at: Share = Field(
        0.2,
        gt=0,
        lt=1,
        description="Share of the store at which on-request customers are rung up, or ring themselves.",
        examples=["20 %"],
    )
    spare_kg_a_day: Mass = Field(
        0.0,
        alias="spare_a_day",
        description="What stays free each day for those who are already empty.",
        examples=["3 t"],
    )
    smallest_drop_kg: Mass = Field(
        1500.0,
        gt=0,
        alias="smallest_drop",
        description="Smallest drop of a customer whose smallest_drop_kg is empty.",
        examples=["1500 kg"],
    )
    step_kg: Mass = Field(
        100.0, gt=0, alias="step", description="Drops are planned in steps of this size.", examples=["100 kg"]
    )
    overtime_per_hour: PricePerTime | None = Field(
        None,
        alias="overtime",
        description="What an hour beyond [driver] hours_a_day costs on top.",
        examples=["12 EUR/h"],
    )
    empty_cost: Money | None = Field(
        None,
        description="What each run-out costs you: the extra trip, the excuse, the customer's trust.",
        examples=["250 EUR"],
    )


class DriverTable(Table):
    """A driver's day. The limits left out are those of Regulation (EC) No 561/2006 and Directive 2002/15/EC;
    blowing, loading and waiting at the coupling are work, not rest.
    """

    shift_start_h: Clock = Field(6.5, alias="shift_start", description="Earliest start of the day.")
    latest_end_h: Clock = Field(
        17.5, alias="latest_end", description="Latest end of the day.", examples=["17:30"]
    )
    hours_a_day: Time = Field(
        9.0,
        gt=0,
        le=15,
        description="Paid hours of a day; what goes beyond them is overtime.",
        examples=["9 h"],
    )
    overtime_h: Time = Field(
        1.0, le=6, alias="overtime", description="Overtime that a day may have at the most.", examples=["1 h"]
    )
    driving_a_day_h: Time = Field(
        9.0,
        gt=0,
        le=10,
        alias="driving_a_day",
        description="Driving in a day (561/2006, Article 6).",
        examples=["9 h"],
    )
    driving_before_break_h: Time = Field(
        4.5,
        gt=0,
        le=4.5,
        alias="driving_before_break",
        description="Driving after which the break is due (561/2006, Article 7).",
        examples=["4.5 h"],
    )
    break_h: Time = Field(
        0.75,
        le=3,
        alias="break",
        description="That break; it may be split into 15 min, then 30 min (561/2006, Article 7).",
        examples=["45 min"],
    )
    work_before_break_h: Time = Field(
        6.0,
        gt=0,
        le=6,
        alias="work_before_break",
        description="Work of any kind after which a break is due (2002/15/EC, Article 5).",
        examples=["6 h"],
    )
    work_break_h: Time = Field(
        0.5,
        le=3,
        alias="work_break",
        description="That break: 30 min for up to 9 h of work, 45 min beyond (2002/15/EC, Article 5).",
        examples=["30 min"],
    )

    waiting_is_break: bool = Field(
        True,
        description="Whether waiting of 15 min or more in one piece at a shut gate counts as a break.",
    )

    @model_validator(mode="after")
    def _a_day_has_its_hours(self) -> DriverTable:
        if self.latest_end_h <= self.shift_start_h:
            raise Refusal.because(
                "rules.latest_end", 'latest_end must be later than shift_start, e.g. latest_end = "17:30"'
            )
        return self


class DistancesTable(Table):
    """Where kilometres and driving times come from."""

    kind: Literal["great circle", "file", "service"] = Field(
        "great circle",
        description='"great circle": the straight line times detour; "file": a matrix in this folder; '
        '"service": a table service at an address of yours.',
    )
    detour: float | None = Field(
        None,
        ge=1,
        le=5,
        description="Road kilometres for each straight one; left out: the usual.",
        examples=[1.35],
    )
    speed_km_h: Speed | None = Field(
        None, gt=0, le=130, alias="speed", description="Mean driving speed; left out: the usual."
    )
    file: str | None = Field(None, description="Matrix file in this folder.", examples=["matrix.csv"])
    service: Annotated[str, StringConstraints(pattern=r"^https?://[^\s]+$")] | None = Field(
        None,
        description='Address of the table service, e.g. "http://127.0.0.1:5000".',
        examples=["http://127.0.0.1:5000"],
    )

    @model_validator(mode="after")
    def _has_what_its_kind_needs(self) -> DistancesTable:
        if self.kind == "file" and not self.file:
            raise Refusal.because("rules.file", 'kind "file" needs the key file, e.g. file = "matrix.csv"')
        if self.kind == "service" and not self.service:
            raise Refusal.because(
                "rules.service",
                'kind "service" needs the key service, e.g. service = "http://127.0.0.1:5000"',
            )
        return self
