"""The outlook worked out day by day in plain numpy: what the compiled way must equal."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.outlook.draws import CustomerDraws, CustomerStores
from fuelplan.dispatch.outlook.tables import Floats, Ints, WinterTables


def burned_kg(tables: WinterTables, area: Ints, draws: CustomerDraws) -> Floats:
    """Return what has been burned by each evening, shape (customers, draws, days + 1). [kg]

    U = slope · degree-days + daily part · days; day-to-day noise moves it to max(0, U + e·√U) with
    e = shake · √(Σu²/Σu): one normal deviate for each draw, of the size that independent days add up to.
    """
    u, spread = _signature_kg(tables, area, draws)
    return np.maximum(0.0, u + spread[..., None] * np.sqrt(u))


def _signature_kg(tables: WinterTables, area: Ints, draws: CustomerDraws) -> tuple[Floats, Floats]:
    """Return U, shape (customers, draws, days + 1), and e, shape (customers, draws)."""
    row = tables.row_of(draws.base_c)
    winter = np.arange(draws.draws)[None, :] % tables.winters
    s, d = draws.kg_per_degree_day, draws.kg_per_day
    sums = tables.sum_kd[area[:, None], row, winter]
    u = s[..., None] * sums + d[..., None] * np.arange(tables.days + 1)
    squares = s * s * tables.squares_k2d[area[:, None], row, winter]
    squares = squares + 2.0 * s * d * sums[..., -1] + d * d * tables.days
    total = u[..., -1]
    mean_use = np.where(total > 0, squares / np.where(total > 0, total, 1.0), 0.0)
    return u, draws.shake * np.sqrt(mean_use)


def needed_kg(spread: Floats, taken_kg: Floats) -> Floats:
    """Return the U at which max(0, U + e·√U) reaches `taken_kg` (above 0): the larger root, squared. [kg]"""
    root = 0.5 * (np.sqrt(spread * spread + 4.0 * taken_kg) - spread)
    return root * root


def first_days(u: Floats, spread: Floats, taken_kg: Floats) -> Ints:
    """Return the first evening on which `taken_kg` is burned, days + 1 where none is; shape (…).

    `u` has the shape (…, days + 1), the others (…). 0 or less is burned on evening 0.
    """
    reached = u >= needed_kg(spread, np.maximum(taken_kg, 0.0))[..., None]
    reached[..., 0] |= taken_kg <= 0
    first: Ints = np.where(reached.any(axis=-1), reached.argmax(axis=-1), u.shape[-1])
    return first


def outlook_of_draws(
    tables: WinterTables, store: CustomerStores, draws: CustomerDraws, week_ends: Ints, groups: int = 1
) -> tuple[Ints, Ints, Floats, Floats]:
    """Return the counts of draws by their first evening, and tonnes by week.

    Returns
    -------
    tuple
        Draws empty first on each evening and below the reserve first on each evening, each of shape
        (customers, days + 2), the last entry for draws that hold out; then what is burned and what must be
        delivered in each week, summed over the customers of each group, both of shape (groups, draws,
        weeks). [kg]
    """
    u, spread = _signature_kg(tables, store.area, draws)
    burned = np.maximum(0.0, u + spread[..., None] * np.sqrt(u))
    empty = first_days(u, spread, draws.level_kg)
    below = first_days(u, spread, draws.level_kg - store.reserve_kg[:, None])
    ends = np.concatenate([[0], week_ends])
    each = np.diff(burned[..., ends], axis=-1)
    member = store.group_of == np.arange(groups)[:, None]
    weekly = np.stack([each[mine].sum(axis=0) for mine in member])
    delivered = _deliveries(u, spread, burned, store, draws.level_kg, below, week_ends, member)
    last = tables.days + 1
    return _counts(empty, last), _counts(below, last), weekly, delivered


def _deliveries(
    u: Floats,
    spread: Floats,
    burned: Floats,
    store: CustomerStores,
    level_kg: Floats,
    below: Ints,
    week_ends: Ints,
    member: NDArray[np.bool_],
) -> Floats:
    """Return what must come in each week if everybody is filled on the day the reserve is reached. [kg]"""
    draws, weeks, days = level_kg.shape[1], len(week_ends), u.shape[-1] - 1
    out = np.zeros((len(member), draws, weeks))
    fill, room = store.fill_kg[:, None], (store.fill_kg - store.reserve_kg)[:, None]
    due, level = below, level_kg.copy()  # level: what there would be had nothing been burned
    while (open_ := due <= days).any():
        day = np.minimum(due, days)
        taken = np.take_along_axis(burned, day[..., None], axis=-1)[..., 0]
        amount = np.where(open_, fill - (level - taken), 0.0)
        week = np.searchsorted(week_ends, np.maximum(day, 1))
        for w in range(weeks):
            now = np.where(open_ & (week == w), amount, 0.0)
            for g, mine in enumerate(member):
                out[g, :, w] += now[mine].sum(axis=0)
        level = np.where(open_, fill + taken, level)
        again = np.maximum(first_days(u, spread, taken + room), day + 1)
        due = np.where(open_, again, days + 1)
    return out


def _counts(first: Ints, last: int) -> Ints:
    """Return how many draws fall on each evening, shape (customers, last + 1)."""
    offset = np.arange(len(first))[:, None] * (last + 1)
    flat = np.bincount((first + offset).ravel(), minlength=len(first) * (last + 1))
    return flat.reshape(len(first), last + 1)
