"""The shortest order of a few stops: a small help where only the way counts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

MOST_EXACT = 10


def best_order(
    places: Sequence[int], km: NDArray[np.floating], start: int, end: int | None = None
) -> tuple[list[int], float]:
    """Return the order of `places` that makes the way from `start` through all of them to `end` shortest.

    Parameters
    ----------
    places
        Rows of `km`; two may be equal.
    km
        Shape (n, n), row = from, column = to; need not be symmetric.
    start, end
        Rows of `km`; `end` is `start` where None.

    Returns
    -------
    (order, km)
        Positions in `places`, and the length of the way. Exact for up to 10 places (Held and Karp 1962),
        beyond that the nearest place next, bettered by moving places and turning pieces round until neither
        helps.
    """
    end = start if end is None else end
    n = len(places)
    if n == 0:
        return [], float(km[start, end])
    rows = list(places)
    between = np.asarray(km[np.ix_(rows, rows)], dtype=float)
    out = np.asarray(km[start, rows], dtype=float)
    back = np.asarray(km[rows, end], dtype=float)
    if n <= MOST_EXACT:
        return _exact(between, out, back)
    return _bettered(between, out, back)


def _exact(
    between: NDArray[np.float64], out: NDArray[np.float64], back: NDArray[np.float64]
) -> tuple[list[int], float]:
    """Return the shortest order by dynamic programming over sets of places."""
    n = len(out)
    sets = 1 << n
    best = np.full((sets, n), np.inf)
    before = np.full((sets, n), -1, dtype=np.int64)
    for j in range(n):
        best[1 << j, j] = out[j]
    for seen in range(1, sets):
        for j in range(n):
            if seen >> j & 1 and seen != 1 << j:
                rest = seen ^ (1 << j)
                ways = best[rest] + between[:, j]
                i = int(np.argmin(ways))
                best[seen, j] = ways[i]
                before[seen, j] = i
    ends = best[sets - 1] + back
    j = int(np.argmin(ends))
    length = float(ends[j])
    order = []
    seen = sets - 1
    while j >= 0:
        order.append(j)
        j, seen = int(before[seen, j]), seen ^ (1 << j)
    return order[::-1], length


def _bettered(
    between: NDArray[np.float64], out: NDArray[np.float64], back: NDArray[np.float64]
) -> tuple[list[int], float]:
    """Return a short order: nearest next, then moves and turns as long as they help."""
    n = len(out)
    order = [int(np.argmin(out))]
    left = set(range(n)) - set(order)
    while left:
        order.append(min(left, key=lambda j: (between[order[-1], j], j)))
        left.remove(order[-1])

    def length(o: list[int]) -> float:
        return float(out[o[0]] + between[o[:-1], o[1:]].sum() + back[o[-1]])

    best = length(order)
    helped = True
    while helped:
        helped = False
        for i in range(n):
            for j in range(n):
                moved = order[:i] + order[i + 1 :]
                moved.insert(j, order[i])
                turned = order[:i] + order[i : j + 1][::-1] + order[j + 1 :] if j > i else order
                for tried in (moved, turned):
                    km = length(tried)
                    if km < best - 1e-9:
                        order, best, helped = tried, km, True
    return order, best
