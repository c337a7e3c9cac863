"""fuelplan: wood-fuel heating that never runs out, from open weather data to an order date with its risk.

The public interface is :mod:`fuelplan.answers`; its functions are offered here and imported only when used, so
that ``import fuelplan`` stays cheap.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_PUBLIC = {"order": "fuelplan.answers"}

__all__ = ["__version__", *sorted(_PUBLIC)]


def __getattr__(name: str) -> Any:
    """Import a public function on first use (PEP 562)."""
    if name in _PUBLIC:
        return getattr(import_module(_PUBLIC[name]), name)
    raise AttributeError(f"module 'fuelplan' has no attribute {name!r}")
