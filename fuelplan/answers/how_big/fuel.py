"""What is left for the fuel of a store in question: other heat and logs take their part, as in `order`."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.how_big.answer import Assumption
from fuelplan.answers.setting import Setting
from fuelplan.heat.building import share_left
from fuelplan.messages import Message, Quantity, message
from fuelplan.weather import Winters

Floats = NDArray[np.float64]


def stored_left(
    setting: Setting, winters: Winters, alone_kg: Floats
) -> tuple[Floats, tuple[Assumption, ...]]:
    """Return the fuel that other heat and logs leave to the store, and what was taken about both.

    Parameters
    ----------
    alone_kg
        Shape (winters, days): fuel of each day if the boiler burned nothing else, alone. [kg]

    Returns
    -------
    Shape (winters, days) [kg], and the assumptions.
    """
    dates = np.datetime64(winters.first_day, "D") + np.arange(alone_kg.shape[1])
    demand, taken = alone_kg, []
    fuel = setting.fuel.word
    left = share_left(setting.other_heat, setting.need, dates, winters.mean_c)
    if left is not None:
        demand = demand * left
        taken.append(
            _taken(
                message(
                    "size.other_heat_used",
                    "The other heat is used as the folder says: {burned} of {fuel} a year, {alone} without "
                    "it",
                    burned=_a_year(demand),
                    fuel=fuel,
                    alone=_a_year(alone_kg),
                )
            )
        )
    if setting.log_side is not None:
        before = demand
        demand = demand * setting.log_side.left(dates, winters.mean_c)
        taken.append(
            _taken(
                message(
                    "size.logs_loaded",
                    "Logs are loaded as the folder says, and there are always dry ones: {burned} of {fuel} a "
                    "year, {alone} if nobody lights a fire",
                    burned=_a_year(demand),
                    fuel=fuel,
                    alone=_a_year(before),
                )
            )
        )
    return demand, tuple(taken)


def _a_year(kg: Floats) -> Quantity:
    """Return what a mean year burns."""
    return Quantity(float(kg.sum(axis=1).mean()), "mass")


def _taken(text: Message) -> Assumption:
    source = message("size.run_through_winters", "run through the past winters, as for the order date")
    return Assumption(text, source)
