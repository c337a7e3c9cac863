"""The table of distances and driving times that plans are made with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.dispatch.roads.detour import DETOUR, DETOUR_SOURCE, Detour, by_detour
from fuelplan.dispatch.roads.great_circle import checked_places, great_circle_table_km
from fuelplan.dispatch.roads.speed import LORRY, Speed, driving_h
from fuelplan.messages import Message, Own, message

Floats32 = NDArray[np.float32]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Roads:
    """Every place to every place.

    Attributes
    ----------
    km, hours
        Shape (n, n), row = from, column = to; infinite where there is no road. [km, h]
    source
        Where the figures come from.
    attribution
        What must be shown with them; may be empty.
    """

    km: Floats32
    hours: Floats32
    source: Message
    attribution: str = ""

    def __post_init__(self) -> None:
        """Refuse tables that are not square, of different shapes, negative or not a number."""
        if self.km.ndim != 2 or self.km.shape[0] != self.km.shape[1] or self.km.shape != self.hours.shape:
            raise ValueError(
                f"distances have the shape {self.km.shape}, times {self.hours.shape}; both must be (n, n)"
            )
        for name, table in (("distances", self.km), ("times", self.hours)):
            if not (table >= 0).all():
                raise ValueError(f"some {name} are negative or missing; write inf where there is no road")

    def __len__(self) -> int:
        """Return the number of places."""
        return len(self.km)


def roads_between(
    lat_a: ArrayLike,
    lon_a: ArrayLike,
    lat_b: ArrayLike,
    lon_b: ArrayLike,
    detour: float | Detour = DETOUR,
    speed: Speed = LORRY,
) -> tuple[Floats32, Floats32]:
    """Return distances and driving times of every place a to every place b: great circle × detour.

    Returns
    -------
    (km, hours)
        Both of shape (len(a), len(b)); for many places call it for one block of rows after another.
    """
    factor = detour.factor if isinstance(detour, Detour) else float(detour)
    if not 1.0 <= factor <= 4.0:
        raise ValueError(f"a detour factor of {factor:g} cannot be; give road / great circle, as {DETOUR}")
    a, b = checked_places(lat_a, lon_a)
    c, d = checked_places(lat_b, lon_b)
    km = great_circle_table_km(a, b, c, d)
    km *= np.float32(factor)
    return km, driving_h(km, speed)


def roads_by_detour(
    lat: ArrayLike,
    lon: ArrayLike,
    detour: float | Detour = DETOUR,
    speed: Speed = LORRY,
    islands: Sequence[str] | None = None,
) -> Roads:
    """Return the table made of great circles × a detour factor.

    Parameters
    ----------
    lat, lon
        Shape (n,). Degrees north and east. Two customers at one place are 0 km apart.
    detour
        Road distance / great circle, or what :func:`learn_detour` found.
    speed
        How driving time follows from distance.
    islands
        Which land each place lies on, as names ("" = the mainland), shape (n,). No road leads from one to
        another: such pairs are infinite. None where all are on the mainland.
    """
    km, hours = roads_between(lat, lon, lat, lon, detour, speed)
    if islands is not None:
        names = np.asarray(islands, dtype=str)
        if len(names) != len(km):
            raise ValueError(f"{len(names)} islands are named for {len(km)} places; give one name per place")
        apart = names[:, None] != names[None, :]
        km[apart] = np.inf
        hours[apart] = np.inf
    if isinstance(detour, Detour):
        return Roads(km, hours, detour.source)
    source = DETOUR_SOURCE if detour == DETOUR else by_detour(float(detour))
    return Roads(km, hours, source)


def slow(roads: Roads, factor: float) -> Roads:
    """Return the same roads on a day when driving takes `factor` times as long; distances stay.

    Raises
    ------
    ValueError
        When the factor is not above 0.
    """
    if not 0.0 < factor <= 20.0:
        raise ValueError(f"driving times × {factor:g} cannot be; give a factor such as 2 for snow")
    if factor == 1.0:
        return roads
    source = message(
        "roads.slow", "{source}; driving times × {factor}",
        source=roads.source, factor=Own(f"{factor:g}"),
    )  # fmt: skip
    return replace(roads, hours=(roads.hours * np.float32(factor)).astype(np.float32), source=source)
