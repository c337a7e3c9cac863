"""Several boilers and a heat network on one store."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.heat import fuels
from fuelplan.heat.boiler.boiler import Boiler, BoilerError
from fuelplan.heat.boiler.season import seasonal_efficiency
from fuelplan.messages import Message, Percent, Quantity, message

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Network:
    """Buried pipes between the boiler house and the buildings.

    Attributes
    ----------
    trench_m
        Length of trench with a flow and a return pipe. [m]
    loss_w_per_m_k
        Loss of the pair per metre of trench and kelvin between water and ground: 0.3 for well insulated
        twin pipes, value from memory. [W/(m K)]
    water_c, ground_c
        Mean of flow and return, and of the ground. [degC]
    summer
        Whether it stays warm when nothing is heated (hot water).
    """

    trench_m: float
    loss_w_per_m_k: float = 0.3
    water_c: float = 65.0
    ground_c: float = 10.0
    summer: bool = True

    def __post_init__(self) -> None:
        """Refuse what no network can be."""
        if not (self.trench_m >= 0 and self.loss_w_per_m_k >= 0 and self.water_c >= self.ground_c):
            raise BoilerError(
                message(
                    "boiler.network",
                    "a network needs a length and a loss of zero or more, and water warmer than the ground",
                )
            )

    @property
    def loss_kw(self) -> float:
        """Loss while warm, whatever is taken from it. [kW]"""
        return self.trench_m * self.loss_w_per_m_k * (self.water_c - self.ground_c) / 1000.0


@dataclass(frozen=True)
class Share:
    """What one boiler of several does; arrays of the shape of the load.

    Attributes
    ----------
    output_kw
        Heat it gives. [kW]
    fuel_kw
        Net energy it burns. [kW]
    """

    boiler: Boiler
    output_kw: Floats
    fuel_kw: Floats


@dataclass(frozen=True)
class Plant:
    """Boilers that share a store; load + network loss = sum of outputs + unmet, in every interval. [kW]"""

    shares: tuple[Share, ...]
    network_loss_kw: Floats
    unmet_kw: Floats

    @property
    def fuel_kw(self) -> Floats:
        """Net energy burned by all. [kW]"""
        return np.asarray(np.sum([s.fuel_kw for s in self.shares], axis=0))

    def fuel_kg_per_day(self, kwh_per_kg: float, fuel: str = fuels.usual().name) -> Floats:
        """Return what the boilers of one fuel take from their store, as a daily mean. [kg/day]

        Parameters
        ----------
        kwh_per_kg
            Net energy of the fuel. [kWh/kg]
        fuel
            Name of a fuel in the registry.

        Returns
        -------
        array
            One entry for each interval, shape of the load. [kg/day]

        Raises
        ------
        BoilerError
            No boiler burns it.
        """
        mine = [s.fuel_kw for s in self.shares if s.boiler.fuel == fuel]
        if not mine:
            raise BoilerError(
                message(
                    "boiler.none_burns", "no boiler of the plant burns {fuel}", fuel=fuels.fuel(fuel).word
                )
            )
        return np.asarray(np.sum(mine, axis=0) * 24.0 / kwh_per_kg)

    @property
    def answer_on_size(self) -> Message:
        """Whether the boilers cover the load."""
        if not (self.unmet_kw > 1e-9).any():
            return message(
                "boiler.plant_covers",
                "The boilers cover the load and the network losses on every day looked at.",
            )
        return message(
            "boiler.plant_smaller_than_load",
            "The boilers give {power} together and are smaller than the load on {share} of the days looked "
            "at (at most {missing} are missing); a heating engineer should check the heat load.",
            power=Quantity.written(sum(s.boiler.rated_kw for s in self.shares), "kW", "g"),
            share=Percent(float((self.unmet_kw > 1e-9).mean()), 1),
            missing=Quantity.written(float(self.unmet_kw.max()), "kW", ".1f"),
        )


def run_plant(
    boilers: Sequence[Boiler],
    load_kw: ArrayLike,
    *,
    network: Network | None = None,
    interval_efficiency: bool = True,
) -> Plant:
    """Split a load over boilers in the order given: the first as far as it goes, the next takes the rest.

    A boiler is not started for less than its least output while one before it still burns: the burning
    ones are held back by as much, as far as their own least output allows.

    Parameters
    ----------
    boilers
        In the order of use, at least one.
    load_kw
        Mean load of each interval at the buildings, any shape. [kW]
    network
        Pipes whose loss the boilers carry too.
    interval_efficiency
        Losses from each boiler's load curve, with its stand-by while idle between burns; else its seasonal
        efficiency over its own part of the load.

    Returns
    -------
    Plant
        What each boiler gives and burns, the loss of the pipes and what nobody gives; shape of the load.
        [kW]

    Raises
    ------
    BoilerError
        No boiler, or a load that is empty, has gaps or lies below zero.
    """
    load = np.asarray(load_kw, dtype=np.float64)
    if not boilers:
        raise BoilerError("a plant needs at least one boiler")
    if load.size == 0 or np.isnan(load).any() or (load < 0).any():
        raise BoilerError("the load must be zero or more kW on every day, without gaps")
    loss = np.zeros_like(load)
    if network is not None:
        loss = np.where((load > 0) | network.summer, network.loss_kw, 0.0)
    left = load + loss
    outputs: list[Floats] = []
    for i, boiler in enumerate(boilers):
        given = np.minimum(left, boiler.rated_kw)
        if i > 0:
            given, outputs = _held_back(boiler, given, boilers[:i], outputs)
        outputs.append(given)
        left = np.maximum(load + loss - np.sum(outputs, axis=0), 0.0)
    shares = []
    for boiler, output in zip(boilers, outputs, strict=True):
        if not (output > 0).any():
            fuel = np.zeros_like(output)
        elif interval_efficiency:
            running = np.maximum(output, boiler.least_kw)
            burning = output / running
            idle = boiler.standby_kw * (1.0 - burning) * (output > 0)
            fuel = output + boiler.loss_kw(running) * burning + idle
        else:
            fuel = output / seasonal_efficiency(boiler, output)
        shares.append(Share(boiler, output, np.asarray(fuel)))
    return Plant(tuple(shares), loss, left)


def _held_back(
    boiler: Boiler, given: Floats, before: Sequence[Boiler], outputs: list[Floats]
) -> tuple[Floats, list[Floats]]:
    """Raise a small output to the boiler's least by holding back those before it."""
    lacking = np.where(given > 0, np.maximum(boiler.least_kw - given, 0.0), 0.0)
    held = []
    for earlier, output in zip(reversed(before), reversed(outputs), strict=True):
        back = np.minimum(lacking, np.maximum(output - earlier.least_kw, 0.0))
        lacking = lacking - back
        given = given + back
        held.append(output - back)
    return given, held[::-1]
