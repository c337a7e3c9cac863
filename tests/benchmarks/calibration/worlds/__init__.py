"""All worlds by name. A module of worlds has a mapping `WORLDS`; its name stands in :data:`MODULES`."""

from __future__ import annotations

from functools import cache
from importlib import import_module

from tests.benchmarks.calibration.case import World

MODULES = ("burning", "filled")


@cache
def worlds() -> dict[str, World]:
    """Return every world by its name."""
    found: dict[str, World] = {}
    for module in MODULES:
        found |= import_module(f"tests.benchmarks.calibration.worlds.{module}").WORLDS
    return found
