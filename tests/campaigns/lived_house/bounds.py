"""How sure a counted share is: exact binomial bounds (Clopper and Pearson 1934)."""

from __future__ import annotations

import math
from collections.abc import Callable

SURE = 0.95


def at_most(count: int, tried: int, share: float) -> float:
    """Return the chance of `count` or fewer in `tried` at a true share."""
    if share <= 0:
        return 1.0
    if share >= 1:
        return 1.0 if count >= tried else 0.0
    logs = [
        math.lgamma(tried + 1)
        - math.lgamma(k + 1)
        - math.lgamma(tried - k + 1)
        + k * math.log(share)
        + (tried - k) * math.log1p(-share)
        for k in range(count + 1)
    ]
    top = max(logs)
    return min(1.0, math.exp(top) * math.fsum(math.exp(x - top) for x in logs))


def binomial_bounds(count: int, tried: int) -> tuple[float, float]:
    """Return the two-sided 95 % bounds of a share; 0 to 1 where nothing was tried."""
    if tried == 0:
        return 0.0, 1.0
    tail = (1 - SURE) / 2
    low = 0.0 if count == 0 else _solve(lambda p: 1 - at_most(count - 1, tried, p) - tail)
    high = 1.0 if count == tried else _solve(lambda p: tail - at_most(count, tried, p))
    return low, high


def _solve(rising: Callable[[float], float]) -> float:
    """Return where a function that rises from below zero to above it crosses zero, on 0 to 1."""
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2
