"""What a replay says: rates and costs with intervals clustered by winter, since all houses share a winter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class WinterInterval:
    """A mean and its 95 % interval."""

    mean: float
    low: float
    high: float


def ratio(events: Floats, cases: Floats) -> WinterInterval:
    """Return Σ events / Σ cases with an interval clustered by winter.

    Linearised variance of a ratio over clusters: Y/(Y−1)·Σ(e_y − r·c_y)² / (Σc)², with Student's t of Y−1.
    Twenty winters cannot bound a rate that none of them showed: with no event the upper end is the 5 % point
    of "none in Y winters", 1 − 0.05^(1/Y), as if each winter were one case.

    Parameters
    ----------
    events, cases
        Shape (winters,).

    Raises
    ------
    ValueError
        For fewer than two winters, or none with a case in it.
    """
    winters = len(events)
    total = float(cases.sum())
    if winters < 2 or total <= 0:
        raise ValueError("an interval by winter needs at least two winters with cases in them")
    rate = float(events.sum()) / total
    if events.sum() == 0:
        return WinterInterval(0.0, 0.0, 1 - 0.05 ** (1 / winters))
    spread = float(np.sqrt(winters / (winters - 1) * np.sum((events - rate * cases) ** 2))) / total
    half = _student(winters - 1) * spread
    return WinterInterval(rate, max(0.0, rate - half), rate + half)


def mean_over_winters(values: Floats) -> WinterInterval:
    """Return the mean of one value a winter with its 95 % interval by Student's t.

    Parameters
    ----------
    values
        Shape (winters,), in any unit.

    Raises
    ------
    ValueError
        For fewer than two winters.
    """
    if len(values) < 2:
        raise ValueError("an interval by winter needs at least two winters")
    mean = float(values.mean())
    half = _student(len(values) - 1) * float(values.std(ddof=1)) / np.sqrt(len(values))
    return WinterInterval(mean, mean - half, mean + half)


def _student(freedom: int) -> float:
    """97.5 % point of Student's t."""
    from scipy.stats import t

    return float(t.ppf(0.975, freedom))
