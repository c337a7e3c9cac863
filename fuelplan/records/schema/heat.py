"""The keys of `site.toml` about what the building needs, and the boiler."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from fuelplan.heat import fuels
from fuelplan.messages import Own, Refusal
from fuelplan.records.schema.quantities import (
    Area,
    Efficiency,
    Energy,
    Gains,
    Mass,
    OneOf,
    Power,
    Share,
    Temperature,
    Volume,
)
from fuelplan.records.schema.table_base import Table


class BuildingTable(Table):
    """What the building needs: past use, a design heat loss, or floor area and age. Where several are said,
    the first of these leads; the others are held against it.
    """

    pellets_a_year_kg: Mass | None = Field(
        None, gt=0, alias="pellets_a_year", description="Pellets burned in a usual year.", examples=["5 t"]
    )
    heating_oil_a_year_m3: Volume | None = Field(
        None,
        alias="heating_oil_a_year",
        description="Heating oil burned in a usual year by the old boiler.",
        examples=["2400 litre"],
    )
    gas_a_year_kwh: Energy | None = Field(
        None,
        alias="gas_a_year",
        description="Gas burned in a usual year by the old boiler.",
        examples=["26000 kWh"],
    )
    heat_a_year_kwh: Energy | None = Field(
        None,
        alias="heat_a_year",
        description="Useful heat of a usual year, hot water included, e.g. from a heat meter.",
        examples=["20000 kWh"],
    )
    old_efficiency: Efficiency | None = Field(
        None, description="Seasonal efficiency of the old oil or gas boiler.", examples=["85 %"]
    )
    design_loss_kw: Power | None = Field(
        None,
        alias="design_loss",
        description="Heat loss at the design outdoor temperature.",
        examples=["12 kW"],
    )
    design_outdoor_c: Temperature | None = Field(
        None, alias="design_outdoor", description="Design outdoor temperature.", examples=["-12 degC"]
    )
    floor_area_m2: Area | None = Field(None, alias="floor_area", description="Heated floor area.")
    built: int | None = Field(
        None,
        ge=1000,
        le=2100,
        description="Year the house was built or last insulated; a rough start only.",
        examples=[1985],
    )
    indoor_c: Temperature = Field(
        20.0,
        alias="indoor",
        description="Usual room temperature, averaged over rooms and nights.",
        examples=["20.5 degC"],
    )
    gains_w: Gains | None = Field(
        None,
        alias="gains",
        description="Heat from people, appliances and sun, averaged over the heating season.",
    )
    heating_limit_c: Temperature | None = Field(
        None,
        alias="heating_limit",
        description="Daily mean outdoors from which on nothing is heated. Left out: 15 degC (VDI 3807) where "
        "gains are left out, too; no limit beside stated gains.",
        examples=["15 degC"],
    )
    people: int | None = Field(
        None, ge=0, le=10_000, description="People who use hot water from this boiler.", examples=[3]
    )
    hot_water: bool = Field(True, description="Whether this boiler also heats the hot water.")
    doubt: Share | None = Field(
        None, description="How far the yearly figure may be off, as a share.", examples=["15 %"]
    )

    @model_validator(mode="after")
    def _says_its_need(self) -> BuildingTable:
        ways = (
            *(f.year_key for f in fuels.fuels() if f.year_key in type(self).model_fields),
            "pellets_a_year_kg",
            "heating_oil_a_year_m3",
            "gas_a_year_kwh",
            "heat_a_year_kwh",
            "design_loss_kw",
            "floor_area_m2",
        )
        given = [w for w in ways if getattr(self, w) is not None]
        past = [w for w in given if "_a_year" in w]
        if not given:
            burned = ", ".join(f'{f.year_key} = "{f.year_example}"' for f in fuels.fuels() if f.in_bulk)
            raise Refusal.because(
                "building.what_it_needs",
                'say what the house needs by one of: {fuels}, heating_oil_a_year = "2400 litre", '
                'gas_a_year = "24000 kWh", heat_a_year, design_loss with design_outdoor, floor_area '
                "with built", fuels=Own(burned),
            )  # fmt: skip
        if len(past) > 1:
            names = " and ".join(type(self).model_fields[w].alias or w for w in past)
            raise Refusal.because(
                "building.two_years", "{keys} both say what a year takes; keep the one you trust most",
                keys=Own(names),
            )  # fmt: skip
        if self.design_loss_kw is not None and self.design_outdoor_c is None:
            raise Refusal.because(
                "building.design_outdoor",
                'design_loss needs design_outdoor, e.g. design_outdoor = "-12 degC"',
            )
        return self


class BoilerTable(Table):
    """The boiler."""

    kind: Annotated[str, OneOf(lambda: fuels.boiler_kinds())] = Field(
        fuels.usual().name,
        description='"logs and pellets" for one boiler that burns logs when loaded and pellets for the rest.',
    )
    rated_kw: Power | None = Field(
        None, gt=0, alias="rated", description="Rated heat output.", examples=["15 kW"]
    )
    installed: int | None = Field(
        None,
        ge=1900,
        le=2100,
        description="Year of installation; sets the default efficiency.",
        examples=[2016],
    )
    full_load_efficiency: Efficiency | None = Field(
        None,
        description="Test figure at full load from the maker's papers, burning pellets, on the net calorific "
        "value. Left out: a figure for its year, which for boilers up to 2019 is the least that their class "
        "allows.",
        examples=["93 %"],
    )
    part_load_efficiency: Efficiency | None = Field(
        None,
        description="The same at part load. Left out: that at full load.",
        examples=["91 %"],
    )
    seasonal_efficiency: Efficiency | None = Field(
        None,
        description="Useful heat over the fuel's energy through a whole year; never the laboratory figure.",
        examples=["82 %"],
    )

    @property
    def bulk(self) -> fuels.Fuel:
        """The fuel of the bulk store."""
        return fuels.boiler_kinds()[self.kind][0]

    @property
    def stacked(self) -> fuels.Fuel | None:
        """The fuel that is loaded by hand beside it; None where there is none."""
        return fuels.boiler_kinds()[self.kind][1]
