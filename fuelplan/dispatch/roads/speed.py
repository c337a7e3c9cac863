"""How long a lorry takes for a distance: short trips are slower."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats32 = NDArray[np.float32]


@dataclass(frozen=True)
class Speed:
    """Speed of a loaded tanker lorry (common practice; values from memory).

    Attributes
    ----------
    near_km_h
        In streets and lanes, where every trip begins and ends. [km/h]
    far_km_h
        On the open road. [km/h]
    near_km
        After about this distance the lorry is on the open road. [km]
    """

    near_km_h: float = 30.0
    far_km_h: float = 65.0
    near_km: float = 8.0

    def __post_init__(self) -> None:
        """Refuse speeds that would make long trips slower than short ones."""
        if not 0.0 < self.near_km_h <= self.far_km_h < 200.0:
            raise ValueError(
                f"speeds of {self.near_km_h:g} km/h near and {self.far_km_h:g} km/h far cannot be; "
                "both must be above 0 and below 200, and the near one no more than the far one"
            )
        if not self.near_km > 0.0:
            raise ValueError(f"near_km is {self.near_km:g}; give a distance above 0 km")


LORRY = Speed()


def driving_h(km: NDArray[np.floating], speed: Speed = LORRY) -> Floats32:
    """Return the driving time of each distance, same shape. [h]

    ``km / far + (1/near − 1/far) · near_km · (1 − exp(−km / near_km))``: the first metres go at `near_km_h`,
    the last at `far_km_h`. Increasing and concave, so a detour is never quicker than the direct way. With the
    defaults 5 km take 9 minutes, 30 km 36 minutes. Infinite where the distance is.
    """
    x = np.asarray(km, dtype=np.float32)
    slower = np.float32((1.0 / speed.near_km_h - 1.0 / speed.far_km_h) * speed.near_km)
    hours: Floats32 = x / np.float32(speed.far_km_h) - slower * np.expm1(-x / np.float32(speed.near_km))
    return hours
