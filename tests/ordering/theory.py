"""Ordering theory in closed form and short exact programmes, which the optimum must meet in special cases.

Amounts are in any one unit, money in any one money, demand and holding cost per the same period. Sources:
Snyder & Shen, *Fundamentals of Supply Chain Theory* (the forms); Wagner & Whitin 1958; Zheng & Federgruen
1991.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Lot:
    """A lot size and what it costs per period; `backordered_share` is the share of demand served late."""

    amount: float
    cost: float
    backordered_share: float = 0.0


@dataclass(frozen=True)
class Lots:
    """An amount for every period, shape (periods,), and the cost of all of them."""

    amounts: Floats
    cost: float


@dataclass(frozen=True)
class Level:
    """A level to order up to and the expected cost per period."""

    level: float
    cost: float


@dataclass(frozen=True)
class TwoLevels:
    """Order up to `up_to` when the position is `order_at` or less; expected cost per period."""

    order_at: int
    up_to: int
    cost: float


@dataclass(frozen=True)
class LotAndPoint:
    """A lot size, the level at which to order, its safety stock, and the expected cost per period."""

    amount: float
    order_at: float
    safety: float
    cost: float


def _positive(**values: float) -> None:
    """Refuse zero and less, and what is not a number."""
    for name, value in values.items():
        if not value > 0 or math.isinf(value):
            raise ValueError(f"{name} must be above zero and finite, not {value:g}")


def lot_size(fixed: float, holding: float, demand: float) -> Lot:
    """Return the economic order quantity: Q = √(2KD/h), cost √(2KDh)."""
    _positive(fixed=fixed, holding=holding, demand=demand)
    return Lot(math.sqrt(2 * fixed * demand / holding), math.sqrt(2 * fixed * demand * holding))


def lot_size_backorders(fixed: float, holding: float, demand: float, penalty: float) -> Lot:
    """Return the lot size when demand may wait: Q = √(2KD(h+p)/(hp)), x = h/(h+p), cost √(2KDhp/(h+p))."""
    _positive(fixed=fixed, holding=holding, demand=demand, penalty=penalty)
    both = holding + penalty
    amount = math.sqrt(2 * fixed * demand * both / (holding * penalty))
    return Lot(amount, math.sqrt(2 * fixed * demand * holding * penalty / both), holding / both)


def _checked_breaks(breaks: Sequence[float], prices: Sequence[float]) -> None:
    """Refuse breaks and prices that do not belong together."""
    if len(breaks) != len(prices) or not len(prices):
        raise ValueError(f"each break needs a price: {len(breaks)} breaks, {len(prices)} prices")
    if breaks[0] != 0 or any(b <= a for a, b in itertools.pairwise(breaks)):
        raise ValueError(f"breaks must begin at 0 and rise, not {list(breaks)}")


def lot_size_all_units(
    fixed: float, holding_share: float, demand: float, breaks: Sequence[float], prices: Sequence[float]
) -> Lot:
    """Return the lot size when the price of every unit falls at each break; the cost holds the purchase.

    cost(Q) = cD + KD/Q + icQ/2 with the price c of the bracket of Q; the best Q of a bracket is its √ formula
    or its lower end.
    """
    _checked_breaks(breaks, prices)
    _positive(fixed=fixed, holding_share=holding_share, demand=demand)
    best = Lot(0.0, math.inf)
    for low, high, price in zip(breaks, [*breaks[1:], math.inf], prices, strict=True):
        amount = max(low, math.sqrt(2 * fixed * demand / (holding_share * price)))
        if amount >= high:
            continue  # the bracket's own optimum lies beyond it, where the next bracket is cheaper
        cost = price * demand + fixed * demand / amount + holding_share * price * amount / 2
        best = min(best, Lot(amount, cost), key=lambda lot: lot.cost)
    return best


def lot_size_incremental(
    fixed: float, holding_share: float, demand: float, breaks: Sequence[float], prices: Sequence[float]
) -> Lot:
    """Return the lot size when only the units beyond each break cost less; the cost holds the purchase.

    A lot of bracket j costs c̄ + c_j·Q with c̄ = Σ (c_{i−1} − c_i)·b_i, so Q = √(2(K + c̄)D/(i·c_j)).
    """
    _checked_breaks(breaks, prices)
    _positive(fixed=fixed, holding_share=holding_share, demand=demand)
    best, extra = Lot(0.0, math.inf), 0.0
    for j, (low, price) in enumerate(zip(breaks, prices, strict=True)):
        if j:
            extra += (prices[j - 1] - price) * low
        amount = math.sqrt(2 * (fixed + extra) * demand / (holding_share * price))
        high = breaks[j + 1] if j + 1 < len(breaks) else math.inf
        if not low <= amount < high:
            continue
        cost = price * demand + holding_share * extra / 2
        cost += (fixed + extra) * demand / amount + holding_share * price * amount / 2
        best = min(best, Lot(amount, cost), key=lambda lot: lot.cost)
    return best


def lots_over_time(
    demand: Sequence[float],
    fixed: float | Sequence[float],
    holding: float | Sequence[float],
    price: float | Sequence[float] = 0.0,
) -> Lots:
    """Return the cheapest lots for a known demand (Wagner–Whitin): each lot covers whole periods.

    θ(t) = min over s > t of K_t + Σ_{t≤i<s} d_i·(c_t + Σ_{t≤j<i} h_j) + θ(s), holding charged on the stock at
    the end of each period.
    """
    d = np.asarray(demand, float)
    n = len(d)
    if n == 0 or np.any(d < 0):
        raise ValueError("demand needs at least one period and no value below zero")
    k, h, c = (np.broadcast_to(np.asarray(x, float), (n,)) for x in (fixed, holding, price))
    best = np.append(np.full(n, np.inf), 0.0)
    until = np.zeros(n, dtype=int)
    for t in range(n - 1, -1, -1):
        carried = np.concatenate(([0.0], np.cumsum(h[t : n - 1])))
        running = k[t] + np.cumsum(d[t:] * (c[t] + carried))
        if d[t] == 0 and best[t + 1] <= np.min(running + best[t + 1 :]):
            best[t], until[t] = best[t + 1], -1  # nothing to order for
            continue
        s = int(np.argmin(running + best[t + 1 :]))
        best[t], until[t] = running[s] + best[t + 1 + s], t + 1 + s
    amounts, t = np.zeros(n), 0
    while t < n:
        if until[t] < 0:
            t += 1
            continue
        amounts[t] = d[t : until[t]].sum()
        t = until[t]
    return Lots(amounts, float(best[0]))


def newsvendor_normal(holding: float, penalty: float, mean: float, sd: float) -> Level:
    """Return the single-period level for normal demand: Φ(z) = p/(h+p), S = μ + zσ, cost (h+p)·σ·φ(z)."""
    _positive(holding=holding, penalty=penalty, mean=mean, sd=sd)
    z = NormalDist().inv_cdf(penalty / (holding + penalty))
    return Level(mean + z * sd, (holding + penalty) * sd * NormalDist().pdf(z))


def base_stock_normal(holding: float, penalty: float, mean: float, sd: float, lead_time: int) -> Level:
    """Return the base stock for normal demand per period: a lead time of L covers L+1 periods of review."""
    if lead_time < 0:
        raise ValueError(f"a lead time cannot be below zero, not {lead_time}")
    periods = lead_time + 1
    return newsvendor_normal(holding, penalty, mean * periods, sd * math.sqrt(periods))


def poisson_shares(mean: float, most: int) -> Floats:
    """Return P(D = 0 … most) of a Poisson demand, shape (most + 1,)."""
    _positive(mean=mean)
    n = np.arange(most + 1)
    logs = n * math.log(mean) - mean - np.concatenate(([0.0], np.cumsum(np.log(np.arange(1, most + 1)))))
    out: Floats = np.exp(logs)
    return out


def _poisson_most(mean: float) -> int:
    """A count beyond which the Poisson tail is far below a double's last digit."""
    return int(mean + 12 * math.sqrt(mean) + 30)


def poisson_cost(holding: float, penalty: float, mean: float, level: int) -> float:
    """Return the expected holding and shortage cost of one period from a level, which may be below zero."""
    share = poisson_shares(mean, _poisson_most(mean))
    n = np.arange(len(share))
    return float(share @ (holding * np.maximum(level - n, 0) + penalty * np.maximum(n - level, 0)))


def newsvendor_poisson(holding: float, penalty: float, mean: float) -> Level:
    """Return the smallest level whose chance of covering a Poisson demand reaches p/(h+p), and its cost."""
    _positive(holding=holding, penalty=penalty)
    cover = np.cumsum(poisson_shares(mean, _poisson_most(mean)))
    level = int(np.argmax(cover >= penalty / (holding + penalty)))
    return Level(level, poisson_cost(holding, penalty, mean, level))


def two_levels_poisson(holding: float, penalty: float, fixed: float, mean: float) -> TwoLevels:
    """Return the optimal (s, S) for Poisson demand and back-orders by the search of Zheng & Federgruen 1991.

    c(s, S) = [K + Σ_j m(j)·G(S−j)] / M(S−s), with m the renewal density of demand; order when the position is
    s or less. Without lead time.
    """
    _positive(holding=holding, penalty=penalty, fixed=fixed, mean=mean)
    share = poisson_shares(mean, _poisson_most(mean))
    known: dict[int, float] = {}

    def one_period(y: int) -> float:
        if y not in known:
            known[y] = poisson_cost(holding, penalty, mean, y)
        return known[y]

    renewal = [1 / (1 - float(share[0]))]

    def density(j: int) -> float:
        while len(renewal) <= j:
            n = len(renewal)
            past = sum(float(share[i]) * renewal[n - i] for i in range(1, min(n, len(share) - 1) + 1))
            renewal.append(past / (1 - float(share[0])))
        return renewal[j]

    def cost(s: int, up_to: int) -> float:
        periods = [density(j) for j in range(up_to - s)]
        return (fixed + sum(m * one_period(up_to - j) for j, m in enumerate(periods))) / sum(periods)

    best_level = int(newsvendor_poisson(holding, penalty, mean).level)
    s = best_level - 1
    while cost(s, best_level) > one_period(s):
        s -= 1
    up_to, best = best_level, cost(s, best_level)
    candidate = best_level + 1
    while one_period(candidate) <= best:
        if cost(s, candidate) < best:
            up_to = candidate
            while cost(s, up_to) <= one_period(s + 1):
                s += 1
            best = cost(s, up_to)
        candidate += 1
    return TwoLevels(s, up_to, best)


def lot_and_point_normal(
    fixed: float, holding: float, penalty: float, demand: float, lead_mean: float, lead_sd: float
) -> LotAndPoint:
    """Return (Q, R) for normal demand in the lead time and a penalty for each unit short.

    Q = √(2D(K + p·n(R))/h) and 1 − F(R) = Qh/(pD) in turn until neither moves; n(R) = σ·[φ(z) − z(1−Φ(z))].
    """
    _positive(fixed=fixed, holding=holding, penalty=penalty, demand=demand, lead_sd=lead_sd)
    normal = NormalDist()
    amount = lot_size(fixed, holding, demand).amount
    for _ in range(200):
        late_share = amount * holding / (penalty * demand)
        if late_share >= 1:
            raise ValueError("the penalty is too small to keep any stock for: no reorder level exists")
        z = normal.inv_cdf(1 - late_share)
        short = lead_sd * (normal.pdf(z) - z * late_share)
        before, amount = amount, math.sqrt(2 * demand * (fixed + penalty * short) / holding)
        if abs(amount - before) < 1e-12 * amount:
            break
    safety = z * lead_sd
    cost = holding * (amount / 2 + safety) + (fixed + penalty * short) * demand / amount
    return LotAndPoint(amount, lead_mean + safety, safety, cost)
