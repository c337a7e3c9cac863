"""Play ways of deciding through a season, week by week, with the stock moved by the one simulator."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.ordering.policies import Policy, Sites, WeekOutlook
from fuelplan.ordering.stages import WEEK
from fuelplan.ordering.stock import NEVER, Arrival, simulate

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class PlayedSeason:
    """What really happens to B sites in one season; no policy is shown any of it.

    Attributes
    ----------
    demand_kg
        Shape (B, days). The last week takes the days left over. [kg]
    lead_days
        Shape (B, weeks): days from an order at the start of each week to its delivery, at least 1. [d]
    price_factor
        Shape (B, weeks): fuel price against the usual one.
    read_error_kg
        Shape (B, weeks): level seen less the true level. [kg]
    """

    demand_kg: Floats
    lead_days: Ints
    price_factor: Floats
    read_error_kg: Floats


@dataclass
class StockState:
    """Where B sites stand between two weeks; days count from the season's first.

    `due_day` is :data:`stock.NEVER` where nothing is on order. `late` marks an order under way whose level
    was already below the reserve, `dry` a store that was empty on the last day.
    """

    level_kg: Floats
    due_day: Ints
    due_kg: Floats
    due_cost: Floats
    late: NDArray[np.bool_]
    dry: NDArray[np.bool_]

    @classmethod
    def start(cls, level_kg: Floats) -> StockState:
        """Return sites with a level and nothing on order."""
        n = len(level_kg)
        no = np.zeros(n, dtype=bool)
        return cls(level_kg.copy(), np.full(n, NEVER), np.zeros(n), np.zeros(n), no, no.copy())


@dataclass(frozen=True)
class Ledger:
    """What a season came to at each site, shapes (B,).

    Attributes
    ----------
    cost
        Bills, interest on stock and emergencies, less the change of stock at its reference price. [money]
    bills
        The bills alone. [money]
    orders, late_orders
        Orders placed, and orders whose level fell below the reserve before they came.
    run_outs
        Times the store ran empty.
    unmet_kg, delivered_kg, burned_kg
        Sums of the season. [kg]
    ordered_kg
        What was ordered in each week, shape (B, weeks). [kg]
    """

    cost: Floats
    bills: Floats
    orders: Ints
    late_orders: Ints
    run_outs: Ints
    unmet_kg: Floats
    delivered_kg: Floats
    burned_kg: Floats
    ordered_kg: Floats


def play_season(
    sites: Sites, policy: Policy, season: PlayedSeason, state: StockState, known: Callable[[int], WeekOutlook]
) -> Ledger:
    """Play one season and leave `state` at its end, ready for the next.

    A decision falls at the start of each week where
    nothing is on order, from the level then seen. The bill is that of the day of the order and is paid at the
    delivery, for what the store accepted. An order counts as late in the season in which it is placed when
    the level is below the reserve on any evening before it comes; one still under way at the end counts in
    the next season.

    Parameters
    ----------
    sites, policy
        B sites, and how all of them decide.
    season
        Demand, lead times and prices of the season.
    state
        Levels and what is on order at its start; changed to those at its end.
    known
        Gives what is known at the start of each week.

    Returns
    -------
    Ledger
        What came, what it cost and what ran short, for each site.
    """
    batch, days = season.demand_kg.shape
    weeks = season.lead_days.shape[1]
    totals = _Totals(batch, weeks)
    before = state.level_kg.copy()
    for week in range(weeks):
        first = week * WEEK
        last = days if week == weeks - 1 else first + WEEK
        _decide(sites, policy, season, state, week, known(week), totals)
        _move(sites, season.demand_kg[:, first:last], first, state, totals)
    state.due_day = np.where(state.due_day == NEVER, NEVER, state.due_day - days)
    totals.cost += sites.reference_per_kg * (before - state.level_kg)
    return totals.ledger()


class _Totals:
    """Running sums of a season."""

    def __init__(self, n: int, weeks: int) -> None:
        self.cost, self.bills = np.zeros(n), np.zeros(n)
        self.orders, self.late, self.run_outs = (np.zeros(n, dtype=np.int64) for _ in range(3))
        self.unmet, self.delivered, self.burned = np.zeros(n), np.zeros(n), np.zeros(n)
        self.ordered = np.zeros((n, weeks))

    def ledger(self) -> Ledger:
        """Freeze the sums."""
        return Ledger(
            self.cost,
            self.bills,
            self.orders,
            self.late,
            self.run_outs,
            self.unmet,
            self.delivered,
            self.burned,
            self.ordered,
        )


def _decide(
    sites: Sites,
    policy: Policy,
    season: PlayedSeason,
    state: StockState,
    week: int,
    known: WeekOutlook,
    totals: _Totals,
) -> None:
    """Let the policy choose where nothing is on order."""
    seen = np.maximum(0.0, state.level_kg + season.read_error_kg[:, week])
    choice = policy.choose(week, seen, known)
    rows = np.flatnonzero((choice >= 0) & (state.due_day == NEVER))
    which = choice[rows]
    state.due_day[rows] = week * WEEK + season.lead_days[rows, week]
    state.due_kg[rows] = sites.amounts_kg[rows, which]
    state.due_cost[rows] = (
        sites.fuel[rows, which] * season.price_factor[rows, week] + sites.charges[rows, which]
    )
    state.late[rows] = False
    totals.orders[rows] += 1
    totals.ordered[rows, week] = state.due_kg[rows]


def _move(sites: Sites, demand_kg: Floats, first: int, state: StockState, totals: _Totals) -> None:
    """Move the stock on by some days and book what happened."""
    days = demand_kg.shape[1]
    due = np.where(state.due_day == NEVER, NEVER, state.due_day - first)
    # the simulator has one capacity for all draws: in shares of each store all capacities are 1
    share = 1 / sites.capacity_kg
    paths = simulate(
        np.minimum(state.level_kg * share, 1.0),
        demand_kg * share[:, None],
        (Arrival(due, state.due_kg * share),),
        capacity_kg=1.0,
    )
    level, unmet = paths.level_kg * sites.capacity_kg[:, None], paths.unmet_kg * sites.capacity_kg[:, None]
    accepted = paths.accepted_kg.sum(axis=1) * sites.capacity_kg
    _book_orders(sites, level, due, accepted, state, totals)
    starts_dry = np.concatenate([state.dry[:, None], unmet[:, :-1] > 0], axis=1)
    events = ((unmet > 0) & ~starts_dry).sum(axis=1)
    held = level.sum(axis=1) / WEEK
    totals.run_outs += events
    totals.unmet += unmet.sum(axis=1)
    totals.burned += paths.burned_kg.sum(axis=1) * sites.capacity_kg
    totals.cost += sites.holding_per_kg_week * held
    totals.cost += sites.unmet_per_kg * unmet.sum(axis=1) + sites.unmet_event * events
    state.level_kg = level[:, days - 1]
    state.dry = unmet[:, days - 1] > 0


def _book_orders(
    sites: Sites, level: Floats, due: Ints, accepted: Floats, state: StockState, totals: _Totals
) -> None:
    """Mark late orders, and pay and clear what has come."""
    days = level.shape[1]
    waiting = np.arange(days) < due[:, None]
    short = ((level < sites.reserve_kg[:, None]) & waiting).any(axis=1)
    newly_late = short & (due < NEVER) & ~state.late
    totals.late += newly_late
    state.late |= newly_late
    come = due < days
    paid = np.where(come, state.due_cost * accepted / np.where(state.due_kg > 0, state.due_kg, 1.0), 0.0)
    totals.cost += paid
    totals.bills += paid
    totals.delivered += accepted
    state.due_day[come] = NEVER
    state.late[come] = False
