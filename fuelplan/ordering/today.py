"""Today's decision: order now and how much, or wait, weighed on whole paths of weather with their risk."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Quantity, Said, message, paragraph
from fuelplan.ordering.last_date import order_risk
from fuelplan.ordering.optimum import StockValue
from fuelplan.ordering.prices import Tariff
from fuelplan.ordering.stages import WEEK
from fuelplan.ordering.stock import Arrival, StockPaths, first_day_below, simulate

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class TodaysOffer:
    """Bills that can be had today, and when a drop at these bills would come.

    Attributes
    ----------
    tariff
        Whole bills by amount.
    arrival
        Shape (draws,): day index of the delivery, as the lead time or the offer's delivery weeks have it.
    """

    tariff: Tariff
    arrival: Ints


@dataclass(frozen=True)
class TodaysAlternative:
    """One thing that could be done today.

    Attributes
    ----------
    amount_kg
        What is ordered, 0 for waiting a week. [kg]
    cost
        Expected cost of all that follows, less that of the best open alternative. [money]
    risk
        Share of draws below the reserve before the delivery: of this order, or for waiting of one placed in a
        week.
    is_open
        Whether it may be chosen.
    why_not
        Why it may not; "" where it may.
    bill, supplier
        The whole bill of this order, and whose it is. [money]
    """

    amount_kg: float
    cost: float
    risk: float
    is_open: bool
    why_not: Said = ""
    bill: float = 0.0
    supplier: str = ""


@dataclass(frozen=True)
class Decision:
    """What to do today.

    Attributes
    ----------
    kind
        "wait"; "order"; "late" (even an order today breaks the limit, so order now and have help ready); or
        "no_room" (the limit asks for an order and no drop on offer surely fits).
    amount_kg, supplier
        What to order and from whom, 0 for none. [kg]
    risk
        Risk of the order of today, or of one placed in a week when waiting.
    risk_now, risk_next
        Risk of the order that comes soonest today, and of one in a week; a shortage before a delivery under
        way is not theirs.
    risk_on_order
        Risk of what is already on order; None where nothing is.
    alternatives
        Waiting first, then each amount.
    saves
        What this choice saves against the next best open alternative of the other sort (ordering against
        waiting); None where there is none. [money]
    reason
        Why, in a sentence or two.
    """

    kind: str
    amount_kg: float
    supplier: str
    risk: float
    risk_now: float
    risk_next: float
    risk_on_order: float | None
    alternatives: tuple[TodaysAlternative, ...]
    saves: float | None
    reason: Message


def decide_today(
    value: StockValue,
    level_kg: Floats,
    demand_kg: Floats,
    arrival_now: Ints,
    arrival_next: Ints,
    *,
    today: Sequence[TodaysOffer] = (),
    risk_limit: float | None = None,
    surely_fits_kg: Callable[[float], float] | None = None,
    on_order: Sequence[Arrival] = (),
) -> Decision:
    """Return the decision of today from whole paths.

    Every alternative is played through every draw up to the first week's end after its arrival, and the stock
    left there has the value of the table. A path decides nothing: all draws share one choice.

    Parameters
    ----------
    level_kg
        Shape (draws,): level this evening, residue included. [kg]
    demand_kg
        Shape (draws, days) from tomorrow on, day 0 the value table's first day. [kg]
    arrival_now, arrival_next
        Shape (draws,): day index of the delivery of an order placed today and in a week.
    today
        What can be had today; the usual bills at `arrival_now` where nothing is given. An offer with delivery
        weeks of its own brings its own arrivals.
    risk_limit
        Highest risk accepted; that of the value table where None.
    surely_fits_kg
        What surely fits at a high level before the delivery; capacity less that level where None.
    on_order
        Deliveries already ordered.

    Raises
    ------
    ValueError
        The paths end less than a week after the last arrival.
    """
    offers = today or (TodaysOffer(value.costs.usual, arrival_now),)
    limit = value.risk_limit if risk_limit is None else risk_limit
    days = int(max(arrival_next.max(), *(o.arrival.max() for o in offers))) + 1
    if days + WEEK > demand_kg.shape[1]:
        raise ValueError(
            f"the paths end after {demand_kg.shape[1]} days, and an order may come on day {days - 1}"
        )
    played = _Played(value, level_kg, demand_kg, days, on_order)
    reserve = value.store.reserve_kg
    before_pending, after_pending = played.around_pending()
    breach = first_day_below(after_pending, reserve)
    risk_next = order_risk(breach, arrival_next)
    late_next = message(
        "today.next_week_too_late",
        "an order placed next week would come too late {how_often}",
        how_often=_how_often(risk_next),
    )
    can_wait = risk_next <= limit
    wait = TodaysAlternative(
        0.0, played.cost_of_waiting(), risk_next, can_wait, "" if can_wait else late_next
    )
    orders = []
    for offer in offers:
        high = played.high_level_before(offer.arrival)
        room = surely_fits_kg(high) if surely_fits_kg else value.store.capacity_kg - high
        orders += _orders(played, offer, order_risk(breach, offer.arrival), room)
    orders = _with_limit(orders, limit, can_wait)
    risk_on_order = float((before_pending < reserve).any(axis=1).mean()) if on_order else None
    risk_now = min(a.risk for a in orders)
    return _choose(wait, orders, (risk_now, risk_next, risk_on_order), limit)


def _orders(played: _Played, offer: TodaysOffer, risk: float, room_kg: float) -> list[TodaysAlternative]:
    """The amounts of one offer; open where they surely fit."""
    found = []
    for kg, whole, who in zip(
        offer.tariff.amounts_kg, offer.tariff.total, offer.tariff.suppliers, strict=True
    ):
        fits = bool(kg <= room_kg + 1e-9)
        cost = played.cost_of_order(float(kg), offer.arrival) + float(whole)
        why = "" if fits else _only_fits(room_kg)
        found.append(TodaysAlternative(float(kg), cost, risk, fits, why, float(whole), who))
    return found


def _only_fits(room_kg: float) -> Message:
    fits = Quantity(room_kg, "mass", 3, unit="kg", decimals=0)
    return message("today.only_fits", "{fits} surely fit at the delivery", fits=fits)


def _with_limit(orders: list[TodaysAlternative], limit: float, can_wait: bool) -> list[TodaysAlternative]:
    """Close what comes too late; where all does, leave what comes soonest open."""
    fitting = [a.risk for a in orders if a.is_open]
    soonest = min(fitting, default=0.0)
    highest = limit if can_wait or soonest <= limit else soonest
    return [
        a if not a.is_open or a.risk <= highest else replace(a, is_open=False, why_not=_too_late(a.risk))
        for a in orders
    ]


def _too_late(risk: float) -> Message:
    return message("today.too_late", "it would come too late {how_often}", how_often=_how_often(risk))


class _Played:
    """The stock of every draw under each alternative, by the one simulator."""

    def __init__(
        self,
        value: StockValue,
        level_kg: Floats,
        demand_kg: Floats,
        days: int,
        on_order: Sequence[Arrival],
    ) -> None:
        self.value, self.level_kg, self.demand_kg = value, level_kg, demand_kg
        self.draws = len(level_kg)
        self.on_order = tuple(on_order)
        self.untouched = self._simulate(days, ()).level_kg

    def _simulate(self, days: int, more: tuple[Arrival, ...]) -> StockPaths:
        store = self.value.store
        return simulate(
            self.level_kg,
            self.demand_kg[:, :days],
            (*self.on_order, *more),
            capacity_kg=store.capacity_kg,
            residue_kg=store.residue_kg,
        )

    def around_pending(self) -> tuple[Floats, Floats]:
        """Levels before and after all that is on order has come; infinite on the other days. [kg]

        What runs short before a delivery under way is that order's risk: a new order could not have prevented
        it.
        """
        last = np.zeros(self.draws, dtype=np.int64)
        for arrival in self.on_order:
            last = np.maximum(last, arrival.day)
        early = np.arange(self.untouched.shape[1]) < last[:, None]
        return np.where(early, self.untouched, np.inf), np.where(early, np.inf, self.untouched)

    def high_level_before(self, arrival: Ints) -> float:
        """Level on the eve of the delivery that 98 of 100 draws do not exceed. [kg]"""
        eve = np.clip(arrival - 1, 0, self.untouched.shape[1] - 1)
        levels = np.where(arrival > 0, self.untouched[np.arange(self.draws), eve], self.level_kg)
        return float(np.quantile(levels, 0.98))

    def cost_of_waiting(self) -> float:
        """Expected cost of the week and of all after it. [money]"""
        return self._cost(np.full(self.draws, WEEK), ())

    def cost_of_order(self, kg: float, arrival: Ints) -> float:
        """Expected cost without the bill. [money]"""
        boundary = (arrival // WEEK + 1) * WEEK
        return self._cost(boundary, (Arrival(arrival, np.full(self.draws, kg)),))

    def _cost(self, until: Ints, more: tuple[Arrival, ...]) -> float:
        """Expected cost up to a day of each draw, and the value of the stock left on it. [money]"""
        value, costs = self.value, self.value.costs
        paths = self._simulate(int(until.max()), more)
        within = np.arange(paths.level_kg.shape[1]) < until[:, None]
        unmet = (paths.unmet_kg * within).sum(axis=1)
        held = ((paths.level_kg - value.store.residue_kg) * within).sum(axis=1) / WEEK
        end = paths.level_kg[np.arange(self.draws), until - 1]
        cost = costs.unmet_per_kg * unmet + costs.unmet_event * (unmet > 0)
        cost = cost + costs.holding_per_kg_week() * held + value.of(until // WEEK, end - value.doubt_kg)
        return float(cost.mean())


def cheaper_by(decision: Decision, amount_kg: float, gain: float, limit: float) -> Decision:
    """Return the decision with another of its open alternatives, which was found to cost less.

    Parameters
    ----------
    decision
        As weighed by the value of stock.
    amount_kg
        The other one's amount, 0 for waiting. [kg]
    gain
        What it saves against the decision, at least 0. [money]
    limit
        Highest risk accepted.
    """
    wait, *orders = decision.alternatives
    same = [a for a in decision.alternatives if a.is_open and abs(a.amount_kg - amount_kg) < 1]
    other = min(same, key=lambda a: a.cost)
    found = [replace(a, cost=-gain) if a is other else a for a in (wait, *orders)]
    risks = decision.risk_now, decision.risk_next, decision.risk_on_order
    return _choose(found[0], found[1:], risks, limit)


def _how_often(risk: float) -> Message:
    """A risk as people say it."""
    if risk <= 0:
        return message("today.in_no_draw", "in none of the draws")
    if risk >= 0.995:
        return message("today.almost_surely", "almost surely")
    if risk < 0.5:
        return message("today.in_one_case", "in about 1 case in {n}", n=round(1 / risk))
    return message("today.in_many_cases", "in about {cases} cases in 100", cases=round(risk * 100))


def _choose(
    wait: TodaysAlternative,
    orders: list[TodaysAlternative],
    risks: tuple[float, float, float | None],
    limit: float,
) -> Decision:
    """Take the cheapest open alternative and say why."""
    risk_now, risk_next, risk_on_order = risks
    open_orders = [a for a in orders if a.is_open]
    best_order = min(open_orders, key=lambda a: a.cost) if open_orders else None
    candidates = [a for a in (wait, best_order) if a is not None and a.is_open]
    best = min(candidates, key=lambda a: a.cost) if candidates else wait
    shown = tuple(replace(a, cost=a.cost - best.cost) for a in (wait, *orders))
    saves = abs(best_order.cost - wait.cost) if best_order is not None and wait.is_open else None
    kind, reason = _kind(best, best_order, wait, limit)
    if risk_on_order is not None and risk_on_order > limit:
        late = message(
            "today.on_order_too_late",
            "What is on order may itself come too late, {how_often}: ask the supplier to bring it forward.",
            how_often=_how_often(risk_on_order),
        )
        reason = paragraph([reason, late])
    amount = best.amount_kg if kind != "no_room" else 0.0
    risk = risk_next if amount == 0 else best.risk
    supplier = best.supplier if amount else ""
    return Decision(kind, amount, supplier, risk, risk_now, risk_next, risk_on_order, shown, saves, reason)


def _kind(
    best: TodaysAlternative, best_order: TodaysAlternative | None, wait: TodaysAlternative, limit: float
) -> tuple[str, Message]:
    """Sort of decision and its sentence."""
    if best_order is None and not wait.is_open:
        return "no_room", message(
            "today.no_room",
            "An order is due and the smallest drop on offer does not surely fit: ask for a smaller drop or "
            "bagged fuel, or save heat until it fits.",
        )
    if best.amount_kg == 0:
        if best_order is None:
            return "wait", message(
                "today.wait_for_room",
                "No drop on offer surely fits yet, and an order next week is early enough.",
            )
        return "wait", message(
            "today.wait", "An order next week is early enough, and waiting costs less on average."
        )
    if best.risk > limit:
        return "late", message(
            "today.late",
            "Even an order today comes too late {how_often}: order now, ask for the earliest delivery and "
            "have other heat ready.",
            how_often=_how_often(best.risk),
        )
    if isinstance(wait.why_not, Message):
        return "order", message("today.order_because", "Order today: {why}.", why=wait.why_not)
    return "order", message(
        "today.order_cheaper", "Waiting is still safe, but an order today costs less on average."
    )
