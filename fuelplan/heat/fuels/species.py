"""Kinds of wood: dry matter in a solid cubic metre, energy, ash, and water when felled."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.heat.fuels.moisture import FuelError, MoistureWet
from fuelplan.messages import Listed, Message, Own, message

HARDWOOD_KWH_PER_KG = 5.00
SOFTWOOD_KWH_PER_KG = 5.20
_TABLE = message("wood.polish_table", "Polish forestry table")
_MEMORY = message("wood.from_memory", "value from memory")


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
    word
        The name in a sentence.
    """

    name: str
    dry_kg_per_solid_m3: float
    softwood: bool
    green: MoistureWet
    source: Message
    word: Message

    @property
    def dry_kwh_per_kg(self) -> float:
        """Net energy of the dry wood. [kWh/kg]"""
        return SOFTWOOD_KWH_PER_KG if self.softwood else HARDWOOD_KWH_PER_KG


SPECIES: dict[str, Species] = {
    kind.name: kind
    for kind in (
        Species("beech", 570, False, MoistureWet(0.45), _TABLE, message("wood.beech", "beech")),
        Species("oak", 570, False, MoistureWet(0.45), _TABLE, message("wood.oak", "oak")),
        Species("birch", 510, False, MoistureWet(0.45), _TABLE, message("wood.birch", "birch")),
        Species("larch", 460, True, MoistureWet(0.45), _TABLE, message("wood.larch", "larch")),
        Species("pine", 420, True, MoistureWet(0.52), _TABLE, message("wood.pine", "pine")),
        Species("alder", 420, False, MoistureWet(0.50), _TABLE, message("wood.alder", "alder")),
        Species("spruce", 400, True, MoistureWet(0.52), _TABLE, message("wood.spruce", "spruce")),
        Species("poplar", 350, False, MoistureWet(0.60), _TABLE, message("wood.poplar", "poplar")),
        Species("willow", 350, False, MoistureWet(0.55), _TABLE, message("wood.willow", "willow")),
        Species("hornbeam", 630, False, MoistureWet(0.42), _MEMORY, message("wood.hornbeam", "hornbeam")),
        Species("ash tree", 570, False, MoistureWet(0.35), _MEMORY, message("wood.ash_tree", "ash tree")),
        Species("robinia", 640, False, MoistureWet(0.35), _MEMORY, message("wood.robinia", "robinia")),
        Species("maple", 520, False, MoistureWet(0.42), _MEMORY, message("wood.maple", "maple")),
        Species("fir", 400, True, MoistureWet(0.52), _MEMORY, message("wood.fir", "fir")),
        Species(
            "douglas fir", 430, True, MoistureWet(0.45), _MEMORY, message("wood.douglas_fir", "douglas fir")
        ),
    )
}


def species(name: str) -> Species:
    """Return the kind of wood of that name.

    Parameters
    ----------
    name
        In upper or lower case.

    Returns
    -------
    Species
        With its density and net energy when dry.

    Raises
    ------
    FuelError
        Not in the table; the sentence lists what is.
    """
    found = SPECIES.get(name.strip().lower())
    if found is None:
        raise FuelError(
            message(
                "wood.unknown",
                '"{name}" is not a kind of wood in the table; write one of {names}',
                name=Own(name),
                names=Listed(tuple(Own(kind) for kind in sorted(SPECIES)), ", "),
            )
        )
    return found
