"""Country and fuel of a folder, read before anything else of it: rows are read by what they mean there."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from typing import Any

from fuelplan.heat import fuels
from fuelplan.units import bought_in

MAX_TOML_BYTES = 1_000_000


def country_of(data: Any) -> str | None:
    """Return the country that a folder's TOML names; None where it names none."""
    place = data.get("place") if isinstance(data, dict) else None
    country = place.get("country") if isinstance(place, dict) else None
    return country if isinstance(country, str) else None


def usual_fuel_of(data: Any) -> str:
    """Return the fuel that a row means which names none: that of the folder's bulk store."""
    boiler = data.get("boiler") if isinstance(data, dict) else None
    kind = boiler.get("kind") if isinstance(boiler, dict) else None
    found = fuels.boiler_kinds().get(kind) if isinstance(kind, str) else None
    return (fuels.usual() if found is None else found[0]).name


@contextmanager
def as_meant_by(text: str | None) -> Iterator[str]:
    """Read amounts as they are meant in the country that settings name; without any, as outside.

    Gives the fuel that a row means which names none.

    Parameters
    ----------
    text
        The settings, in TOML.
    """
    try:
        data = None if text is None else tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        data = None
    with nullcontext() if data is None else bought_in(country_of(data)):
        yield usual_fuel_of(data)
