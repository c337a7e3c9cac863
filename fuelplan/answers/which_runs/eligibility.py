"""Which tanker may serve whom on which day, and on which days somebody is to be served."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from fuelplan.records.round import Round, carried, reach_of

if TYPE_CHECKING:
    from fuelplan.answers.round.rows import OrderRow

Bools = NDArray[np.bool_]


def eligibility(round_: Round, rows: Sequence[OrderRow], days: Sequence[date]) -> tuple[Bools, Bools]:
    """Return which tankers may serve which rows on which days (N, T, V), and which days must (N, T).

    What stands in the way of one of the customers who share a drop stands in the way of the drop.
    """
    c, table = round_.customers, round_.table
    reach = reach_of(table, c).ok
    carries = np.array(
        [[k in carried(table, v) for k in table.classes] for v in range(len(table.tankers))], bool
    )
    weekday, day = [d.weekday() for d in days], np.array(days, "datetime64[D]")
    may = np.zeros((len(rows), len(days), len(table.tankers)), bool)
    for n, row in enumerate(rows):
        who = list(row.customers)
        ok = reach[who].all(axis=0) & c.takes[who, row.grade].all() & carries[:, row.grade]
        takes = np.asarray(c.weekdays[who].all(axis=0))
        there = ~(day[:, None] > c.left_on[who]).any(axis=1)
        may[n] = (takes[weekday] & there)[:, None] & ok[None, :]
    must = np.zeros((len(rows), len(days)), bool)
    names = [k.name for k in table.tankers]
    homes = [k.depot for k in table.tankers]
    for n, row in enumerate(rows):
        ids = {str(c.id[i]) for i in row.customers}
        mine = [w for w in round_.wishes if w.customer in ids]
        for w in (w for w in mine if w.wish == "forbid"):
            _wish(may, must, n, w.wish, w.day, w.tanker, days, names)
        for h in round_.happenings:
            hit = [h.day <= d <= h.until for d in days]
            if h.what == "failed drop" and h.customer in ids:
                may[n, hit] = False
            elif h.what == "depot out of stock" and (h.grade is None or h.grade == table.classes[row.grade]):
                for v in (v for v, home in enumerate(homes) if home == h.depot):
                    may[n, hit, v] = False
        first = max((o.first or date.min for o in row.orders), default=date.min)
        asked = (w for w in mine if w.wish != "forbid" and (w.day is None or w.day >= first))
        for w in asked:  # of what is left open
            _wish(may, must, n, w.wish, w.day, w.tanker, days, names)
    return may, must & may.any(axis=2)


def _wish(
    may: Bools,
    must: Bools,
    n: int,
    wish: str,
    day: date | None,
    tanker: str | None,
    days: Sequence[date],
    names: Sequence[str],
) -> None:
    """Let one wish count for one row: `forbid` shuts days or tankers, the others open nothing else.

    What cannot be kept on any account shuts nothing: the row is planned without it.
    """
    at = [t for t, d in enumerate(days) if day is None or d == day]
    by = [v for v, name in enumerate(names) if tanker is None or name == tanker]
    if wish == "forbid":
        may[np.ix_([n], at, by)] = False
        return
    if not at or not may[np.ix_([n], at, by)].any():
        return
    keep = np.zeros(may.shape[1:], bool)
    keep[np.ix_(at, by)] = True
    may[n] &= keep if day is not None else np.broadcast_to(keep.any(axis=0), keep.shape)
    if day is not None:
        must[n, at] = True
