"""What the folder says about the need for heat: past use, usual hot water, and all figures side by side."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat import building, fuels
from fuelplan.heat.building import Stated
from fuelplan.records.schema import BuildingTable, SiteTable, year_fields
from fuelplan.records.site.to_domain import material_of, store_of, stored_of

Floats = NDArray[np.float64]

PEOPLE = 3  # taken where nobody says how many use hot water (our assumption)
ROUGH_EFFICIENCY = 0.8  # to hold figures against each other, where nobody says it
ROUGH_BASE_C = 15.0
DAYS_A_YEAR = 365.25


def usual_hot_water(table: BuildingTable) -> tuple[float, str]:
    """Return the hot water of a day by what is usual, and whose it is. [kWh/day]"""
    if not table.hot_water:
        return 0.0, ""
    if table.people is None and table.floor_area_m2 is not None:
        water, whose = building.hot_water_for_floor_area(table.floor_area_m2), "so large a dwelling"
    else:
        people = PEOPLE if table.people is None else table.people
        water, whose = building.hot_water_for_people(people), f"{people} people"
    return water.kwh_per_day, whose


def year_of(table: SiteTable) -> dict[fuels.Fuel, float]:
    """Return the fuel that was burned in a usual year, where the folder says it as such. [kg]"""
    found = {}
    for burned in (f for f in fuels.fuels() if f.in_bulk):
        said = [getattr(table.building, name, None) for name in year_fields(burned)]
        for amount in (one for one in said if one is not None):
            weighed = isinstance(amount, float)
            found[burned] = amount if weighed else burned.amount_kg(amount, material_of(table, burned))
    return found


def past_use(table: SiteTable, efficiency: float) -> building.UsefulHeat | None:
    """Return the useful heat of a usual year from what was burned; None where nobody says it.

    Parameters
    ----------
    efficiency
        Seasonal efficiency with which it was burned. [1]
    """
    given = table.building
    for burned, kg in year_of(table).items():
        kwh_per_kg = material_of(table, burned).kwh_per_kg
        return building.useful_heat(kg, burned.name, efficiency=efficiency, kwh_per_unit=kwh_per_kg)
    if given.heating_oil_a_year_m3 is not None:
        old = (
            {"efficiency": given.old_efficiency}
            if given.old_efficiency
            else {"old_heating": "oil_low_temperature"}
        )
        return building.useful_heat(given.heating_oil_a_year_m3 * 1000.0, "heating_oil", **old)
    if given.gas_a_year_kwh is not None:
        old = (
            {"efficiency": given.old_efficiency}
            if given.old_efficiency
            else {"old_heating": "gas_low_temperature"}
        )
        return building.useful_heat(given.gas_a_year_kwh, "natural_gas_bill", **old)
    if given.heat_a_year_kwh is None:
        return None
    return building.UsefulHeat(given.heat_a_year_kwh, 0.05, building.said_of_year(given.heat_a_year_kwh))


def stated_of(table: SiteTable, mean_c: Floats | None = None) -> Stated:
    """Return the stated figures of a house side by side.

    Parameters
    ----------
    mean_c
        Daily means of the weather record, where there is one, shape (days,). [degC]
    """
    given = table.building
    efficiency = table.boiler.seasonal_efficiency or ROUGH_EFFICIENCY
    found = past_use(table, efficiency)
    ways = {
        **{burned.year_key: (kg, "mass") for burned, kg in year_of(table).items()},
        "heating_oil_a_year": (given.heating_oil_a_year_m3, "volume"),
        "gas_a_year": (given.gas_a_year_kwh, "energy"),
        "heat_a_year": (given.heat_a_year_kwh, "energy"),
    }
    said = [(key, value, quantity) for key, (value, quantity) in ways.items() if value is not None]
    key, value, quantity = said[0] if said else ("", None, "energy")
    year_kwh = None if found is None else found.kwh_per_year
    per_kg = stored_of(table)[1].kwh_per_kg * efficiency
    shared = table.boiler.stacked is not None  # how much of the year the bulk store bears is not said
    return Stated(
        year_key=f"building.{key}",
        year_kwh=year_kwh,
        year_stated=value,
        year_quantity=quantity,
        year_pellets_kg=None if year_kwh is None or shared else year_kwh / per_kg,
        water_kwh=usual_hot_water(given)[0] * DAYS_A_YEAR,
        design_kw=given.design_loss_kw,
        outdoor_c=given.design_outdoor_c,
        indoor_c=given.indoor_c,
        area_m2=given.floor_area_m2,
        rated_kw=table.boiler.rated_kw,
        store_kg=store_of(table).capacity_kg(),
        kelvin_h=None if mean_c is None else 24 * DAYS_A_YEAR * _mean_degree_days(mean_c),
    )


def _mean_degree_days(mean_c: Floats) -> float:
    """Return the mean degree-days of a day below the rough base. [K d]"""
    return float(np.nanmean(np.maximum(0.0, ROUGH_BASE_C - mean_c)))
