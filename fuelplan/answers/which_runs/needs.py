"""From a round's books to what the planner takes: who needs what by when, who may come, which days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.round.rows import LeftOut, OrderRow, rows_of
from fuelplan.answers.which_runs.from_books import eligibility, loads_of, party_of, stocks_of
from fuelplan.answers.who_is_due.answer import day_of
from fuelplan.answers.who_is_due.beliefs import Beliefs
from fuelplan.dispatch import outlook
from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.run_plan import FITS, Fleet, Needs, PlannedDays, WeekAsked, supply_kg, ways_of_filling
from fuelplan.messages import Message
from fuelplan.records.round import Order, PublishedStop, Round, carried, driver_rules, working_days_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]

BEYOND_DAYS = 7
"""Days looked at beyond the last planned one, so that it is not followed by nothing."""


@dataclass(frozen=True)
class Week:
    """All that the planner and the writer of the answer need.

    Attributes
    ----------
    days
        The planned days.
    rows
        What each row of `needs` stands for.
    frozen
        Published stops that stay as they are.
    tankers
        Numbers of the tankers in `table.tankers`, in the order of the fleet.
    supply_kg
        Shape (depots, classes, T). [kg]
    """

    days: tuple[date, ...]
    grid: PlannedDays
    rows: tuple[OrderRow, ...]
    needs: Needs
    fleet: Fleet
    supply_kg: Floats
    frozen: tuple[PublishedStop, ...]
    left_out: tuple[LeftOut, ...]
    levels: LevelTable
    spare_h: Floats
    notes: tuple[Message, ...]

    @property
    def asked(self) -> WeekAsked:
        """What the planner takes of it."""
        parties = tuple(party_of(row) for row in self.rows)
        return WeekAsked(self.days, self.grid, parties, self.needs, self.fleet, self.supply_kg)


def planned_days(round_: Round, as_of: date, count: int) -> tuple[date, ...]:
    """Return the next `count` working days after `as_of`."""
    calendar = working_days_of(round_.table)
    last = calendar.add(as_of, count)
    return tuple(d.item() for d in calendar.between(as_of + timedelta(days=1), last))[:count]


def fuller(levels: LevelTable, more_kg: Floats) -> LevelTable:
    """Return the levels with more in each customer's store. [kg]"""
    more = more_kg[:, None]
    kg = (levels.kg + more[:, :, None]).astype(levels.kg.dtype)
    return LevelTable(levels.shares, kg, (levels.mean_kg + more).astype(levels.mean_kg.dtype))


def levels_of(beliefs: Beliefs, days: int | None = None) -> LevelTable:
    """Return the levels of all customers on each evening if nothing comes, for so many days."""
    return outlook.level_table(beliefs.tables, beliefs.store.area, beliefs.draw, beliefs.draws, days=days)


def week_of(
    beliefs: Beliefs, levels: LevelTable, count: int, deliver_by: Dates,
    frozen: Sequence[PublishedStop] = (), maybe_kg: Floats | None = None,
) -> Week:  # fmt: skip
    """Return what is to be planned for the next `count` working days beside the published stops `frozen`.

    `deliver_by` has the shape (N,): the deadlines of all customers, NaT for none. `maybe_kg` may lie in the
    customers' stores besides, without anybody having said so. [kg]
    """
    round_, as_of = beliefs.round, beliefs.as_of
    told = {s.day for s in frozen}
    days = tuple(d for d in planned_days(round_, as_of, count) if d not in told)
    grid = _grid(round_, as_of, days, levels.mean_kg.shape[1] - 1)
    rows, left_out, notes = rows_of(round_, frozen, days)
    given = _given(round_, as_of, frozen, levels.mean_kg.shape)
    fleet, spare = _fleet(round_, days)
    who = np.array([row.customer for row in rows], np.int64)
    maybe = np.zeros(len(round_.customers)) if maybe_kg is None else maybe_kg
    needs = _needs(round_, as_of, rows, who, levels, given, maybe, days, deliver_by)
    loads = loads_of(round_, frozen)
    supply = supply_kg(stocks_of(round_, as_of), loads, round_.table.classes, days)
    return Week(days, grid, rows, needs, fleet, supply, tuple(frozen), left_out, levels, spare, notes)


def _grid(round_: Round, as_of: date, days: Sequence[date], known: int) -> PlannedDays:
    """Return the planned days as evenings counted from `as_of`; levels are known up to evening `known`.

    The last day's levels count until tankers drive again: over the holidays, where these follow it.
    """
    evening = np.array([(d - as_of).days for d in days], np.int64)
    again = [(working_days_of(round_.table).add(days[-1], 1) - as_of).days] if days else []
    following = np.minimum(np.append(evening[1:], np.array(again, np.int64)), known + 1)
    slow = np.array([slow_on(round_, day) for day in days])
    return PlannedDays(evening, following - 1, slow)


def slow_on(round_: Round, day: date) -> float:
    """Return how many times as long driving takes on a day."""
    slow = 1.0
    for h in round_.happenings:
        if h.what == "slow roads" and h.day <= day <= h.until:
            slow *= h.factor
    return slow


def out_on(round_: Round, tanker: str, day: date) -> bool:
    """Tell whether a tanker stays at home on a day."""
    away = next((k.out_of_service for k in round_.table.tankers if k.name == tanker), ())
    return day in away or any(
        h.what == "tanker out" and h.tanker == tanker and h.day <= day <= h.until for h in round_.happenings
    )


def _given(round_: Round, as_of: date, frozen: Sequence[PublishedStop], shape: tuple[int, int]) -> Floats:
    """Return what published runs will have brought each customer by each evening. [kg]"""
    given = np.zeros(shape)
    for s in frozen:
        given[round_.customers.number_of[s.customer], (s.day - as_of).days :] += s.kg
    return given


def _fleet(round_: Round, days: Sequence[date]) -> tuple[Fleet, Floats]:
    """Return the tankers, and the hours a day that are kept free for those who are already empty, (V, T)."""
    table, rules = round_.table, driver_rules(round_.table)
    depots = [d.name for d in table.depots]
    whole = min(rules.normal_work_h, rules.longest_shift_h - rules.break_h)
    day_h = np.full((len(table.tankers), len(days)), whole)
    for v, tanker in enumerate(table.tankers):
        day_h[v, [out_on(round_, tanker.name, day) for day in days]] = 0.0
    spare = np.zeros_like(day_h)
    if table.rules.spare_kg_a_day > 0 and len(table.tankers) > 1:
        for t in range(1, len(days)):
            v = int(np.argmax(day_h[:, t]))
            tanker = table.tankers[v]
            spare[v, t] = min(
                day_h[v, t] / 2, tanker.set_up_h + table.rules.spare_kg_a_day / tanker.blow_rate_kg_h + 0.75
            )
    classes = len(table.classes)
    carries = [
        [table.classes.index(k) for k in table.classes if k in carried(table, v)]
        for v in range(len(table.tankers))
    ]
    fleet = Fleet(
        depot=np.array([depots.index(k.depot) for k in table.tankers], np.int64),
        ways_kg=tuple(
            ways_of_filling(k.chambers_kg, k.carries_kg, classes, carries[v])
            for v, k in enumerate(table.tankers)
        ),
        cost_per_km=np.array([k.cost_per_km[0] for k in table.tankers], float),
        cost_per_h=np.array([k.cost_per_hour[0] for k in table.tankers], float),
        blow_kg_h=np.array([k.blow_rate_kg_h for k in table.tankers]),
        reload_h=np.array([k.reload_h for k in table.tankers]),
        day_h=day_h - spare,
    )
    return fleet, spare


def _needs(
    round_: Round,
    as_of: date,
    rows: Sequence[OrderRow],
    who: Ints,
    levels: LevelTable,
    given: Floats,
    maybe: Floats,
    days: Sequence[date],
    deliver_by: Dates,
) -> Needs:
    """Return the needs of the rows."""
    c, rules = round_.customers, round_.table.rules
    full = fuller(levels, maybe)
    kg = np.array([_order_kg(round_, row, full, as_of) if row.orders else np.nan for row in rows])
    first = np.array([_first_day(row, days) for row in rows], np.int64)
    last = np.array([_last_day(round_, row, days) for row in rows], np.int64)
    may, must = eligibility(round_, rows, days)
    soon = np.array([_emptied_first(row, levels) for row in rows], np.int64)
    own = LevelTable(levels.shares, levels.kg[soon], levels.mean_kg[soon])
    return Needs(
        place=who,
        grade=np.array([row.grade for row in rows], np.int64),
        order_kg=kg,
        order_from=first,
        order_to=last,
        due=_due(rows, days, given, as_of, np.where(c.top_up, deliver_by, np.datetime64("NaT", "D"))),
        empty=np.array([any(o.already_empty for o in row.orders) for row in rows], bool),
        store_kg=c.store_kg[who],
        reserve_kg=np.minimum(c.reserve_kg, 0.9 * c.store_kg)[who],
        least_kg=np.minimum(np.maximum(c.smallest_drop_kg[who], rules.step_kg), c.store_kg[who]),
        levels=own,
        given_kg=given[soon],
        maybe_kg=maybe[who],
        may=may,
        must=must,
        stop_h=np.array(
            [[sum(k.laying_h(float(c.hose_m[i])) for i in row.customers) for k in round_.table.tankers]
             for row in rows], float
        ).reshape(len(rows), len(round_.table.tankers)),
    )  # fmt: skip


def _emptied_first(row: OrderRow, levels: LevelTable) -> int:
    """Return which of a row's customers has least left in the end: a shared drop is as urgent as his."""
    return min(row.customers, key=lambda i: float(levels.mean_kg[i, -1]))


def _due(
    rows: Sequence[OrderRow], days: Sequence[date], given: Floats, as_of: date, deliver_by: Dates
) -> Ints:
    """Return the number of the last planned day up to which each row should have a tanker, T for later.

    `deliver_by` are the deadlines of watched stores. Whoever a published run goes to before the end of the
    plan has one.
    """
    out = np.full(len(rows), len(days), np.int64)
    if not days:
        return out
    told = given[:, (days[-1] - as_of).days] > 0
    all_days = np.array(days, "datetime64[D]")
    for n, row in enumerate(rows):
        last = [deliver_by[i] for i in row.customers if not told[i] and not np.isnat(deliver_by[i])]
        if last and min(last) <= all_days[-1]:
            out[n] = np.searchsorted(all_days, min(last), side="right") - 1
    return out


def _order_kg(round_: Round, row: OrderRow, levels: LevelTable, as_of: date) -> float:
    """Return what the orders of a row ask for; "full" is what should fit on the last promised day. [kg]"""
    many = zip(row.customers, row.orders, strict=True)
    return sum(ticket_kg(round_, i, order, levels, as_of, order.last) for i, order in many)


def ticket_kg(
    round_: Round, i: int, order: Order | None, levels: LevelTable, as_of: date, day: date
) -> float:
    """Return what one order asks for; "full", or no order at all, is what should fit on a day. [kg]"""
    if order is not None and order.kg is not None:
        return float(order.kg)
    evening = min(max((day - as_of).days - 1, 0), levels.kg.shape[1] - 1)
    share = min(int(levels.shares.searchsorted(FITS - 1e-9)), levels.shares.size - 1)
    high = max(0.0, float(levels.kg[i, evening, share]))
    high = 0.0 if order is not None and order.already_empty else high
    step = round_.table.rules.step_kg
    return max(step, float(np.floor((round_.customers.store_kg[i] - high) / step) * step))


def _first_day(row: OrderRow, days: Sequence[date]) -> int:
    first = max((o.first or date.min for o in row.orders), default=date.min)
    return sum(d < first for d in days)


def _last_day(round_: Round, row: OrderRow, days: Sequence[date]) -> int:
    """Return the number of a promise's last planned day; −1 where it is past, T where beyond them all.

    Whoever leaves before it is served up to the last day there.
    """
    last = min((o.last for o in row.orders), default=date.max)
    if row.orders:
        leaves = (day_of(round_.customers.left_on[i]) for i in row.customers)
        last = min(last, *(day or date.max for day in leaves))
    if days and last >= days[-1] + timedelta(days=1):
        return len(days)
    return sum(d <= last for d in days) - 1
