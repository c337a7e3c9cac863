"""Random numbers that belong to a calendar day: an answer asked again tomorrow rests on the same ones.

Were they drawn anew from each first day on, every day's answer would rest on other paths, and a date whose
risk hardly changes with the season would jump by months overnight although nothing had happened.
"""

from __future__ import annotations

import numpy as np

from fuelplan.weather.record import Dates, Floats

LONGEST_MONTH = 31


def steady_normals(dates: Dates, rows: int, seed: int, parts: int = 1) -> Floats:
    """Return standard normal numbers, shape (rows, days, parts), the same for the same day, row and seed.

    Parameters
    ----------
    dates
        Days in a row, datetime64.
    rows
        How many; the first rows stay the same when more are asked for.
    seed
        Each month's stream begins from it, so that no day hangs on those asked before.
    parts
        Numbers a day.

    Returns
    -------
    array
        Independent draws of mean 0 and deviation 1. [-]
    """
    months = dates.astype("datetime64[M]")
    pieces = []
    for month in np.unique(months):
        stream = np.random.default_rng([seed, int(month.astype(np.int64))])
        drawn = stream.standard_normal((rows, LONGEST_MONTH, parts))
        of_month = (dates[months == month] - month.astype("datetime64[D]")).astype(np.int64)
        pieces.append(drawn[:, of_month])
    return np.concatenate(pieces, axis=1)
