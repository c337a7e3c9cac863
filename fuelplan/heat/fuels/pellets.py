"""Pellets: classes with their limits, energy, bulk density, bags and pallets, their boilers and cautions."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from fuelplan.heat.fuels.fuel import NOW, AgeLine, Fuel, Key
from fuelplan.heat.fuels.moisture import FuelError, MoistureWet
from fuelplan.messages import Listed, Own, Per, Quantity, message
from fuelplan.messages.cautions import FuelCautions

ASH_LIMIT_SHARE = {"A1": 0.007, "A2": 0.012, "B": 0.020}
"""The most ash that a class may have (ISO 17225-2 and the ENplus table), as a share of mass."""

BAG_KG = 15.0


@dataclass(frozen=True)
class Pellets:
    """Pellets in the store.

    Attributes
    ----------
    grade
        "A1", "A2" or "B".
    kwh_per_kg
        Net energy as received. [kWh/kg]
    bulk_kg_per_m3, bulk_low_kg_per_m3, bulk_high_kg_per_m3
        Bulk density in the store: usual, and the range of the class. [kg/m3]
    ash_share
        Ash of the mass, 0..1. Usual for A1: 0.005; for the others the class limit.
    moisture
        Water content.
    """

    grade: str = "A1"
    kwh_per_kg: float = 4.8
    bulk_kg_per_m3: float = 650.0
    bulk_low_kg_per_m3: float = 600.0
    bulk_high_kg_per_m3: float = 750.0
    ash_share: float = 0.005
    moisture: MoistureWet = field(default=MoistureWet(0.08))

    def __post_init__(self) -> None:
        """Refuse values that cannot be pellets."""
        if self.grade not in ASH_LIMIT_SHARE:
            raise _no_class(self.grade)
        if not 3.5 <= self.kwh_per_kg <= 5.5:
            raise FuelError(
                message(
                    "pellets.energy",
                    "{energy} cannot be pellets; write e.g. 4.8 kWh/kg",
                    energy=_per_kg(self.kwh_per_kg),
                )
            )
        if not 0 < self.bulk_low_kg_per_m3 <= self.bulk_kg_per_m3 <= self.bulk_high_kg_per_m3 < 1000:
            raise FuelError(
                message(
                    "pellets.density",
                    "the bulk density {density} kg/m3 must lie between its low {low} and high {high}; write "
                    "e.g. 650 kg/m3",
                    density=Own(f"{self.bulk_kg_per_m3:g}"),
                    low=Own(f"{self.bulk_low_kg_per_m3:g}"),
                    high=Own(f"{self.bulk_high_kg_per_m3:g}"),
                )
            )
        if not 0 <= self.ash_share < 0.1:
            raise FuelError(
                message(
                    "pellets.ash",
                    "an ash share of {share} cannot be pellets; write e.g. 0.5 %",
                    share=Own(f"{self.ash_share:g}"),
                )
            )

def _per_kg(kwh: float) -> Per:
    return Per(Quantity.written(kwh, "kWh", "g"), "kg")


def _no_class(grade: str) -> FuelError:
    return FuelError(
        message(
            "pellets.no_class",
            '"{grade}" is not a pellet class; write one of {classes}',
            grade=Own(grade),
            classes=Listed(tuple(map(Own, ASH_LIMIT_SHARE)), ", "),
        )
    )


def pellets(grade: str = "A1", *, kwh_per_kg: float = 4.8, ash_share: float | None = None) -> Pellets:
    """Return pellets of a class with its usual ash: 0.5 % for A1, else the class limit.

    Parameters
    ----------
    grade
        "A1", "A2" or "B".
    kwh_per_kg
        Net energy as received. [kWh/kg]
    ash_share
        Ash of the mass; None for the usual of the class. [0..1]

    Returns
    -------
    Pellets
        With the usual bulk density.

    Raises
    ------
    FuelError
        A class that is not there, or values that cannot be pellets.
    """
    if grade not in ASH_LIMIT_SHARE:
        raise _no_class(grade)
    usual = 0.005 if grade == "A1" else ASH_LIMIT_SHARE[grade]
    return Pellets(grade, kwh_per_kg, ash_share=usual if ash_share is None else ash_share)


def bags_kg(bags: float, bag_kg: float = BAG_KG) -> float:
    """Return the mass of so many bags. [kg]

    Parameters
    ----------
    bags
        How many, zero or more. [-]
    bag_kg
        Mass of one. [kg]

    Returns
    -------
    float
        Mass of all. [kg]

    Raises
    ------
    FuelError
        A number below zero, or bags that weigh nothing.
    """
    if not (bags >= 0 and bag_kg > 0):
        raise FuelError(
            message("pellets.bags", "bags cannot be negative, nor weigh nothing; write e.g. 40 bags of 15 kg")
        )
    return bags * bag_kg


# Full and half load as (constant, factor of lg P), per cent of net energy. French 3CL-DPE 2021, §13.2.
_BY_AGE: tuple[AgeLine, ...] = (
    # Before 1995: EN 303-5 class 1 line, value from memory, taken for both loads.
    (1994, (47.0, 6.0), (47.0, 6.0)),
    (2003, (57.0, 6.0), (58.0, 6.0)),
    (2012, (67.0, 6.0), (68.0, 6.0)),
    (2019, (80.0, 2.0), (77.0, 3.0)),
)
_NOW_SMALL: AgeLine = (NOW, (91.0, 2.0), (88.0, 2.0))
_NOW_LARGE: AgeLine = (NOW, (92.0, 2.0), (89.0, 2.0))


def boiler_lines(rated_kw: float) -> tuple[AgeLine, ...]:
    """Return the efficiencies of pellet boilers by year; above 70 kW the nearest printed line."""
    return (*_BY_AGE, _NOW_SMALL if rated_kw <= 20 else _NOW_LARGE)


def _material(
    grade: str = "A1", kwh_per_kg: float | None = None, bulk_kg_per_m3: float | None = None
) -> Pellets:
    usual = pellets(grade)
    return replace(
        usual,
        kwh_per_kg=usual.kwh_per_kg if kwh_per_kg is None else kwh_per_kg,
        bulk_kg_per_m3=usual.bulk_kg_per_m3 if bulk_kg_per_m3 is None else bulk_kg_per_m3,
    )


def _kwh_per_unit(unit: str, each_kg: float | None, material: Pellets) -> float:
    kg = 1.0 if unit == "kg" else each_kg
    if kg is None:
        raise FuelError(
            message(
                "pellets.priced_per",
                "pellets are priced per t, kg, bag or pallet, not per {unit}",
                unit=Own(unit),
            )
        )
    return kg * material.kwh_per_kg


PELLETS = Fuel(
    name="pellets",
    one=message("fuel.pellet", "pellet"),
    kept="bulk store",
    comes="blown in",
    beside_stacked=True,
    usual_kwh_per_kg=4.8,
    usual_source=message("fuel.pellets_source", "UK DESNZ 2025"),
    measures=("kg", "bag", "pallet"),
    sold_in=message("fuel.pellets_sold_in", "t, kg, bags or pallets"),
    example="3.2 t",
    material=_material,
    kg_of=lambda value, measure, material: value if measure == "kg" else None,
    kwh_per_unit=_kwh_per_unit,
    lines=boiler_lines,
    cautions=FuelCautions(
        in_store={"co-store": message("caution.why_pellets_kept", "Pellets are kept in a store.")},
        filling={"dust": message("caution.why_pellets_blown", "Pellets are blown in.")},
    ),
    bulk_source=message("fuel.pellets_bulk_source", "ENplus table, ISO 17225-2"),
    said=message("fuel.pellets", "pellets"),
    room_rule=(650.0, 600.0),  # Austrian and German pellet associations; what surely fits by the ENplus table
    keys=(
        Key("class", "grade", "class", "Quality class of ISO 17225-2.", "A1", tuple(ASH_LIMIT_SHARE)),
        Key("energy", "kwh_per_kg", "energy_per_mass", "Net calorific value as received."),
        Key("bulk_density", "bulk_kg_per_m3", "density", "Bulk density in the store."),
    ),
)
