"""The best range of store sizes for a building, with the reason, beside the rules of thumb."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Number, Quantity, message
from fuelplan.sizing.inputs import OrderRule, Sizes, StoreCosts
from fuelplan.sizing.option import COST_TOLERANCE, SizeOption, winters_said
from fuelplan.sizing.play import Played, play
from fuelplan.sizing.rules import Thumb, kg_per_kw, order_mark_rule, rules_of_thumb
from fuelplan.sizing.why import why_best

Floats = NDArray[np.float64]

NOTICEABLE_KG = 1.0


@dataclass(frozen=True)
class SizingAnswer:
    """The store: every size, the best range, and why.

    Attributes
    ----------
    options
        In the order of the sizes asked for.
    best
        Index of the cheapest size that works; None where none does.
    best_range_m3
        Room of the smallest and the largest size as good as it; None where none works. [m3]
    why
        The reason.
    yearly_kg, yearly_low_kg, yearly_high_kg
        Mean use of a year, of the mildest and of the coldest. [kg]
    rule_kg
        Yearly use by the kg-per-kW rule. [kg]
    rule_off_share
        How far that rule is off the mean use: 0.3 is 30 % too much. [-]
    rules_of_thumb
        Each with how far it is off.
    order_mark
        The UK guide's rule for the order mark; None where no size works.
    worst_winter
        Index of the winter with the greatest use.
    """

    options: tuple[SizeOption, ...]
    best: int | None
    best_range_m3: tuple[float, float] | None
    why: Message
    yearly_kg: float
    yearly_low_kg: float
    yearly_high_kg: float
    rule_kg: float
    rule_off_share: float
    rules_of_thumb: tuple[Thumb, ...]
    order_mark: Message | None
    worst_winter: int


def size_store(
    demand_kg: Floats,
    sizes: Sizes,
    rule: OrderRule,
    costs: StoreCosts,
    *,
    first_day: date,
    load_kw: float,
    usual_load_kg: float | None = None,
    empty_risk_limit: float = 0.02,
    real_winters: int | None = None,
    with_rules: bool = True,
) -> SizingAnswer:
    """Find the best range of store sizes.

    Parameters
    ----------
    demand_kg
        Shape (winters, 365): whole years beginning on `first_day`'s calendar day, best in summer. [kg]
    sizes, rule, costs
        What is asked.
    load_kw
        Design heat load, for the rules of thumb. [kW]
    usual_load_kg
        The supplier's usual load; None for what the best size takes on average. [kg]
    empty_risk_limit
        Accepted share of years with an empty store. [0..1]
    real_winters
        How many of the winters, the first ones, are real; None where all are.
    with_rules
        Whether the trade's rules of thumb, which are of pellets, stand beside it.

    Raises
    ------
    SizingError
        Demand that is negative, unknown or not in whole years.
    """
    played = play(demand_kg, sizes, rule, costs, first_day=first_day)
    yearly = np.asarray(demand_kg, float).sum(axis=1)
    real = len(yearly) if real_winters is None else min(real_winters, len(yearly))
    options = tuple(
        _better(played, j, sizes, rule, costs, yearly, empty_risk_limit, real) for j in range(len(sizes))
    )
    best, low, high = _best_range(options, rule.reserve_kg)
    mean = float(yearly.mean())
    best_range_kg = None if best is None else (options[low].usable_kg, options[high].usable_kg)
    mark = None
    if best is not None:
        load_kg = usual_load_kg or options[best].mean_drop_kg
        mark = order_mark_rule(options[best].usable_kg, load_kg, float(played.s_kg.mean(axis=0).max()))
    return SizingAnswer(
        options=options,
        best=best,
        best_range_m3=None if best is None else (options[low].room_m3, options[high].room_m3),
        why=why_best(options, best, low, high, costs.currency),
        yearly_kg=mean,
        yearly_low_kg=float(yearly.min()),
        yearly_high_kg=float(yearly.max()),
        rule_kg=kg_per_kw() * load_kw,
        rule_off_share=kg_per_kw() * load_kw / mean - 1,
        rules_of_thumb=rules_of_thumb(load_kw, mean, best_range_kg) if with_rules else (),
        order_mark=mark,
        worst_winter=int(yearly.argmax()),
    )


def _better(
    played: Played,
    j: int,
    sizes: Sizes,
    rule: OrderRule,
    costs: StoreCosts,
    yearly: Floats,
    limit: float,
    real: int,
) -> SizeOption:
    """Return a size with the better of its two rules: with or without a summer filling."""
    n = len(sizes)
    both = [_option(played, j, lane, sizes, rule, costs, yearly, limit, real) for lane in (j, n + j)]
    return min(
        both, key=lambda o: (not o.works, o.yearly_cost if o.works else o.empty_winters, o.yearly_cost)
    )


def _option(
    played: Played,
    j: int,
    lane: int,
    sizes: Sizes,
    rule: OrderRule,
    costs: StoreCosts,
    yearly: Floats,
    limit: float,
    real: int,
) -> SizeOption:
    winters = len(yearly)
    unmet = played.unmet_kg[:, lane]
    empty = int((unmet > NOTICEABLE_KG).sum())
    drops, brought = int(played.deliveries[:, lane].sum()), float(played.delivered_kg[:, lane].sum())
    paid_per_kg = float(played.paid[:, lane].sum()) / brought if brought > 0 else costs.price_per_kg
    # what lies in the store at the end more or less than at the start is neither gained nor lost
    drawn = float(played.start_kg[0, lane] - played.end_kg[-1, lane])
    fuel = (float(played.paid[:, lane].sum()) + drawn * paid_per_kg) / winters
    fuel += float(unmet.mean()) * costs.price_per_kg * costs.emergency_factor
    store = float(costs.store_per_year(sizes.room_m3[j : j + 1])[0])
    tied_up = float(played.mean_kg[:, lane].mean()) * paid_per_kg
    money = tied_up * costs.interest
    below = int((played.lowest_kg[:, lane] < rule.reserve_kg - NOTICEABLE_KG).sum())
    problem = _problem(float(sizes.sure_kg[j]), rule, empty, winters_said(winters, real), limit * winters)
    if problem is None and below > limit * drops:
        problem = message(
            "sizing.falls_below_reserve",
            "falls below the reserve in {below} of {winters}, more than 1 order in {orders}: a drop fits too "
            "late",
            below=below,
            winters=winters_said(winters, real),
            orders=Number(1 / limit),
        )
    return SizeOption(
        room_m3=float(sizes.room_m3[j]),
        usable_m3=float(sizes.usable_m3[j]),
        usable_kg=float(sizes.usable_kg[j]),
        deliveries_per_year=drops / winters,
        mean_drop_kg=brought / drops if drops else 0.0,
        empty_winters=empty,
        winters=winters,
        real_winters=real,
        empty_risk_per_year=empty / winters,
        empty_risk_high=wilson_high(int((unmet[:real] > NOTICEABLE_KG).sum()), real),
        lowest_kg=float(played.lowest_kg[:, lane].min()),
        years_stock=float(sizes.usable_kg[j]) / float(yearly.mean()),
        fuel_cost=fuel,
        store_cost=store,
        money_cost=money,
        yearly_cost=fuel + store + money,
        tied_up=tied_up,
        summer_filling=lane != j,
        works=problem is None,
        problem=problem,
    )


def _problem(
    sure_kg: float, rule: OrderRule, empty: int, winters: Message, accepted: float
) -> Message | None:
    # TRANSLATORS: said of a store or of its size: "9 m³ can never work: …", "it runs empty in …".
    if sure_kg - rule.reserve_kg < rule.smallest_drop_kg:
        return message(
            "sizing.can_never_work",
            "can never work: {fits} surely fit when it is empty, the smallest drop of {drop} and the reserve "
            "of {reserve} need {need}",
            fits=Quantity.written(max(0.0, sure_kg), "kg", ".0f"),
            drop=Quantity.written(rule.smallest_drop_kg, "kg", ".0f"),
            reserve=Quantity.written(rule.reserve_kg, "kg", ".0f"),
            need=Quantity.written(rule.smallest_drop_kg + rule.reserve_kg, "kg", ".0f"),
        )
    if empty > accepted:
        return message(
            "sizing.runs_empty",
            "runs empty in {empty} of {winters}: the smallest drop often fits too late",
            empty=empty,
            winters=winters,
        )
    return None


def wilson_high(cases: int, of: int, z: float = 1.645) -> float:
    """Return the upper end of a Wilson interval (90 % two-sided for z = 1.645) of a share; 1 of no cases at
    all. [0..1]

    Parameters
    ----------
    cases, of
        How many of how many.
    z
        Of the standard normal distribution; 1.645 for 90 %.
    """
    if of == 0:
        return 1.0
    share = cases / of
    middle = share + z * z / (2 * of)
    half = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return min(1.0, (middle + half) / (1 + z * z / of))


def _best_range(options: tuple[SizeOption, ...], reserve_kg: float) -> tuple[int | None, int, int]:
    """Cheapest size that works – of those that cost about the same one that never undercuts the reserve – and
    the smallest and largest beside it, without a break."""
    working = [i for i, o in enumerate(options) if o.works]
    if not working:
        return None, 0, 0
    best = min(working, key=lambda i: options[i].yearly_cost)
    most = options[best].yearly_cost * (1 + COST_TOLERANCE)
    order = sorted(range(len(options)), key=lambda i: options[i].room_m3)
    good = [options[i].works and options[i].yearly_cost <= most for i in order]
    low = high = order.index(best)
    while low > 0 and good[low - 1]:
        low -= 1
    while high < len(order) - 1 and good[high + 1]:
        high += 1
    keeps = [i for i in order[low : high + 1] if options[i].lowest_kg >= reserve_kg - NOTICEABLE_KG]
    best = best if best in keeps else min(keeps, key=lambda i: options[i].yearly_cost, default=best)
    return best, order[low], order[high]
