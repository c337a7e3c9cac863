"""A buffer: how much heat it holds, how much more it takes, and what it loses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.messages import Quantity, Refusal, message

Floats = NDArray[np.float64]

WATER_KWH_PER_L_K = 1.163e-3  # physics: 55 l over 40 K hold 2.56 kWh


class BufferError(Refusal):
    """Something said about a buffer cannot be; the sentence says what to write instead."""


def heat_held_kwh(litres: float, warmer_k: float) -> float:
    """Return the heat that water holds above a temperature: 1.163 Wh per litre and kelvin. [kWh]

    Parameters
    ----------
    litres
        Water. [l]
    warmer_k
        Above the temperature that is still of use. [K]

    Returns
    -------
    float
        Below zero where the water is colder than that. [kWh]

    Raises
    ------
    BufferError
        Litres below zero.
    """
    if not litres >= 0:
        raise BufferError(
            message(
                "buffer.negative",
                "a buffer of {volume} cannot be; write zero or more, e.g. 1000 l",
                volume=Quantity.written(litres, "l", "g"),
            )
        )
    return WATER_KWH_PER_L_K * litres * warmer_k


@dataclass(frozen=True)
class Buffer:
    """A buffer as it stands.

    Attributes
    ----------
    litres
        Water. [l]
    useful_from_c
        Below this the heating cannot use it: 35 degC for floors, 45 for radiators, common practice. [degC]
    full_c
        The boiler stops charging here, common practice 80. [degC]
    loss_w_per_k
        Loss to its room; None: 0.05 W/K per litre^(2/3), a well insulated one, value from memory. [W/K]
    room_c
        Where it stands. [degC]
    """

    litres: float
    useful_from_c: float = 40.0
    full_c: float = 80.0
    loss_w_per_k: float | None = None
    room_c: float = 15.0

    def __post_init__(self) -> None:
        """Refuse what no buffer can be."""
        if not self.litres > 0:
            raise BufferError(
                message(
                    "buffer.nothing",
                    "a buffer of {volume} cannot be; write e.g. 1000 l",
                    volume=Quantity.written(self.litres, "l", "g"),
                )
            )
        if not 0 < self.useful_from_c < self.full_c <= 110:
            raise BufferError(
                message(
                    "buffer.temperatures",
                    "a buffer useful from {useful} and full at {full} cannot be; write e.g. 40 degC and 80 "
                    "degC",
                    useful=Quantity.written(self.useful_from_c, "degC", "g"),
                    full=Quantity.written(self.full_c, "degC", "g"),
                )
            )
        if self.loss_w_per_k is not None and self.loss_w_per_k < 0:
            raise BufferError(
                message("buffer.negative_loss", "the loss of a buffer cannot be negative; write e.g. 3 W/K")
            )

    @property
    def loss_coefficient_w_per_k(self) -> float:
        """Loss per kelvin above its room. [W/K]"""
        return 0.05 * float(self.litres ** (2.0 / 3.0)) if self.loss_w_per_k is None else self.loss_w_per_k

    @property
    def capacity_kwh(self) -> float:
        """Heat between useful and full. [kWh]"""
        return heat_held_kwh(self.litres, self.full_c - self.useful_from_c)

    def held_kwh(self, layers_c: ArrayLike) -> float:
        """Return the usable heat of equal layers; a layer too cold to use counts nothing. [kWh]

        Parameters
        ----------
        layers_c
            Top to bottom, at least one. [degC]

        Returns
        -------
        float
            Above `useful_from_c`. [kWh]

        Raises
        ------
        BufferError
            None, temperatures that cannot be, or a layer hotter than one above it.
        """
        layers = self._layers(layers_c)
        return heat_held_kwh(self.litres, float(np.maximum(layers - self.useful_from_c, 0.0).mean()))

    def free_kwh(self, layers_c: ArrayLike) -> float:
        """Return the heat it takes until every layer is full. [kWh]

        Parameters
        ----------
        layers_c
            As in `held_kwh`. [degC]

        Returns
        -------
        float
            Up to `full_c` in every layer. [kWh]

        Raises
        ------
        BufferError
            As in `held_kwh`.
        """
        layers = self._layers(layers_c)
        return heat_held_kwh(self.litres, float(np.maximum(self.full_c - layers, 0.0).mean()))

    def loss_kw(self, layers_c: ArrayLike) -> float:
        """Return its loss to the room now. [kW]

        Parameters
        ----------
        layers_c
            As in `held_kwh`. [degC]

        Returns
        -------
        float
            Below zero where the water is colder than the room. [kW]

        Raises
        ------
        BufferError
            As in `held_kwh`.
        """
        return self.loss_coefficient_w_per_k * (float(self._layers(layers_c).mean()) - self.room_c) / 1000.0

    def _layers(self, layers_c: ArrayLike) -> Floats:
        layers = np.atleast_1d(np.asarray(layers_c, dtype=np.float64))
        if layers.size == 0 or np.isnan(layers).any():
            raise BufferError(
                message(
                    "buffer.no_temperature",
                    "write at least one buffer temperature, e.g. top 62 degC and bottom 38 degC",
                )
            )
        if (layers < 0).any() or (layers > 120).any():
            raise BufferError(
                message(
                    "buffer.temperature_range",
                    "buffer temperatures lie between 0 and 120 degC; check the reading and its unit",
                )
            )
        if (np.diff(layers) > 3.0).any():
            raise BufferError(
                message(
                    "buffer.temperatures_rise",
                    "buffer temperatures go from top to bottom and fall; put the hottest, the top, first",
                )
            )
        return layers
