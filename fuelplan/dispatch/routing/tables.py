"""The tables of the places that a day uses, as floats for the check and as whole numbers for the solver."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.routing.day import Stop, Tanker


@dataclass(frozen=True)
class Tables:
    """Distances and times of the places in use; `rows` are the rows of the caller's tables.

    `km`, `h` map a caller's row to a dict of row → value: plain floats, which a loop over a few stops reads
    faster than an array.
    """

    rows: tuple[int, ...]
    km: dict[int, dict[int, float]]
    h: dict[int, dict[int, float]]
    metres: NDArray[np.int64]
    seconds: NDArray[np.int64]
    no_road: NDArray[np.bool_]


def tables_of(
    stops: Sequence[Stop],
    tankers: Sequence[Tanker],
    km: NDArray[np.floating],
    hours: NDArray[np.floating],
) -> Tables:
    """Cut the caller's tables to the places of this day.

    Seconds are rounded up, so that a plan that keeps its times in whole seconds keeps them exactly.
    """
    used = {s.place for s in stops}
    for t in tankers:
        used |= {t.place, *t.reload_places}
    rows = sorted(used)
    if rows and not 0 <= rows[0] <= rows[-1] < len(km):
        raise ValueError(
            f"place {rows[0] if rows[0] < 0 else rows[-1]} is not in a table of {len(km)} places"
        )
    part = np.ix_(rows, rows)
    d = np.asarray(km, dtype=np.float64)[part]
    t_h = np.asarray(hours, dtype=np.float64)[part]
    if np.isnan(d).any() or np.isnan(t_h).any() or (d < 0).any() or (t_h < 0).any():
        raise ValueError("distances and times must be 0 or more; write inf where there is no road")
    no_road = ~(np.isfinite(d) & np.isfinite(t_h))
    metres = np.rint(np.where(no_road, 0.0, d) * 1000.0).astype(np.int64)
    seconds = np.ceil(np.where(no_road, 0.0, t_h) * 3600.0 - 1e-6).astype(np.int64)
    return Tables(
        rows=tuple(rows),
        km={r: dict(zip(rows, line, strict=True)) for r, line in zip(rows, d.tolist(), strict=True)},
        h={r: dict(zip(rows, line, strict=True)) for r, line in zip(rows, t_h.tolist(), strict=True)},
        metres=metres,
        seconds=seconds,
        no_road=no_road,
    )
