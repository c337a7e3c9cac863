"""The keys of `site.toml` about offers, lead time and money."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from fuelplan.messages import Listed, Own, Refusal
from fuelplan.records.schema.quantities import (
    Day,
    Length,
    Mass,
    Money,
    PricePerEnergy,
    PricePerMass,
    Share,
    Temperature,
    Time,
    WorkingDayRange,
)
from fuelplan.records.schema.table_base import Name, Table

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


class BracketTable(Table):
    """One price of an offer by drop size."""

    from_kg: Mass = Field(
        alias="from", description="From this drop size on, every kilogram costs this price.", examples=["3 t"]
    )
    price: PricePerMass = Field(description="Price per tonne at this drop size.")


class OfferTable(Table):
    """An offer as it stands on paper."""

    supplier: Name = Field(description="Who offers.")
    prices: tuple[BracketTable, ...] = Field(min_length=1, description="Prices by drop size, smallest first.")
    with_vat: bool = Field(True, description="Whether prices and charges have the tax in them.")
    vat: Share | None = Field(
        None, description="Value added tax on the fuel; left out: that of the country.", examples=["10 %"]
    )
    charges_vat: Share | None = Field(
        None, description="Tax on the charges where it differs.", examples=["20 %"]
    )
    largest_kg: Mass | None = Field(None, alias="largest", description="Largest drop.", examples=["12 t"])
    delivery_charge: Money | None = Field(
        None, description="For each trip; neighbours who share it share this.", examples=["45 EUR"]
    )
    blow_in_charge: Money | None = Field(
        None, description="For connecting and blowing in.", examples=["30 EUR"]
    )
    hose_included_m: Length = Field(
        30.0, alias="hose_included", description="Hose that the price includes.", examples=["30 m"]
    )
    hose_charge: Money | None = Field(None, description="For each further metre of hose.", examples=["2 EUR"])
    failed_trip_charge: Money | None = Field(
        None, description="For a tanker that could not unload.", examples=["90 EUR"]
    )
    valid_from: Day | None = Field(None, description="First day on which it can be taken.")
    valid_until: Day | None = Field(None, description="Last day on which it can be taken.")
    deliver_from: Day | None = Field(None, description="First day of the delivery weeks it names.")
    deliver_until: Day | None = Field(None, description="Last day of the delivery weeks it names.")
    pay_within_days: int = Field(0, ge=0, le=365, description="Days to pay after the delivery.")
    discount: Share = Field(0.0, lt=1, description="Discount for paying sooner.", examples=["2 %"])
    discount_within_days: int = Field(
        0, ge=0, le=365, description="Days within which to pay for the discount."
    )
    shared_orders: bool = Field(False, description="Whether neighbours' drops are added up for the price.")


class SupplyTable(Table):
    """How the supplier delivers, and what fuel and an empty store cost."""

    lead_time: WorkingDayRange = Field(
        (5, 12), description="Working days from order to delivery, as a range."
    )
    lead_by_month: tuple[int, ...] = Field(
        (0,) * 12,
        min_length=12,
        max_length=12,
        description="Further working days for orders of each month, January first.",
        examples=[[6, 3, 0, 0, 0, 0, 0, 0, 2, 3, 4, 6]],
    )
    lead_days_per_kelvin: float = Field(
        0.0,
        ge=0,
        le=10,
        description="Further working days for each kelvin by which the past week was colder than cold_below.",
    )
    cold_below_c: Temperature = Field(
        0.0,
        alias="cold_below",
        description="Mean temperature of a week from which lead times grow.",
        examples=["-3 degC"],
    )
    delivery_weekdays: tuple[
        Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"], ...
    ] = Field(
        ("monday", "tuesday", "wednesday", "thursday", "friday"),
        min_length=1,
        description="Weekdays on which the tanker comes this way.",
        examples=[["tuesday", "thursday"]],
    )
    smallest_drop_kg: Mass = Field(
        2000.0, alias="smallest_drop", description="Smallest amount the supplier delivers.", examples=["2 t"]
    )
    step_kg: Mass = Field(
        100.0,
        gt=0,
        alias="step",
        description="Amounts are ordered in steps of this size.",
        examples=["100 kg"],
    )
    price: PricePerMass | None = Field(
        None,
        description="Price today, everything included, of a drop of 5 t, e.g. 310 EUR/t; offers are better "
        "where you have them.",
    )
    price_history: str | None = Field(
        None,
        description="CSV file of past prices in this folder (date,price_per_t), about three years of them, "
        "for your own season of prices.",
        examples=["prices.csv"],
    )
    season: Literal["usual", "none"] = Field(
        "usual",
        description='"usual": prices move with the months as in published years; "none": they do not.',
    )
    hose_m: Length = Field(
        0.0, alias="hose", description="Hose needed from the tanker to the coupling.", examples=["25 m"]
    )
    neighbour_kg: Mass | None = Field(
        None,
        alias="neighbour",
        description="What a neighbour would take from the same tanker.",
        examples=["2.5 t"],
    )
    delivery_pause_h: Time = Field(
        5.0, alias="delivery_pause", description="How long the boiler stands still before and during filling."
    )
    interest: Share = Field(
        0.03, lt=0.5, description="Yearly interest on money that lies in the store.", examples=["3 %"]
    )
    other_heat: PricePerEnergy | None = Field(
        None,
        description="What other heat costs when the store is empty, e.g. 0.32 EUR/kWh for electric heaters.",
    )
    bags: PricePerMass | None = Field(
        None, description="Price of bagged pellets in an emergency.", examples=["420 EUR/t"]
    )
    bags_tipped_in: bool = Field(
        False,
        description="Whether bags can be tipped in without entering the store, e.g. into the boiler's own "
        "hopper.",
    )
    empty_cost: Money | None = Field(
        None,
        description="What running empty costs each time besides: express delivery, call-out.",
        examples=["250 EUR"],
    )

    @model_validator(mode="after")
    def _money_is_one(self) -> SupplyTable:
        found = {m[1] for m in (self.price, self.other_heat, self.bags, self.empty_cost) if m is not None}
        if len(found) > 1:
            raise Refusal.because(
                "money_keys.moneys", "prices in {money} cannot be weighed; write them in one money",
                money=Listed(tuple(map(Own, sorted(found)))),
            )  # fmt: skip
        return self
