"""The value of stock for one site: what a kilogram in store is worth in each week, all later orders counted.

The weekly programme treats the weeks of waiting as independent, which understates the spread of a season; so
it gives the *value* of stock only. Today's decision and its risk come from whole paths:
:mod:`fuelplan.ordering.today`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Day, Message, Quantity, Refusal, message
from fuelplan.ordering import programme as dp
from fuelplan.ordering.prices import SeasonFactors, Tariff
from fuelplan.ordering.stages import WEEK, Cases, PathSums, cases, path_sums, wait_floor

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEVELS = 81
CASES = 9
WEEKS = 104


class StoreTooSmall(Refusal):
    """A store that cannot take the smallest drop."""


@dataclass(frozen=True)
class StoreLimits:
    """The store in the measure of the level, unusable residue included. [kg]

    Attributes
    ----------
    capacity_kg
        What it holds at most.
    reserve_kg
        Below this level an order counts as too late.
    residue_kg
        What cannot be conveyed out.
    """

    capacity_kg: float
    reserve_kg: float = 0.0
    residue_kg: float = 0.0

    def __post_init__(self) -> None:
        """Refuse limits out of order."""
        if not 0 <= self.residue_kg <= self.reserve_kg < self.capacity_kg:
            raise ValueError(
                f"residue, reserve and capacity must rise: {self.residue_kg:,.0f}, {self.reserve_kg:,.0f} "
                "and "
                f"{self.capacity_kg:,.0f} kg do not"
            )


@dataclass(frozen=True)
class Costs:
    """What orders, stock and an empty store cost; all in the money of `usual`.

    Attributes
    ----------
    usual
        Whole bills by amount for later orders, at today's level of prices.
    season
        How the fuel part of later bills moves over the year; charges do not.
    unmet_per_kg, unmet_event
        For demand the store could not meet, and once for each time. [money/kg, money]
    interest_per_year
        For the money that lies in the store, as a share.
    """

    usual: Tariff
    season: SeasonFactors
    unmet_per_kg: float
    unmet_event: float = 0.0
    interest_per_year: float = 0.03

    def holding_per_kg_week(self) -> float:
        """Interest on a kilogram in store for a week, at the usual price. [money/kg]"""
        return self.interest_per_year * self.usual.reference_per_kg * WEEK / 365


@dataclass(frozen=True)
class StockValue:
    """The value of stock and what it was made of.

    Attributes
    ----------
    table
        Values and best actions by week and known level above the residue.
    first_day
        Day 0 of week 0.
    store, costs, risk_limit
        As given.
    floor_kg
        Shape (weeks,): level from which waiting is open. [kg]
    cases
        Cases of the programme, kept so that a new risk limit, price or store needs no new paths.
    sums
        Sums of the paths, kept for the same reason.
    doubt_kg
        Shape (draws,): by how much the level may lie above what is known of it, from now on. [kg]
    warnings
        Weeks that no order can keep within the limit, in one sentence each.
    """

    table: dp.ValueTable
    first_day: date
    store: StoreLimits
    costs: Costs
    risk_limit: float
    floor_kg: Floats
    cases: Cases
    sums: PathSums
    doubt_kg: Floats
    warnings: tuple[Message, ...] = ()

    def of(self, week: int | Ints, level_kg: Floats) -> Floats:
        """Expected cost from a week's start on at known levels of any shape, residue included. [money]"""
        level = np.asarray(level_kg, float)[None] - self.store.residue_kg
        found: Floats = self.table.at(week if isinstance(week, int) else week[None], level)[0]
        return found

    def per_kg(self, level_kg: float) -> float:
        """What one kilogram more in store is worth today, over two grid steps. [money/kg]"""
        step = float(self.table.grid.step[0])
        ends = self.of(0, np.array([level_kg - step, level_kg + step]))
        return float(ends[0] - ends[1]) / (2 * step)


def value_of_stock(
    demand_kg: Floats,
    arrival_day: Ints,
    first_day: date,
    store: StoreLimits,
    costs: Costs,
    *,
    risk_limit: float,
    doubt_kg: Floats | None = None,
    weeks: int = WEEKS,
    levels: int = LEVELS,
    count: int = CASES,
) -> StockValue:
    """Return the value of stock by week and level, one to three years ahead.

    Parameters
    ----------
    demand_kg
        Shape (draws, days): whole paths, at least 364 days. [kg]
    arrival_day
        Shape (draws, W), W ≥ 53: day index on which an order of day 7·w arrives.
    risk_limit
        Highest share of draws below the reserve before an arrival; a constraint, not a price.
    doubt_kg
        Shape (draws,): level less what is known of it, on every day alike; None where it is known. Limits and
        what surely fits count it. [kg]
    weeks, levels, count
        Horizon, grid, and cases of demand for each week.

    Raises
    ------
    StoreTooSmall
        The smallest drop does not fit into the empty store.
    PathsTooShort
        Paths of less than a year.
    """
    sums = path_sums(demand_kg[None], arrival_day[None], weeks)
    doubt = np.zeros(len(demand_kg)) if doubt_kg is None else doubt_kg
    found = cases(sums, count, weeks)
    return _solved(sums, found, doubt, first_day, store, costs, risk_limit, weeks, levels)


def order_costs(usual: Tariff, season: SeasonFactors, first_day: date, weeks: int) -> Floats:
    """Whole bills of later orders by week and amount, shape (weeks, M). [money]"""
    days = np.datetime64(first_day, "D") + WEEK * np.arange(weeks)
    factor = season.of(days) / season.of(days[:1])
    out: Floats = factor[:, None] * usual.fuel + usual.charges
    return out


def _solved(
    sums: PathSums,
    found: Cases,
    doubt_kg: Floats,
    first_day: date,
    store: StoreLimits,
    costs: Costs,
    risk_limit: float,
    weeks: int,
    levels: int,
) -> StockValue:
    """Build and solve the programme for one site."""
    if not 0 < risk_limit < 1:
        raise ValueError(f"the risk limit is a share between 0 and 1, not {risk_limit}")
    amounts = _amounts_that_fit(store, costs.usual)
    reserve = np.array([store.reserve_kg - store.residue_kg])
    floor = wait_floor(doubted(sums, -doubt_kg), reserve, risk_limit, weeks)
    eve = cases(doubted(sums, -doubt_kg), 1, weeks).least_before
    bills = order_costs(costs.usual, costs.season, first_day, weeks)[:, amounts]
    problem = site_programme(
        replace(found, least_before=eve),
        np.array([store.capacity_kg - store.residue_kg]),
        costs.usual.amounts_kg[None, amounts],
        bills[None],
        floor,
        holding=np.array([costs.holding_per_kg_week()]),
        unmet=np.array([costs.unmet_per_kg]),
        unmet_event=np.array([costs.unmet_event]),
        levels=levels,
    )
    table = dp.solve(problem)
    smallest = float(costs.usual.amounts_kg[amounts][0])
    known = wait_floor(sums, reserve, risk_limit, weeks)
    warnings = _warnings(known[0], found.least_before[0], store, smallest, first_day)
    floor_kg = floor[0] + store.residue_kg
    return StockValue(table, first_day, store, costs, risk_limit, floor_kg, found, sums, doubt_kg, warnings)


def doubted(sums: PathSums, more_kg: Floats) -> PathSums:
    """Return sums with so much more burned before an arrival, shape (draws,): a level that may be lower is as
    good as more demand. [kg]
    """
    more = more_kg[None, :, None]
    return replace(sums, before=sums.before + more, until_next=sums.until_next + more)


def site_programme(
    found: Cases,
    capacity_kg: Floats,
    amounts_kg: Floats,
    bills: Floats,
    floor_kg: Floats,
    *,
    holding: Floats,
    unmet: Floats,
    unmet_event: Floats,
    levels: int,
) -> dp.Programme:
    """Put the programme of B sites together; levels are those above the residue.

    Parameters
    ----------
    capacity_kg, holding, unmet, unmet_event
        Shape (B,). [kg, money/(kg·week), money/kg, money]
    amounts_kg, bills, floor_kg
        Shapes (B, M), (B, T, M) and (B, T). [kg, money, kg]
    """
    batch, weeks, _ = found.week.shape
    grid = dp.Grid(np.zeros(batch), capacity_kg / (levels - 1), levels)
    middle = amounts_kg.shape[1] // 2
    last_price = bills[:, -1, middle] / amounts_kg[:, middle]
    along = np.ones((1, weeks))
    return dp.Programme(
        grid,
        dp.Waiting(found.week),
        dp.Ordering(
            amounts_kg,
            bills,
            found.before,
            found.after,
            found.jump,
            found.arrival,
            least_before=found.least_before,
        ),
        dp.Charges(holding[:, None] * along, unmet[:, None] * along, unmet_event[:, None] * along),
        terminal=-last_price[:, None] * grid.levels,
        wait_floor=floor_kg,
    )


def _amounts_that_fit(store: StoreLimits, usual: Tariff) -> NDArray[np.bool_]:
    """Mask of the amounts that fit into the store with only its residue in it."""
    room = store.capacity_kg - store.residue_kg
    fits: NDArray[np.bool_] = usual.amounts_kg <= room + 1e-9
    if not fits.any():
        raise StoreTooSmall(
            message(
                "optimum.store_too_small",
                "the smallest drop on offer is {drop} and the store takes {fits} when empty: ask for smaller "
                "drops, bagged fuel, or a larger store",
                drop=Quantity(float(usual.amounts_kg[0]), "mass", 3, unit="kg", decimals=0),
                fits=Quantity(room, "mass", 3, unit="kg", decimals=0),
            )
        )
    return fits


def _warnings(
    floor: Floats, least_before: Floats, store: StoreLimits, smallest_kg: float, first_day: date
) -> tuple[Message, ...]:
    """Say in which weeks of the first year the limit cannot be kept by any order."""
    room = store.capacity_kg - store.residue_kg
    year = slice(0, 52)
    said: list[Message] = []
    beyond = np.flatnonzero(floor[year] > room)
    no_room = np.flatnonzero((floor[year] <= room) & (floor[year] > room - smallest_kg + least_before[year]))
    if len(beyond):
        first = first_day + timedelta(days=WEEK * int(beyond[0]))
        said.append(
            message(
                "optimum.full_store_does_not_last",
                "In {weeks} of 52 weeks, the first from {first} on, even a full store does not last until a "
                "delivery ordered a week later.",
                weeks=len(beyond),
                first=Day(first, year=True),
            )
        )
    if len(no_room):
        first = first_day + timedelta(days=WEEK * int(no_room[0]))
        said.append(
            message(
                "optimum.smallest_drop_fits_too_late",
                "In {weeks} of 52 weeks, the first from {first} on, the smallest drop fits only when it is "
                "already too late for the risk limit.",
                weeks=len(no_room),
                first=Day(first, year=True),
            )
        )
    return tuple(said)
