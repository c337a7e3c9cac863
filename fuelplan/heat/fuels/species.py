"""Kinds of wood: dry matter in a solid cubic metre, energy, ash, and water when felled."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.heat.fuels.moisture import FuelError, MoistureWet

HARDWOOD_KWH_PER_KG = 5.00
SOFTWOOD_KWH_PER_KG = 5.20
_TABLE = "Polish forestry table"
_MEMORY = "value from memory"


@dataclass(frozen=True)
class Species:
    """A kind of wood.

    Attributes
    ----------
    name
        Lower case, as people write it.
    dry_kg_per_solid_m3
        Dry matter in a solid cubic metre. [kg/m3]
    softwood
        Softwood has 5.2 kWh per kg of dry wood, hardwood 5.0 (Landkreis Heidenheim, LWF leaflet 12).
    green
        Water when felled (value from memory).
    source
        Of the density.
    """

    name: str
    dry_kg_per_solid_m3: float
    softwood: bool
    green: MoistureWet
    source: str

    @property
    def dry_kwh_per_kg(self) -> float:
        """Net energy of the dry wood. [kWh/kg]"""
        return SOFTWOOD_KWH_PER_KG if self.softwood else HARDWOOD_KWH_PER_KG


def _kind(name: str, density: float, soft: bool, green: float, source: str = _TABLE) -> tuple[str, Species]:
    return name, Species(name, density, soft, MoistureWet(green), source)


SPECIES: dict[str, Species] = dict(
    (
        _kind("beech", 570, False, 0.45),
        _kind("oak", 570, False, 0.45),
        _kind("birch", 510, False, 0.45),
        _kind("larch", 460, True, 0.45),
        _kind("pine", 420, True, 0.52),
        _kind("alder", 420, False, 0.50),
        _kind("spruce", 400, True, 0.52),
        _kind("poplar", 350, False, 0.60),
        _kind("willow", 350, False, 0.55),
        _kind("hornbeam", 630, False, 0.42, _MEMORY),
        _kind("ash tree", 570, False, 0.35, _MEMORY),
        _kind("robinia", 640, False, 0.35, _MEMORY),
        _kind("maple", 520, False, 0.42, _MEMORY),
        _kind("fir", 400, True, 0.52, _MEMORY),
        _kind("douglas fir", 430, True, 0.45, _MEMORY),
    )
)


def species(name: str) -> Species:
    """Return the kind of wood of that name.

    Raises
    ------
    FuelError
        Not in the table; the sentence lists what is.
    """
    found = SPECIES.get(name.strip().lower())
    if found is None:
        raise FuelError(
            f'"{name}" is not a kind of wood in the table; write one of {", ".join(sorted(SPECIES))}'
        )
    return found
