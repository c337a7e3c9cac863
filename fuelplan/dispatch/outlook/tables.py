"""Accumulated degree-days of many possible winters: one table serves every customer of a weather area."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class OutlookError(ValueError):
    """Arrays that do not fit together, or a question the outlook cannot answer."""


@dataclass(frozen=True)
class WinterTables:
    """Degree-days added up from the first morning on, for some base temperatures, of every possible winter.

    Row p of every area is the same winter, so that the cold spell that empties one customer empties all.

    Attributes
    ----------
    base_c
        Shape (bases,), rising. [degC]
    sum_kd
        Shape (areas, bases, winters, days + 1): degree-days up to the evening of day t; entry 0 is the
        evening the levels stand for. [K·d]
    squares_k2d
        Shape (areas, bases, winters): sum of the squared degree-days of all days. [K²·d]
    """

    base_c: Floats
    sum_kd: Floats
    squares_k2d: Floats

    @property
    def areas(self) -> int:
        """Number of weather areas."""
        return int(self.sum_kd.shape[0])

    @property
    def winters(self) -> int:
        """Number of possible winters."""
        return int(self.sum_kd.shape[2])

    @property
    def days(self) -> int:
        """Days looked ahead."""
        return int(self.sum_kd.shape[3]) - 1

    def row_of(self, base_c: Floats) -> Ints:
        """Return the row of each base temperature: the nearest one of the table, any shape."""
        middle = 0.5 * (self.base_c[1:] + self.base_c[:-1])
        return np.searchsorted(middle, base_c).astype(np.int64)


def winter_tables(mean_c: Floats, base_c: Floats) -> WinterTables:
    """Return the tables of some areas.

    Parameters
    ----------
    mean_c
        Shape (areas, winters, days): daily means from the day after the levels on; row p of each area is one
        winter. [degC]
    base_c
        Base temperatures that are needed, any shape and order. [degC]

    Degree-days are max(0, base − daily mean), the daily-mean method.
    """
    if mean_c.ndim != 3 or 0 in mean_c.shape:
        raise OutlookError(f"mean_c must have the shape (areas, winters, days), not {mean_c.shape}")
    if not np.isfinite(mean_c).all():
        raise OutlookError("a winter has days without a temperature; fill the gaps first")
    bases = np.unique(base_c)
    areas, winters, days = mean_c.shape
    sums = np.zeros((areas, len(bases), winters, days + 1))
    squares = np.empty((areas, len(bases), winters))
    for i, base in enumerate(bases):
        daily = np.maximum(0.0, base - mean_c)
        np.cumsum(daily, axis=2, out=sums[:, i, :, 1:])
        squares[:, i] = (daily**2).sum(axis=2)
    return WinterTables(bases, sums, squares)
