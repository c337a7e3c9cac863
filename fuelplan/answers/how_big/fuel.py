"""What is left for the fuel of a store in question: other heat and logs take their part, as in `order`."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fuelplan import units
from fuelplan.answers.how_big.answer import Assumption
from fuelplan.answers.other_heat import share_left
from fuelplan.answers.setting import Setting
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
    left = share_left(setting.site, setting.need, setting.seasons, dates, winters.mean_c)
    if left is not None:
        demand = demand * left
        taken.append(
            _said(
                "The other heat is used as the folder says", demand, alone_kg, setting.fuel.name, "without it"
            )
        )
    if setting.log_side is not None:
        before = demand
        demand = demand * setting.log_side.share.of(dates, winters.mean_c)[0]
        text = "Logs are loaded as the folder says, and there are always dry ones"
        taken.append(_said(text, demand, before, setting.fuel.name, "if nobody lights a fire"))
    return demand, tuple(taken)


def _said(text: str, with_kg: Floats, without_kg: Floats, fuel: str, otherwise: str) -> Assumption:
    burned, alone = (units.show(float(kg.sum(axis=1).mean()), "mass") for kg in (with_kg, without_kg))
    return Assumption(
        f"{text}: {burned} of {fuel} a year, {alone} {otherwise}",
        "run through the past winters, as for the order date",
    )
