"""Seasoning: how a stack of logs dries towards the equilibrium moisture of its climate.

The smooth curve is a modelling choice. The moisture u (of the dry mass) goes to the equilibrium u_e of the
day by du/dt = -r D (u - u_e), with D the vapour pressure deficit of the air; r is set so that split beech
and spruce stacked in March pass 20 % of the wet mass after 28 weeks, as in the Upper Austria trial. Logs
differ: a meter in a freshly split face decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat.fuels import Moisture, MoistureDry, MoistureWet, Species, Wood
from fuelplan.messages import Listed, Own, Quantity, message
from fuelplan.store.log_pile.climate import PileClimate, PileError, drying_pull_kpa, equilibrium_dry_share

Floats = NDArray[np.float64]
Kept = Literal["covered", "shed", "open"]

DRY_ENOUGH = MoistureWet(0.20)
HORIZON_DAYS = 5 * 365

# Per day and kPa of vapour pressure deficit; see the module's text.
RATE_HARDWOOD = 0.0216
RATE_SOFTWOOD = 0.0256
# Modelling choices, common practice behind their order: oak dries slowly, unsplit rounds more so, rain
# holds an open pile back, and a closed shed lacks wind.
OAK_FACTOR = 0.6
ROUND_FACTOR = 0.4
KEPT_FACTOR: dict[str, float] = {"covered": 1.0, "shed": 0.7, "open": 0.6}
OPEN_WETTER_SHARE = 0.05  # rain keeps an open pile about this much wetter, of the dry mass
CAUTIOUS_PACE = 0.6  # shade, no wind, a wet summer


@dataclass(frozen=True)
class PileLot:
    """One stack of logs of one kind and age.

    Attributes
    ----------
    species
        Kind of wood.
    stacked_m3
        How much lies there. [m3]
    since
        Day of felling and splitting, or of the measurement where `moisture` is given.
    moisture
        Water on that day; None: green.
    kept
        "covered" (airy, a roof on top), "shed" (little wind) or "open" (rain comes in).
    split
        False for rounds.
    stacked_solid_share
        Solid wood in a stacked cubic metre, 0..1.
    name
        What the person calls it.
    """

    species: Species
    stacked_m3: float
    since: date
    moisture: Moisture | None = None
    kept: Kept = "covered"
    split: bool = True
    stacked_solid_share: float = 1.0 / 1.4
    name: str = ""

    def __post_init__(self) -> None:
        """Refuse what no stack can be."""
        if not 0 <= self.stacked_m3 < float("inf"):
            raise PileError(
                message(
                    "pile.amount",
                    "{volume} of stacked logs cannot be; write zero or more",
                    volume=Quantity.written(self.stacked_m3, "m3", "g"),
                )
            )
        if self.kept not in KEPT_FACTOR:
            raise PileError(
                message(
                    "pile.kept",
                    '"{kept}" is not a valid way to keep logs here; write one of {ways}',
                    kept=Own(self.kept),
                    ways=Listed(tuple(map(Own, KEPT_FACTOR)), ", "),
                )
            )

    def wood(self, moisture: Moisture) -> Wood:
        """Return this wood at a water content.

        Parameters
        ----------
        moisture
            Water, on a basis that says its name.
        """
        return Wood(self.species, moisture, self.stacked_solid_share)


def drying_path(lot: PileLot, climate: PileClimate, days: int, *, pace: float = 1.0) -> Floats:
    """Return the moisture of each evening from `since` on, shape (days + 1,), of the *dry* mass.

    Parameters
    ----------
    pace
        Factor on the drying rate: 1 usual, `CAUTIOUS_PACE` for a pile that dries slowly.
    """
    start = (lot.species.green if lot.moisture is None else lot.moisture).dry.share
    dates = np.datetime64(lot.since, "D") + np.arange(1, days + 1)
    air_c, humidity = climate.on(dates)
    target = equilibrium_dry_share(air_c, humidity) + (OPEN_WETTER_SHARE if lot.kept == "open" else 0.0)
    stays = np.exp(-_rate(lot) * pace * drying_pull_kpa(air_c, humidity))
    path = np.empty(days + 1)
    path[0] = u = start
    for i in range(days):
        u = target[i] + (u - target[i]) * stays[i]
        path[i + 1] = u
    return path


def moisture_on(lot: PileLot, day: date, climate: PileClimate, *, pace: float = 1.0) -> MoistureDry:
    """Return the water on a day, as it was said on and before `since`.

    Parameters
    ----------
    lot, climate
        The stack, and the air around it.
    day
        Any.
    pace
        As in `drying_path`.
    """
    days = max(0, (day - lot.since).days)
    return MoistureDry(float(drying_path(lot, climate, days, pace=pace)[-1]))


def dry_on(
    lot: PileLot, climate: PileClimate, *, enough: Moisture = DRY_ENOUGH, pace: float = 1.0
) -> date | None:
    """Return the first day on which the lot is dry enough, None if not within five years.

    Parameters
    ----------
    lot, climate
        The stack, and the air around it.
    enough
        Water at which it counts as dry.
    pace
        As in `drying_path`.
    """
    path = drying_path(lot, climate, HORIZON_DAYS, pace=pace)
    reached = path <= enough.dry.share + 1e-12
    return lot.since + timedelta(days=int(np.argmax(reached))) if reached.any() else None


def _rate(lot: PileLot) -> float:
    rate = RATE_SOFTWOOD if lot.species.softwood else RATE_HARDWOOD
    if lot.species.name == "oak":
        rate *= OAK_FACTOR
    return rate * KEPT_FACTOR[lot.kept] * (1.0 if lot.split else ROUND_FACTOR)
