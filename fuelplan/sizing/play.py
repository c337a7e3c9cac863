"""Every store size through every winter with a monthly (s, S) rule, one year carried into the next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import message
from fuelplan.sizing.inputs import OrderRule, Sizes, SizingError, StoreCosts

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

CHEAP = 0.98  # months whose price is at most this share of the year's are cheap ones


@dataclass(frozen=True)
class Played:
    """What became of every lane (size, with or without a summer filling); shapes (winters, lanes).

    Attributes
    ----------
    deliveries, delivered_kg, paid
        Number of deliveries, what they brought, what they cost. [-, kg, money]
    lowest_kg, mean_kg
        Lowest and mean usable stock of the year. [kg]
    unmet_kg, below_reserve_days
        Demand with an empty store, and days below the reserve. [kg, days]
    end_kg
        Usable stock at the year's end. [kg]
    s_kg
        Shape (winters, looks): the s of each look. [kg]
    levels_kg, came_kg
        Shape (winters, days, lanes), where asked for: stock on the evening of each day, and what came on
        it. [kg]
    """

    deliveries: Ints
    delivered_kg: Floats
    paid: Floats
    lowest_kg: Floats
    mean_kg: Floats
    unmet_kg: Floats
    below_reserve_days: Ints
    end_kg: Floats
    start_kg: Floats
    s_kg: Floats
    levels_kg: Floats | None
    came_kg: Floats | None


def looks(first_day: date, days: int) -> tuple[Ints, Ints]:
    """Return day index and calendar month (0..11) of each first of a month."""
    dates = [first_day + timedelta(days=i) for i in range(days)]
    at = [i for i, d in enumerate(dates) if d.day == 1]
    return np.array(at), np.array([dates[i].month - 1 for i in at])


def demand_until_next(demand_kg: Floats, at: Ints, lead_days: int) -> tuple[Floats, Floats]:
    """Return what each winter takes from each look to the next look's delivery, and to this look's delivery.

    Shapes (winters, looks). The year is closed to a ring, so that the last look sees the same winter's
    beginning. [kg]
    """
    days = demand_kg.shape[1]
    total = np.cumsum(np.concatenate([np.zeros((len(demand_kg), 1)), demand_kg, demand_kg], axis=1), axis=1)
    following = np.append(at[1:], days + at[0]) + lead_days
    return total[:, following] - total[:, at], total[:, at + lead_days] - total[:, at]


def without_own(values: Floats, quantile: float) -> Floats:
    """Quantile over all winters but one's own: no winter is planned with its own weather. Shape as given."""
    n = len(values)
    if n == 1:
        raise SizingError(
            message(
                "sizing.one_winter",
                "one winter cannot be planned without itself; give at least two, better twenty",
            )
        )
    keep = ~np.eye(n, dtype=bool)
    return np.array([np.quantile(values[keep[w]], quantile, axis=0) for w in range(n)])


def play(
    demand_kg: Floats,
    sizes: Sizes,
    rule: OrderRule,
    costs: StoreCosts,
    *,
    first_day: date,
    keep: bool = False,
) -> Played:
    """Play every size, without (first half of the lanes) and with (second half) a summer filling.

    Parameters
    ----------
    demand_kg
        Shape (winters, days): whole years, each beginning on the calendar day of `first_day`. [kg]
    keep
        Keep the level of every day.

    Raises
    ------
    SizingError
        Demand that is negative or unknown, or years that are none.
    """
    demand = _checked(demand_kg)
    winters, days = demand.shape
    at, month = looks(first_day, days)
    to_next, to_delivery = demand_until_next(demand, at, rule.lead_days)
    s_kg = rule.reserve_kg + without_own(to_next, 1 - rule.risk_limit)
    least_use = without_own(to_delivery, 0.05)
    lanes = _Lanes(sizes, rule, costs)
    lanes.start(winters, days, keep)
    look_at = {int(d): k for k, d in enumerate(at)}
    brought_on = {int(d + rule.lead_days) % days for d in at}
    stops = sorted({0, *look_at, *brought_on})
    for w in range(winters):
        lanes.begin(w)
        for d, until in zip(stops, [*stops[1:], days], strict=True):
            if d in brought_on:
                lanes.deliver(w, d)
            k = look_at.get(d)
            if k is not None:
                lanes.look(float(s_kg[w, k]), float(least_use[w, k]), int(month[k]))
            lanes.burn(w, d, demand[w, d:until])
        lanes.end(w, days)
    return lanes.played(s_kg)


def _checked(demand_kg: Floats) -> Floats:
    demand = np.asarray(demand_kg, float)
    if demand.ndim != 2 or demand.shape[1] not in (365, 366):
        raise SizingError(f"demand_kg has the shape {demand.shape}; it must be (winters, 365 days)")
    if not (np.all(np.isfinite(demand)) and np.all(demand >= 0)):
        raise SizingError("demand_kg holds negative or unknown values; fill the gaps in the weather first")
    if not demand.sum() > 0:
        raise SizingError(
            message("sizing.nothing_to_store", "demand_kg is zero on every day: there is nothing to store")
        )
    return demand


class _Lanes:
    """The stocks of all sizes, without and with a summer filling.

    All lanes look on the same days, so that their deliveries come on the same days too.
    """

    def __init__(self, sizes: Sizes, rule: OrderRule, costs: StoreCosts) -> None:
        self.rule, self.costs = rule, costs
        self.sure_kg = np.tile(sizes.sure_kg, 2)
        self.usable_kg = np.tile(np.maximum(sizes.usable_kg, sizes.sure_kg), 2)
        self.doubt_kg = rule.doubt_share * self.usable_kg
        self.summer = np.repeat([False, True], len(sizes))
        n = len(self.sure_kg)
        self.level_kg = self.sure_kg.copy()
        self.coming_kg = np.zeros(n)
        self.price = np.zeros(n)

    def start(self, winters: int, days: int, keep: bool) -> None:
        n = len(self.level_kg)
        self.deliveries, self.below = (np.zeros((winters, n), dtype=np.int64) for _ in range(2))
        self.delivered, self.paid, self.lowest, self.mean, self.unmet, self.ends, self.starts = (
            np.zeros((winters, n)) for _ in range(7)
        )
        self.levels = np.zeros((winters, days, n)) if keep else None
        self.came = np.zeros((winters, days, n)) if keep else None

    def begin(self, w: int) -> None:
        self.starts[w] = self.level_kg
        self.lowest[w] = self.level_kg

    def look(self, s_kg: float, least_use_kg: float, month: int) -> None:
        """Order where the level is at or below s, or where it is cheap and the smallest drop fits."""
        rule = self.rule
        season = self.costs.season[month]
        low = self.level_kg - self.doubt_kg <= s_kg
        room = self.sure_kg - (self.level_kg + self.doubt_kg - np.minimum(least_use_kg, self.level_kg))
        amount = np.floor(np.minimum(room, rule.largest_drop_kg) / rule.step_kg + 1e-9) * rule.step_kg
        orders = (low | (self.summer & (season <= CHEAP))) & (amount >= rule.smallest_drop_kg)
        self.coming_kg = np.where(orders, amount, 0.0)
        factor = self.costs.drop_factor(np.where(orders, amount, rule.smallest_drop_kg))
        self.price = self.costs.price_per_kg * season * factor

    def deliver(self, w: int, d: int) -> None:
        """Take in what comes today, before anyone looks."""
        accepted = np.minimum(self.coming_kg, self.usable_kg - self.level_kg)
        self.level_kg = self.level_kg + accepted
        self.deliveries[w] += accepted > 0
        self.delivered[w] += accepted
        self.paid[w] += accepted * self.price
        self.coming_kg = np.zeros_like(accepted)
        if self.came is not None:
            self.came[w, d] = accepted

    def burn(self, w: int, d: int, demand_kg: Floats) -> None:
        """Burn for a run of days on which nothing comes: the level only falls, so all days are known at
        once."""
        asked = np.cumsum(demand_kg)
        levels = np.maximum(0.0, self.level_kg - asked[:, None])
        self.unmet[w] += np.maximum(0.0, asked[-1] - self.level_kg)
        self.below[w] += (levels < self.rule.reserve_kg).sum(axis=0)
        self.mean[w] += levels.sum(axis=0)
        self.level_kg = levels[-1]
        np.minimum(self.lowest[w], self.level_kg, out=self.lowest[w])
        if self.levels is not None:
            self.levels[w, d : d + len(demand_kg)] = levels

    def end(self, w: int, days: int) -> None:
        self.mean[w] /= days
        self.ends[w] = self.level_kg

    def played(self, s_kg: Floats) -> Played:
        return Played(
            deliveries=self.deliveries,
            delivered_kg=self.delivered,
            paid=self.paid,
            lowest_kg=self.lowest,
            mean_kg=self.mean,
            unmet_kg=self.unmet,
            below_reserve_days=self.below,
            end_kg=self.ends,
            start_kg=self.starts,
            s_kg=s_kg,
            levels_kg=self.levels,
            came_kg=self.came,
        )
