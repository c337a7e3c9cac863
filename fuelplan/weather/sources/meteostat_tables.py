"""A provider of our own for the meteostat library: it reads tables that were downloaded here, within limits.

The library's providers for the same tables download them by themselves, without any limit in time or size,
and log what went wrong instead of raising it. It offers a way round that: a provider can be registered and
named in a request. The library still merges sources, and says whose data they are.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date
from typing import Any

TIME_COLUMNS = {"daily": 3, "hourly": 4}
"""Year, month, day (and hour) lead each table (the format of Meteostat's bulk files)."""

FIRST_YEARS = {"daily": date(1899, 1, 1), "hourly": date(1931, 1, 1)}
PARAMETERS = {"daily": ("TEMP", "TMIN", "TMAX", "RHUM"), "hourly": ("TEMP", "RHUM")}


@dataclass
class Downloaded:
    """One table as it came, and the error met in reading it."""

    content: bytes
    step: str
    error: Exception | None = None


_AT_HAND: ContextVar[Downloaded | None] = ContextVar("downloaded weather table", default=None)


@contextmanager
def at_hand(content: bytes, step: str) -> Iterator[Downloaded]:
    """Give the library one table to read, in this thread alone."""
    held = Downloaded(content, step)
    token = _AT_HAND.set(held)
    try:
        yield held
    finally:
        _AT_HAND.reset(token)


def registered(step: str) -> str:
    """Return the name of our provider of "daily" or "hourly" tables, registered once in a program."""
    from meteostat import Granularity, Parameter
    from meteostat.core.providers import provider_service
    from meteostat.enumerations import Priority
    from meteostat.typing import ProviderSpec

    name = f"fuelplan_{step}"
    if provider_service.get_provider(name) is None:
        provider_service.register(
            ProviderSpec(
                id=name,
                name=f"Meteostat tables downloaded by fuelplan, {step}",
                granularity=Granularity(step),
                priority=Priority.NONE,
                grade=None,  # the label of each row names its source
                license=None,
                parameters=[Parameter[p] for p in PARAMETERS[step]],
                start=FIRST_YEARS[step],
                module=__name__,
            )
        )
    return name


def fetch(request: Any) -> Any:
    """Return the table at hand as the library wants it: one row a time and source; None where it is none.

    The library calls this; an error is kept for the caller, for the library would only log it.
    """
    del request  # which table it is was settled when it was downloaded
    held = _AT_HAND.get()
    if held is None:
        return None
    try:
        return _by_source(held)
    except Exception as error:  # whatever stands in the file, pandas meets it in its own ways
        held.error = error
        return None


def _by_source(held: Downloaded) -> Any:
    import pandas as pd
    from meteostat.utils.data import reshape_by_source

    frame = pd.read_csv(io.BytesIO(held.content))
    leading = frame.columns[: TIME_COLUMNS[held.step]]
    frame["time"] = pd.to_datetime(frame[leading])
    return reshape_by_source(frame.drop(columns=leading).set_index("time"))
