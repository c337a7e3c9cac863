"""fuelplan: wood-fuel heating that never runs out, from open weather data to an order date with its risk.

The public interface is :mod:`fuelplan.answers`; its main functions are offered here and imported only when
used, so that ``import fuelplan`` stays cheap.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

__all__ = ["__version__", "learn", "open_site", "order", "size", "weather_for"]


def __getattr__(name: str) -> Any:
    """Import a public function on first use (PEP 562)."""
    if name in __all__:
        return getattr(import_module("fuelplan.answers"), name)
    raise AttributeError(f"module 'fuelplan' has no attribute {name!r}")
