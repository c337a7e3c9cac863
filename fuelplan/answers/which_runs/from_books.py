"""What `dispatch` takes from a round's books: the supplier, and what lies on the desk in the evening."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.who_is_due.beliefs import Beliefs
from fuelplan.dispatch.outlook import LevelTable, level_table
from fuelplan.dispatch.run_plan import DepotStock, DispatchDesk, Incoming, OwnTanker, Prices, Supplier
from fuelplan.records.round import Round, carried, driver_rules, reach_of, working_days_of


def desk_of(round_: Round, as_of: date) -> DispatchDesk:
    """Return what a dispatcher has before him on the evening of `as_of`."""
    table, c = round_.table, round_.customers
    laying_h = np.array([[k.laying_h(float(m)) for k in table.tankers] for m in c.hose_m], float)
    return DispatchDesk(
        as_of=as_of,
        supplier=_supplier(round_),
        customers=c,
        reach=reach_of(table, c).ok,
        laying_h=laying_h.reshape(len(c), len(table.tankers)),
        usual=_usual_class(round_),
        stocks=tuple(
            DepotStock(as_of, d.stock_kg, tuple(Incoming(a.day, a.grade, a.amount_kg) for a in d.arriving))
            for d in table.depots
        ),
        orders=round_.orders,
        published=round_.published,
        wishes=round_.wishes,
        happenings=round_.happenings,
    )


def _supplier(round_: Round) -> Supplier:
    table, rules = round_.table, round_.table.rules
    depots = tuple(d.name for d in table.depots)
    return Supplier(
        tankers=tuple(
            OwnTanker(
                name=k.name,
                depot=depots.index(k.depot),
                grades=frozenset(carried(table, v)),
                chambers_kg=k.chambers_kg,
                carries_kg=k.carries_kg,
                cost_per_km=k.cost_per_km[0],
                cost_per_h=k.cost_per_hour[0],
                blow_kg_h=k.blow_rate_kg_h,
                set_up_h=k.set_up_h,
                reload_h=k.reload_h,
                away=k.out_of_service,
            )
            for v, k in enumerate(table.tankers)
        ),
        depots=depots,
        depot_at=tuple((d.latitude, d.longitude) for d in table.depots),
        opening_h=tuple((d.opens_h, d.closes_h) for d in table.depots),
        grades=table.classes,
        driver=driver_rules(table),
        calendar=working_days_of(table),
        step_kg=rules.step_kg,
        spare_kg_a_day=rules.spare_kg_a_day,
        risk=rules.risk,
        overtime_per_h=0.0 if rules.overtime_per_hour is None else rules.overtime_per_hour[0],
    )


def _usual_class(round_: Round) -> NDArray[np.int64]:
    """Return the class each customer had last, else the first it takes that somebody carries; −1 for none."""
    c, table = round_.customers, round_.table
    some: set[str] = set().union(*(carried(table, k) for k in range(len(table.tankers))))
    had = np.array([name in some for name in table.classes])
    can = c.takes & had
    usual = np.where(can.any(axis=1), can.argmax(axis=1), -1)
    d = round_.deliveries
    order = np.argsort(d.day, kind="stable")
    known = order[d.grade[order] >= 0]
    last = np.full(len(c), -1)
    last[d.customer[known]] = d.grade[known]
    ok = (last >= 0) & can[np.arange(len(c)), np.maximum(last, 0)]
    return np.where(ok, last, usual).astype(np.int64)


def prices_of(round_: Round) -> Prices:
    """Return what the round's rules charge for an empty store."""
    cost = round_.table.rules.empty_cost
    if cost is None:
        return Prices()
    usual = Prices()
    return replace(usual, empty=cost[0], over_limit=usual.over_limit * cost[0] / usual.empty)


def levels_of(beliefs: Beliefs, days: int | None = None) -> LevelTable:
    """Return the levels of all customers on each evening if nothing comes, for so many days."""
    return level_table(beliefs.tables, beliefs.store.area, beliefs.draw, beliefs.draws, days=days)
