"""What is asked when a store is sized: sizes, the rule of ordering, what things cost."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Own, Quantity, Refusal, counted_message, message
from fuelplan.ordering.prices import SWISS_SEASON, drop_size_factor
from fuelplan.store.bulk import Store, StoreError

Floats = NDArray[np.float64]

# Austrian and German pellet associations' room rule: two thirds of the room are usable, 650 kg/m3.
USABLE_SHARE = 2 / 3
BULK_KG_PER_M3 = 650.0
BULK_LOW_KG_PER_M3 = 600.0  # what surely fits is reckoned at this (ENplus table)


class SizingError(Refusal):
    """A question about a store that has no answer: says what is wrong and what to write instead."""


@dataclass(frozen=True)
class Sizes:
    """Store sizes in question; all of shape (sizes,).

    Attributes
    ----------
    room_m3, usable_m3
        Room taken up, and fuel in a full store. [m3]
    usable_kg
        Full store less its residue, at the usual bulk density. [kg]
    sure_kg
        Greatest usable stock to which a tanker can surely fill. [kg]
    """

    room_m3: Floats
    usable_m3: Floats
    usable_kg: Floats
    sure_kg: Floats

    @classmethod
    def of_stores(cls, stores: Sequence[Store]) -> Sizes:
        """Take the sizes of stores whose shape is known.

        Parameters
        ----------
        stores
            At least one, each with a shape.

        Raises
        ------
        StoreError
            A store of which only the capacity is known.
        """
        if any(s.shape is None for s in stores):
            raise StoreError(
                "a store of which only the capacity is known takes up no known room; give its shape"
            )
        return cls(
            np.array([s.shape.room_m3 for s in stores if s.shape is not None]),
            np.array([s.full_m3 for s in stores]),
            np.array([s.usable_kg() for s in stores]),
            np.array([s.usable_kg() * s.bulk_low_kg_per_m3 / s.bulk_kg_per_m3 for s in stores]),
        )

    @classmethod
    def by_room_rule(
        cls,
        room_m3: Floats,
        bulk_kg_per_m3: float = BULK_KG_PER_M3,
        bulk_low_kg_per_m3: float = BULK_LOW_KG_PER_M3,
    ) -> Sizes:
        """Take rooms of these volumes with two thirds usable (Austrian and German pellet associations).

        Parameters
        ----------
        room_m3
            Shape (sizes,). [m3]
        bulk_kg_per_m3, bulk_low_kg_per_m3
            Usual, and that at which what surely fits is worked out. [kg/m3]

        Raises
        ------
        SizingError
            Volumes that are none.
        """
        room = np.asarray(room_m3, float)
        if room.ndim != 1 or not np.all((room > 0) & np.isfinite(room)):
            raise SizingError(message("sizing.rooms", "rooms are volumes above zero, e.g. 12 m3"))
        usable = USABLE_SHARE * room
        return cls(room, usable, usable * bulk_kg_per_m3, usable * bulk_low_kg_per_m3)

    def __len__(self) -> int:
        """Return the number of sizes."""
        return len(self.room_m3)


@dataclass(frozen=True)
class OrderRule:
    """A monthly (s, S) rule: on the first of each month look; at or below s order, up to what surely fits.

    s of a month is the reserve plus what the other winters (all but the one played) take until the next
    look's delivery, at the quantile 1 − `risk_limit`. With a summer filling the store is also topped up in
    the cheap months as soon as the smallest drop fits.

    Attributes
    ----------
    reserve_kg
        Usable stock that is never planned to be used. [kg]
    smallest_drop_kg, largest_drop_kg, step_kg
        Smallest economic drop of the supplier, a tanker's load (about 15 t, national guides), and the steps
        of orders (common practice). [kg]
    lead_days
        From the order to the delivery. [days]
    risk_limit
        Accepted chance of running short before a delivery, per order. [0..1]
    doubt_share
        Doubt of the level read, as a share of the usable stock (our assumption): the level counts as lower
        when it is asked whether to order, as higher when it is asked what fits. [0..1]
    """

    reserve_kg: float = 200.0
    smallest_drop_kg: float = 2000.0
    largest_drop_kg: float = 15000.0
    step_kg: float = 100.0
    lead_days: int = 14
    risk_limit: float = 0.02
    doubt_share: float = 0.05

    def __post_init__(self) -> None:
        """Refuse rules that cannot be followed."""
        if not (self.reserve_kg >= 0 and 0 < self.step_kg <= self.smallest_drop_kg <= self.largest_drop_kg):
            raise SizingError(
                message(
                    "sizing.drops",
                    "drops from {least} to {most} in steps of {step}, reserve {reserve}: write a reserve "
                    "from zero up and rising amounts",
                    least=Quantity.written(self.smallest_drop_kg, "kg", "g"),
                    most=Quantity.written(self.largest_drop_kg, "kg", "g"),
                    step=Quantity.written(self.step_kg, "kg", "g"),
                    reserve=Quantity.written(self.reserve_kg, "kg", "g"),
                )
            )
        if not 1 <= self.lead_days <= 28:
            raise SizingError(
                counted_message(
                    "sizing.lead_time",
                    "a lead time of {n} day: a monthly rule needs 1 to 28 days",
                    "a lead time of {n} days: a monthly rule needs 1 to 28 days",
                    self.lead_days,
                )
            )
        if not (0 < self.risk_limit < 1 and 0 <= self.doubt_share < 0.5):
            raise SizingError(
                message(
                    "sizing.shares",
                    "risk_limit is a share between 0 and 1, doubt_share one from 0 to below 0.5",
                )
            )


@dataclass(frozen=True)
class StoreCosts:
    """What fuel, room and money cost.

    Attributes
    ----------
    price_per_kg
        Mean price over the year for an 8 t drop. [money/kg]
    season
        Shape (12,), January first: price of the month against the year (by default Swiss monthly prices
        2008–2019 against their centred 12-month mean, computed from published prices).
    drop_factor
        Price per kilogram of a drop against an 8 t drop (by default computed from published prices).
    room_per_m3, store_fixed
        Cost of a cubic metre of room, and what a store costs whatever its size. [money/m3, money]
    years, interest
        Over how many years the store is written off, and what tied-up money costs a year. [years, 0..1]
    emergency_factor
        Price of a kilogram bought in bags in an emergency, against `price_per_kg` (our assumption).
    currency
        Three-letter code of the money that all of them are in.
    """

    price_per_kg: float
    season: tuple[float, ...] = SWISS_SEASON
    drop_factor: Callable[[Floats], Floats] = field(default=drop_size_factor)
    room_per_m3: float = 0.0
    store_fixed: float = 0.0
    years: float = 20.0
    interest: float = 0.03
    emergency_factor: float = 1.5
    currency: str = "EUR"

    def __post_init__(self) -> None:
        """Refuse costs that are none."""
        if not 0 < self.price_per_kg < math.inf:
            raise SizingError(
                message(
                    "sizing.price",
                    "a price of {price} per kg: write a price above zero, e.g. 0.35",
                    price=Own(f"{self.price_per_kg:g}"),
                )
            )
        if len(self.season) != 12 or min(self.season) <= 0:
            raise SizingError(
                message("sizing.season", "a season of prices has twelve factors above zero, January first")
            )
        if min(self.room_per_m3, self.store_fixed, self.interest) < 0 or not self.years > 0:
            raise SizingError(
                message("sizing.costs", "costs and interest are amounts from zero up, years above zero")
            )

    def store_per_year(self, room_m3: Floats) -> Floats:
        """Return the yearly cost of the store itself: an annuity. [money/year]

        Parameters
        ----------
        room_m3
            Any shape. [m3]
        """
        worth = self.store_fixed + self.room_per_m3 * np.asarray(room_m3, float)
        if self.interest == 0:
            return np.asarray(worth / self.years)
        return np.asarray(worth * self.interest / (1 - (1 + self.interest) ** -self.years))
