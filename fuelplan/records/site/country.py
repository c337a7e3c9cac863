"""The country of a folder, read before anything else of it: amounts are read by what they mean there."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import Any

from fuelplan.records.site.text_files import read_text
from fuelplan.units import bought_in

MAX_TOML_BYTES = 1_000_000


def country_of(data: Any) -> str | None:
    """Return the country that a folder's TOML names; None where it names none."""
    place = data.get("place") if isinstance(data, dict) else None
    country = place.get("country") if isinstance(place, dict) else None
    return country if isinstance(country, str) else None


@contextmanager
def read_as_in(folder: Path, file: str = "site.toml") -> Iterator[None]:
    """Read amounts as they are meant in a folder's country; where there is no such file, as outside."""
    text = None
    if (folder / file).exists():
        text, _ = read_text(folder / file, max_bytes=MAX_TOML_BYTES)
    try:
        data = None if text is None else tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        data = None
    with nullcontext() if data is None else bought_in(country_of(data)):
        yield
