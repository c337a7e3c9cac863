"""What people call the fuels of a house, and the kinds of wood."""

from __future__ import annotations

from collections.abc import Iterable

from fuelplan.heat import fuels
from fuelplan.messages import Message


def fuel_words(names: Iterable[str]) -> dict[str, Message]:
    """Return what people call fuels, by their names."""
    return {name: fuels.fuel(name).word for name in names}


def kinds_of_wood() -> dict[str, Message]:
    """Return what people call the kinds of wood, by their names."""
    return {name: kind.word for name, kind in fuels.SPECIES.items()}
