"""What `dispatch` takes, from a round's books: who may be served when, stocks, tankers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.round.roads import RoundRoads
from fuelplan.dispatch import run_plan
from fuelplan.dispatch.routing import Tanker
from fuelplan.dispatch.run_plan import (
    TRIPS,
    Access,
    Closure,
    DepotStock,
    Incoming,
    Load,
    Party,
    StopWish,
    Yard,
)
from fuelplan.records.round import PublishedStop, Round, carried, driver_rules, reach_of

if TYPE_CHECKING:
    from fuelplan.answers.round.rows import OrderRow

Bools = NDArray[np.bool_]


def eligibility(round_: Round, rows: Sequence[OrderRow], days: Sequence[date]) -> tuple[Bools, Bools]:
    """Return which tankers may serve which rows on which days (N, T, V), and which days must (N, T)."""
    parties = [party_of(row) for row in rows]
    return run_plan.eligibility(parties, days, _access(round_), _closures(round_), _wishes(round_))


def party_of(row: OrderRow) -> Party:
    """Return who of a row is served together, and what they ask for."""
    first = max((o.first or date.min for o in row.orders), default=date.min)
    return Party(row.customers, row.grade, tuple(o.kg for o in row.orders), first)


def _access(round_: Round) -> Access:
    c, table = round_.customers, round_.table
    depots = [d.name for d in table.depots]
    tankers = range(len(table.tankers))
    return Access(
        reach=reach_of(table, c).ok,
        takes=c.takes,
        carries=np.array([[k in carried(table, v) for k in table.classes] for v in tankers], bool),
        home=np.array([depots.index(k.depot) for k in table.tankers], np.int64),
        weekdays=c.weekdays,
        left_on=c.left_on,
    )


def _closures(round_: Round) -> list[Closure]:
    """Return the failed drops, and the depots that have run out."""
    number, table = round_.customers.number_of, round_.table
    depots = {d.name: n for n, d in enumerate(table.depots)}
    out = []
    for h in round_.happenings:
        if h.what == "failed drop" and h.customer in number:
            out.append(Closure(h.day, h.until, customer=number[h.customer]))
        elif h.what == "depot out of stock" and h.depot in depots:
            classes = table.classes
            grade = None if h.grade is None else classes.index(h.grade) if h.grade in classes else -1
            out.append(Closure(h.day, h.until, depot=depots[h.depot], grade=grade))
    return out


def _wishes(round_: Round) -> list[StopWish]:
    """Return what persons have said of stops; a tanker that is not there any more is none."""
    tankers = {k.name: v for v, k in enumerate(round_.table.tankers)}
    return [
        StopWish(
            round_.customers.number_of[w.customer], w.wish, w.day,
            None if w.tanker is None else tankers.get(w.tanker, -1),
        )
        for w in round_.wishes
        if w.customer in round_.customers.number_of
    ]  # fmt: skip


def stocks_of(round_: Round, as_of: date) -> list[DepotStock]:
    """Return what each depot had on the evening of `as_of`, and expects."""
    return [
        DepotStock(as_of, d.stock_kg, tuple(Incoming(a.day, a.grade, a.amount_kg) for a in d.arriving))
        for d in round_.table.depots
    ]


def loads_of(round_: Round, stops: Sequence[PublishedStop]) -> list[Load]:
    """Return what the stops load at their tankers' depots; one whose tanker is not there any more none."""
    depots = {d.name: n for n, d in enumerate(round_.table.depots)}
    home = {k.name: depots[k.depot] for k in round_.table.tankers}
    return [Load(s.day, home[s.tanker], s.grade, s.kg) for s in stops if s.tanker in home]


def yard_of(round_: Round, roads: RoundRoads) -> Yard:
    """Return tankers, customers and roads as a day's routing takes them."""
    c, table, rules = round_.customers, round_.table, driver_rules(round_.table)
    depots = [d.name for d in table.depots]
    tankers = []
    for k in table.tankers:
        number = depots.index(k.depot)
        depot = table.depots[number]
        tankers.append(
            Tanker(
                place=roads.depot_place[number],
                payload_kg=int(k.carries_kg),
                chambers_kg=tuple(int(kg) for kg in k.chambers_kg),
                cost_per_km=k.cost_per_km[0],
                cost_per_h=k.cost_per_hour[0],
                starts_h=max(rules.shift_start_h, depot.opens_h),
                ends_h=min(rules.latest_end_h, depot.closes_h),
                max_trips=TRIPS,
                reload_min=math.ceil(60 * k.reload_h - 1e-6),
                max_driving_h=rules.driving_h_per_day,
            )
        )
    return Yard(
        tankers=tuple(tankers),
        rules=rules,
        grades=tuple(table.classes),
        laying_h=np.array([[k.laying_h(float(m)) for k in table.tankers] for m in c.hose_m], float).reshape(
            len(c), len(table.tankers)
        ),
        blow_kg_h=np.array([k.blow_rate_kg_h for k in table.tankers]),
        takes_h=np.stack([c.from_h, c.to_h], axis=1),
        roads=roads.roads,
    )
