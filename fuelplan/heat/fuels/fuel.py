"""A fuel: all that is particular to it, as one value that the other rooms ask."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import log10
from typing import Any, Literal, Protocol

from fuelplan.messages import Message, Own, Refusal, Said, as_message, message, said_by
from fuelplan.messages.cautions import FuelCautions
from fuelplan.units import MEASURES, Amount

Line = tuple[float, float]
"""An efficiency over the rated output: constant and factor of lg P, P in kW. [% of net energy]"""

AgeLine = tuple[int, Line, Line]
"""Last year of installation, and the lines of full and of half load for boilers up to it."""

NOW = 9999
"""Last year of the lines that hold for new boilers."""

Kind = Literal["class", "energy_per_mass", "density", "wood", "water"]

LINES_SOURCE = message("fuel.lines_source", "French 3CL-DPE 2021")

WEIGHTS = ("kg", "bag", "pallet")
"""Measures that weigh; every other one needs a density."""


class Material(Protocol):
    """A fuel as it lies at a house: what a kilogram of it gives."""

    @property
    def kwh_per_kg(self) -> float:
        """Net energy as received. [kWh/kg]"""

    @property
    def ash_share(self) -> float:
        """Ash of the mass as burned, 0..1."""


class BulkMaterial(Material, Protocol):
    """A fuel that lies in a bulk store."""

    @property
    def bulk_kg_per_m3(self) -> float:
        """Usual bulk density in the store. [kg/m3]"""

    @property
    def bulk_low_kg_per_m3(self) -> float:
        """Low end of its range, with which what surely fits is worked out. [kg/m3]"""

    @property
    def bulk_high_kg_per_m3(self) -> float:
        """High end of its range. [kg/m3]"""


@dataclass(frozen=True)
class Key:
    """Something that a folder may say about a fuel, in a table of the fuel's name.

    Attributes
    ----------
    name
        As the file writes it.
    field
        As `Fuel.material` takes it, with its unit.
    kind
        What stands there: a class, a quantity with its unit, a kind of wood, or water with its basis.
    description
        For the reference page.
    default
        As a file would write it, taken where nothing is said; None leaves it to `Fuel.material`.
    choices
        The classes, for the kind "class".
    """

    name: str
    field: str
    kind: Kind
    description: str
    default: str | None = None
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Fuel:
    """A fuel, and the answers to what the house asks of it.

    Attributes
    ----------
    name
        As files and JSON write it; the plural in sentences: "pellets".
    one
        The singular: "pellet", as in "a pellet boiler".
    kept
        "bulk store": read by level, with a hopper; "stack": a pile by its stacked volume, loaded by hand;
        None where nothing is planned for it and only its price can be compared.
    comes
        How it is delivered: "blown in" by a tanker, "tipped" or "stacked".
    beside_stacked
        Whether there are boilers that burn it beside a stacked fuel.
    by_wood
        Whether its energy follows from a kind of wood and its water, the first two things `material` takes.
    usual_kwh_per_kg, usual_source
        Net energy as received where nothing better is known, and who says so. [kWh/kg]
    measures
        Keys of `fuelplan.units.MEASURES` in which an amount of it may be written.
    sold_in, example, year_example
        The same in words, an amount of it, and a year's use, for people.
    material
        From what a folder says to the fuel as it lies there; takes the names of `keys`, each of which may be
        left out.
    kg_of
        The mass of a value in one of the measures, None where the measure is not one of it. [kg]
    kwh_per_unit
        Net energy in the unit of a price: the unit, kilograms of one of it where it weighs something, and the
        material. [kWh]
    keys
        What a folder may say about it.
    lines
        Efficiencies of boilers by their year, for a rated output [kW].
    inferred_until
        Last year whose lines are inferred from those of another fuel; None where all are printed.
    least_share
        Lowest output of its boilers, as a share of the rated.
    cautions
        What kills or harms with this fuel, by the codes of `fuelplan.messages.cautions`.
    bulk_source
        Who says the bulk density.
    said
        The name as people say it; the same as `name` where it is left out.
    lines_source
        Who says the lines.
    room_rule
        Usual and low bulk density of the trade's rule for rooms of which only the volume is known, None where
        there is no such rule. [kg/m3]
    volume_rel_sd
        How far an amount measured by volume may be off in its mass, as a share.
    """

    name: str
    one: Said
    kept: Literal["bulk store", "stack"] | None
    comes: Literal["blown in", "tipped", "stacked"]
    usual_kwh_per_kg: float
    usual_source: Said
    measures: tuple[str, ...]
    sold_in: Said
    example: str
    material: Callable[..., Material]
    kg_of: Callable[[float, str, Any], float | None]
    kwh_per_unit: Callable[[str, float | None, Any], float]
    lines: Callable[[float], tuple[AgeLine, ...]]
    cautions: FuelCautions
    beside_stacked: bool = False
    by_wood: bool = False
    year_example: str = "5 t"
    keys: tuple[Key, ...] = ()
    inferred_until: int | None = None
    least_share: float = 0.3
    bulk_source: Said = ""
    lines_source: Said = LINES_SOURCE
    room_rule: tuple[float, float] | None = None
    volume_rel_sd: float = 0.0
    said: Message | None = None

    @property
    def word(self) -> Message:
        """The name in a sentence."""
        return as_message(self.name) if self.said is None else self.said

    @property
    def is_planned(self) -> bool:
        """Whether its stock is followed and orders of it are planned."""
        return self.kept is not None

    @property
    def in_bulk(self) -> bool:
        """Whether it lies in a bulk store."""
        return self.kept == "bulk store"

    @property
    def is_stacked(self) -> bool:
        """Whether it lies in a stack and is loaded by hand."""
        return self.kept == "stack"

    @property
    def year_key(self) -> str:
        """The key of `[building]` with what was burned in a usual year."""
        return f"{self.name}_a_year"

    @property
    def is_sold_by_weight(self) -> bool:
        """Whether every amount of it is a weight."""
        return all(measure in WEIGHTS for measure in self.measures)

    def rel_sd(self, amount: Amount) -> float:
        """Return how far the mass of an amount may be off for its measure alone, as a share.

        Parameters
        ----------
        amount
            In one of its measures.

        Returns
        -------
        float
            0 for what was weighed. [0..1]
        """
        return 0.0 if amount.measure in WEIGHTS else self.volume_rel_sd

    def amount_kg(self, amount: Amount, material: Material) -> float:
        """Return a delivered or ordered amount. [kg]

        Parameters
        ----------
        amount
            In one of its measures.
        material
            The fuel as it lies at the house, for its density.

        Returns
        -------
        float
            Mass as it lies. [kg]

        Raises
        ------
        Refusal
            A measure that this fuel is not bought in.
        """
        self.check_measure(amount)
        kg = self.kg_of(amount.value, amount.measure, material) if amount.kg is None else amount.kg
        assert kg is not None  # it is one of the measures
        return kg

    def check_measure(self, amount: Amount) -> None:
        """Refuse an amount in a measure that this fuel is not bought in.

        Parameters
        ----------
        amount
            As it was entered.

        Raises
        ------
        Refusal
            The measure is not among its own; the sentence lists those.
        """
        if amount.measure not in self.measures:
            raise Refusal(
                message(
                    "fuel.bought_in",
                    '{fuel} are bought in {sold_in}, not in {measure}; write e.g. "{example}"',
                    fuel=self.word,
                    sold_in=as_message(self.sold_in),
                    measure=said_by(MEASURES[amount.measure]),
                    example=Own(self.example),
                )
            )

    def efficiencies(self, rated_kw: float, installed: int) -> tuple[float, float]:
        """Return test-stand efficiencies at full and half load of a boiler of that size and year, 0..1.

        Parameters
        ----------
        rated_kw
            Heat output at full load, above zero. [kW]
        installed
            Year.

        Returns
        -------
        tuple
            At full and at half load, of net energy. [0..1]
        """
        full, half = next((f, h) for last, f, h in self.lines(rated_kw) if installed <= last)
        lg = log10(rated_kw)
        return (full[0] + full[1] * lg) / 100.0, (half[0] + half[1] * lg) / 100.0
