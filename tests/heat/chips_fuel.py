"""A third fuel that lives in the tests alone: wood chips, bought by the loose cubic metre."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.heat.fuels import Fuel, FuelError, Key, Moisture, Wood, parse_moisture, species
from fuelplan.messages.cautions import FuelCautions

USUAL_WOOD, USUAL_WATER = "spruce", "25 % wet"
DENSITY_RANGE = 0.15  # printed tables of energy per measured volume differ by this much either way


@dataclass(frozen=True)
class Chips:
    """Chips of one kind of wood at one water content.

    Density and energy follow from them: a solid cubic metre makes 2.5 loose ones (LWF), net energy by the
    formula of ISO 18125.
    """

    wood: Wood
    stated_kg_per_m3: float | None = None

    @property
    def kwh_per_kg(self) -> float:
        """Net energy as received. [kWh/kg]"""
        return round(self.wood.kwh_per_kg, 2)

    @property
    def ash_share(self) -> float:
        """Ash of the mass, 0..1 (common practice)."""
        return self.wood.ash_share

    @property
    def bulk_kg_per_m3(self) -> float:
        """Usual bulk density. [kg/m3]"""
        if self.stated_kg_per_m3 is not None:
            return self.stated_kg_per_m3
        return self.wood.kg_per_solid_m3 * self.wood.loose_solid_share

    @property
    def bulk_low_kg_per_m3(self) -> float:
        """Low end of its range. [kg/m3]"""
        return self.bulk_kg_per_m3 * (1 - DENSITY_RANGE)

    @property
    def bulk_high_kg_per_m3(self) -> float:
        """High end of its range. [kg/m3]"""
        return self.bulk_kg_per_m3 * (1 + DENSITY_RANGE)


def _material(
    wood: str = USUAL_WOOD, water: Moisture | None = None, bulk_kg_per_m3: float | None = None
) -> Chips:
    moisture = parse_moisture(USUAL_WATER) if water is None else water
    return Chips(Wood(species(wood), moisture, form="chips"), bulk_kg_per_m3)


def _kg_of(value: float, measure: str, material: Chips) -> float:
    return value * material.bulk_kg_per_m3 if measure == "loose_m3" else value


def _kwh_per_unit(unit: str, each_kg: float | None, material: Chips) -> float:
    if unit not in ("kg", "loose_m3"):
        raise FuelError(f"chips are priced per t or loose m3, not per {unit}")
    return _kg_of(1.0, unit, material) * material.kwh_per_kg


CHIPS = Fuel(
    name="chips",
    one="wood chip",
    kept="bulk store",
    comes="tipped",
    by_wood=True,
    usual_kwh_per_kg=3.7,  # value from memory
    usual_source="value from memory, at 25 % water of the wet mass",
    measures=("loose_m3", "kg"),
    sold_in="loose m3, kg or t",
    example="20 loose m3",
    year_example="60 loose m3",
    material=_material,
    kg_of=_kg_of,
    kwh_per_unit=_kwh_per_unit,
    # EN 303-5 class 5 line for new boilers, class 3 before (values from memory)
    lines=lambda rated_kw: ((2019, (67.0, 6.0), (67.0, 6.0)), (9999, (87.0, 1.0), (86.0, 1.0))),
    cautions=FuelCautions(
        in_store={"co-store": "Chips are kept in a store."}, filling={"dust": "Chips raise dust when tipped."}
    ),
    lines_source="EN 303-5 classes, values from memory",
    bulk_source="1 m³ of solid wood makes 2.5 m³ of loose chips (LWF)",
    volume_rel_sd=DENSITY_RANGE / 2,
    keys=(
        Key("wood", "wood", "wood", "Kind of wood.", USUAL_WOOD),
        Key("water", "water", "water", "Water content, with its basis.", USUAL_WATER),
        Key("bulk_density", "bulk_kg_per_m3", "density", "Bulk density in the store, where it was weighed."),
    ),
)
