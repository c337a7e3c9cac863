"""What is believed about many customers, as joint draws of signature and level or as a compact summary."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook.tables import Floats, OutlookError

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class CustomerStores:
    """What lies between full and empty of N customers, each of shape (N,). [kg]

    Attributes
    ----------
    area
        Weather area of each.
    reserve_kg
        Level that must not be undercut.
    fill_kg
        Level after a delivery that fills the store.
    group
        Sums are made for each group of customers, e.g. by class of fuel; None: all are one group.
    """

    area: NDArray[np.int64]
    reserve_kg: Floats
    fill_kg: Floats
    group: NDArray[np.int64] | None = None

    def __post_init__(self) -> None:
        """Refuse a reserve that no filling reaches."""
        if self.group is not None and (len(self.group) != len(self.area) or (self.group < 0).any()):
            raise OutlookError("group must hold a number, 0 or more, for every customer")
        if (self.reserve_kg < 0).any() or (self.fill_kg <= self.reserve_kg).any():
            raise OutlookError("reserve_kg must be 0 or more and below fill_kg for every customer")

    def __len__(self) -> int:
        """Return the number of customers."""
        return len(self.area)

    def rows(self, which: NDArray[np.int64] | Bools | slice) -> CustomerStores:
        """Return some of the customers."""
        group = None if self.group is None else self.group[which]
        return CustomerStores(self.area[which], self.reserve_kg[which], self.fill_kg[which], group)

    @property
    def groups(self) -> int:
        """Number of groups."""
        return 1 if self.group is None else int(self.group.max(initial=0)) + 1

    @property
    def group_of(self) -> NDArray[np.int64]:
        """Shape (N,), group of each customer."""
        return np.zeros(len(self.area), np.int64) if self.group is None else self.group


@dataclass(frozen=True)
class CustomerDraws:
    """Joint draws, each of shape (customers, draws).

    Draw k belongs to winter k mod winters, for every customer: what is drawn of a customer is its own, the
    winter is shared.

    Attributes
    ----------
    kg_per_degree_day, kg_per_day, base_c
        The signature, 0 or more. [kg/K/d, kg/d, degC]
    level_kg
        Level on the evening before the first day. [kg]
    shake
        A normal deviate times the size of the day-to-day noise, as a share of a day's use.
    """

    kg_per_degree_day: Floats
    kg_per_day: Floats
    base_c: Floats
    level_kg: Floats
    shake: Floats

    def __post_init__(self) -> None:
        """Refuse arrays of different shapes and signatures that burn less than nothing."""
        shape = self.level_kg.shape
        if any(getattr(self, f.name).shape != shape for f in fields(self)) or len(shape) != 2:
            raise OutlookError("all draws must have one shape, (customers, draws)")
        if (self.kg_per_degree_day < 0).any() or (self.kg_per_day < 0).any():
            raise OutlookError("kg_per_degree_day and kg_per_day must be 0 or more in every draw")

    def __len__(self) -> int:
        """Return the number of customers."""
        return len(self.level_kg)

    @property
    def draws(self) -> int:
        """Draws of each customer."""
        return int(self.level_kg.shape[1])

    def rows(self, which: NDArray[np.int64] | Bools | slice) -> CustomerDraws:
        """Return some of the customers."""
        return CustomerDraws(*(getattr(self, f.name)[which] for f in fields(self)))


BASE_STEP_C = 0.25
"""Base temperatures of a summary are drawn in steps of this size. [K]"""

TRIES = 12
"""Times a draw outside the limits is drawn again before it is set to the limit."""

ROWS = 4093
"""Rows of the table of normal deviates; a prime, so that no two customers go through it alike."""

STRIDE = 1601
"""From one try to the next."""

OFFSET = 2657
"""From one customer's first row to the next one's."""


@dataclass(frozen=True)
class Summary:
    """What is believed about N customers: one normal distribution of four quantities each.

    Attributes
    ----------
    number
        Shape (N,), number of each customer among all of them: it settles the random numbers of its draws, so
        that they are the same ones in whatever part of a round it is asked about.
    mean
        Shape (N, 4): kg_per_degree_day, kg_per_day, base_c, level_kg. [kg/K/d, kg/d, degC, kg]
    root
        Shape (N, 4, 4), lower triangular square root of the covariance.
    day_noise
        Shape (N,), size of the day-to-day noise as a share of a day's use.
    most_kg
        Shape (N,), a level above this cannot be. [kg]
    """

    number: NDArray[np.int64]
    mean: Floats
    root: Floats
    day_noise: Floats
    most_kg: Floats

    def __len__(self) -> int:
        """Return the number of customers."""
        return len(self.mean)

    def rows(self, which: NDArray[np.int64] | Bools | slice) -> Summary:
        """Return some of the customers."""
        return Summary(*(getattr(self, f.name)[which] for f in fields(self)))


def deviates(seed: int) -> Floats:
    """Return the table of normal deviates that summaries are drawn with, shape (ROWS, 5)."""
    table = np.random.default_rng(seed).standard_normal((ROWS, 5))
    return np.asarray((table - table.mean(axis=0)) / table.std(axis=0))


def draws_of_summary(
    summary: Summary, table: Floats, draws: int, base_low_c: float, base_high_c: float
) -> CustomerDraws:
    """Return joint draws of some customers, the same ones that the compiled way makes on the fly.

    A draw with a coefficient below 0 or a level outside the store is drawn again, :data:`TRIES` times at
    the most; what is still outside is set to the limit.

    Parameters
    ----------
    table
        Normal deviates, as :func:`deviates` gives them.
    base_low_c, base_high_c
        Base temperatures are kept inside; see :func:`fuelplan.dispatch.outlook.winter_tables`. [degC]
    """
    row = (summary.number[:, None] * OFFSET + np.arange(draws)) % ROWS
    most = summary.most_kg[:, None]
    value = np.zeros((len(summary), draws, 4))
    shake = np.zeros((len(summary), draws))
    todo = np.ones((len(summary), draws), dtype=bool)
    for attempt in range(TRIES):
        z = table[(row + attempt * STRIDE) % ROWS]
        x = _drawn(summary, z)
        value[todo] = x[todo]
        shake[todo] = z[..., 4][todo]
        todo &= (x[..., 0] < 0) | (x[..., 1] < 0) | (x[..., 3] < 0) | (x[..., 3] > most)
        if not todo.any():
            break
    step = np.rint(value[..., 2] / BASE_STEP_C) * BASE_STEP_C
    return CustomerDraws(
        np.maximum(value[..., 0], 0.0),
        np.maximum(value[..., 1], 0.0),
        np.clip(step, base_low_c, base_high_c),
        np.clip(value[..., 3], 0.0, most),
        shake * summary.day_noise[:, None],
    )


def _drawn(summary: Summary, z: Floats) -> Floats:
    """Return mean + root·z in the order of additions that the compiled way has."""
    out = np.empty((*z.shape[:2], 4))
    for j in range(4):
        total = np.repeat(summary.mean[:, j][:, None], z.shape[1], axis=1)
        for m in range(j + 1):
            total = total + summary.root[:, j, m][:, None] * z[..., m]
        out[..., j] = total
    return out
