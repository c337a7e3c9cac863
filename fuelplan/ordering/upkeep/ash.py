"""When the ash box is full, from the fuel burned."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.messages import Listed, Own, Quantity, message
from fuelplan.ordering.upkeep.item import UpkeepError, UpkeepItem, said_day

Floats = NDArray[np.float64]
Dates = NDArray[np.datetime64]

ASH_KG_PER_L = 0.4  # loose wood ash in a box, value from memory; low, so that the box is called full early
EARLY = 0.1  # the day is chosen so that the box is full before it in one of ten winters
CAUTION_IDS = ("hot-ash",)


def ash_from_fuels(burned_kg: Mapping[str, ArrayLike], ash_share: Mapping[str, float]) -> Floats:
    """Add up the ash of several fuels that fall into one box, shape of the fuels. [kg]

    Parameters
    ----------
    burned_kg
        What is burned of each fuel, all of one shape. [kg]
    ash_share
        Ash of the mass of each fuel as burned.

    Raises
    ------
    UpkeepError
        A fuel without its ash.
    """
    missing = set(burned_kg) - set(ash_share)
    if missing:
        named = Listed(tuple(map(Own, sorted(missing))), ", ")
        said = message("ash.share_missing", "say the ash share of {fuels}, e.g. 0.5 %", fuels=named)
        raise UpkeepError(said)
    if not burned_kg:
        raise UpkeepError("no fuel was given, so there is no ash to speak of")
    return np.asarray(
        sum(np.asarray(kg, dtype=np.float64) * ash_share[fuel] for fuel, kg in burned_kg.items())
    )


def ash_in_box(ash_kg: ArrayLike, days: int, *, box_l: float, ash_kg_per_l: float = ASH_KG_PER_L) -> float:
    """Return about how much ash lies in a box that was emptied some days ago, at most a boxful. [kg]

    The days since then are taken as the coming ones, which is near enough for a box.

    Parameters
    ----------
    ash_kg
        Ash of each coming day of each possible winter, shape (paths, days). [kg]
    days
        How long ago it was emptied; 0 where that is not known. [d]
    """
    ash = np.atleast_2d(np.asarray(ash_kg, dtype=np.float64))
    return min(float(ash[:, :days].sum(axis=1).mean()), box_l * ash_kg_per_l)


def ash_items(
    dates: Dates,
    ash_kg: ArrayLike,
    *,
    box_l: float,
    ash_kg_per_l: float = ASH_KG_PER_L,
    in_box_kg: float = 0.0,
    most: int = 24,
) -> tuple[UpkeepItem, ...]:
    """Return the days on which to empty the ash box.

    Parameters
    ----------
    dates
        Shape (days,), from tomorrow on.
    ash_kg
        Ash of each day of each possible winter, shape (paths, days). [kg]
    in_box_kg
        Ash in the box today. [kg]
    most
        At most so many entries.

    Raises
    ------
    UpkeepError
        A box or its ash without a size.

    Returns
    -------
    One item for each emptying within the dates; the day before the box is full in the fastest tenth of the
    winters.
    """
    _check_box(box_l, ash_kg_per_l)
    ash = np.atleast_2d(np.asarray(ash_kg, dtype=np.float64))
    if ash.shape[1] != len(dates):
        raise UpkeepError(f"the ash has {ash.shape[1]} days, the calendar {len(dates)}")
    if np.isnan(ash).any() or (ash < 0).any() or not in_box_kg >= 0:
        raise UpkeepError("ash is zero or more kg on every day, without gaps")
    # What falls by each day in the winter that burns most but one in ten.
    fallen = np.quantile(np.cumsum(ash, axis=1), 1.0 - EARLY, axis=0)
    holds = box_l * ash_kg_per_l
    items: list[UpkeepItem] = []
    emptied, previous = -in_box_kg, -1
    while len(items) < most:
        full = np.flatnonzero(fallen - emptied > holds + 1e-9)
        if not full.size:
            break
        at = max(0, int(full[0]) - 1)
        if at <= previous:  # a box too small for one day: every day is told, not more often
            at = previous + 1
            if at >= len(dates):
                break
        previous = at
        emptied = float(fallen[at])
        items.append(_item(dates[at].item(), len(items), holds, box_l))
    return tuple(items)


def _item(day: date, number: int, holds_kg: float, box_l: float) -> UpkeepItem:
    text = message(
        "ash.empty_by",
        "By {day} the ash box of {box} is nearly full in a cold winter (about {ash} of ash). In a mild one "
        "it takes longer: look first.",
        day=said_day(day),
        box=Quantity(box_l / 1000.0, "volume", unit="l", decimals=0),
        ash=Quantity(holds_kg, "mass", unit="kg", decimals=0),
    )
    return UpkeepItem(
        day,
        "ash",
        message("ash.empty", "Empty the ash box"),
        text,
        CAUTION_IDS,
        day,
        f"ash-{number}",
    )


def _check_box(box_l: float, ash_kg_per_l: float) -> None:
    if not (box_l > 0 and ash_kg_per_l > 0):
        raise UpkeepError(
            message(
                "ash.box",
                "an ash box has a volume and its ash a density above zero; write e.g. 40 l and 0.4 kg/l",
            )
        )
