"""Conversion factors, asked of pint: a registry of the units in `definitions.txt`, and no others.

Only names that our own tables hold come here; a person's text has to be found in an allow-list first (see
`parsing.find_unit`). pint is imported when the first factor is needed, each factor is asked for once, and
numbers inside the house stay plain floats.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

_FILE = Path(__file__).with_name("definitions.txt")


@cache
def registry() -> Any:
    """Return pint's registry of our units.

    It reckons in fractions, so that a factor is rounded once, at the end.
    """
    import pint

    return pint.UnitRegistry(str(_FILE), non_int_type=Fraction)


@cache
def _spelled() -> dict[str, tuple[str, ...]]:
    """Return every spelling of the definitions file by the name of its unit."""
    found: dict[str, list[str]] = {}
    for spelling in registry():
        found.setdefault(registry().get_name(spelling, True), []).append(spelling)
    return {name: tuple(spellings) for name, spellings in found.items()}


def spellings_of(name: str) -> tuple[str, ...]:
    """Return how the definitions file spells a unit.

    Parameters
    ----------
    name
        One of its spellings; anything else ("BTU/h") has none there.
    """
    return next((spellings for spellings in _spelled().values() if name in spellings), ())


@cache
def conversion(unit: str, fixed: str) -> tuple[float, float]:
    """Return the line that turns numbers of one unit into another.

    Parameters
    ----------
    unit, fixed
        Units of the definitions file, or products of them: "BTU/h"; "" is the number one.

    Returns
    -------
    (float, float)
        Factor and offset: value in `fixed` = factor * (number + offset). Each is the float nearest to the
        exact fraction; the offset [unit] is 0 but for temperatures.

    Raises
    ------
    pint.DimensionalityError, pint.UndefinedUnitError
        Where the units are not of one dimension, or not defined: an error of the program, never of a person.
    """
    zero, one = (registry().Quantity(Fraction(n), unit).to(fixed).magnitude for n in (0, 1))
    factor = Fraction(one) - Fraction(zero)
    return float(factor), float(Fraction(zero) / factor)
