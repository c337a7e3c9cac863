"""Wood chips: their price can be compared with that of other fuels; nothing is planned for them."""

from __future__ import annotations

from fuelplan.heat.fuels.fuel import Fuel
from fuelplan.heat.fuels.logs import Wood, kg_of_wood, kwh_per_unit_of_wood
from fuelplan.heat.fuels.moisture import Moisture
from fuelplan.heat.fuels.pellets import boiler_lines
from fuelplan.heat.fuels.species import species
from fuelplan.messages import message
from fuelplan.messages.cautions import FuelCautions


def chips(name: str, moisture: Moisture) -> Wood:
    """Return wood chips of a kind of wood at a water content.

    Parameters
    ----------
    name
        Kind of wood, see `species`.
    moisture
        Water, on a basis that says its name.

    Returns
    -------
    Wood
        By the loose cubic metre.

    Raises
    ------
    FuelError
        A kind of wood that is not in the table.
    """
    return Wood(species(name), moisture, form="chips")


CHIPS = Fuel(
    name="chips",
    one=message("fuel.wood_chip", "wood chip"),
    kept=None,
    by_wood=True,
    comes="tipped",
    usual_kwh_per_kg=3.4,
    usual_source=message("fuel.chips_source", "softwood at 30 % water of the wet mass, computed"),
    measures=("loose_m3", "solid_m3", "kg"),
    sold_in=message("fuel.chips_sold_in", "loose m3, solid m3, kg or t"),
    example="20 loose m3",
    material=chips,
    kg_of=kg_of_wood,
    kwh_per_unit=kwh_per_unit_of_wood,
    lines=boiler_lines,  # the nearest printed
    cautions=FuelCautions(),
    said=message("fuel.chips", "chips"),
)
