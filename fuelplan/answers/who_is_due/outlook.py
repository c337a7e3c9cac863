"""What lies ahead of all customers of a round: from its folder and the weather to the answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.round.came import what_came
from fuelplan.answers.weather_of_site import if_invented
from fuelplan.answers.who_is_due.answer import CustomerTable, LatePromise, OutlookAnswer, Weekly, day_of
from fuelplan.answers.who_is_due.beliefs import Beliefs, believe
from fuelplan.answers.who_is_due.deadlines import deliver_by, planned_until
from fuelplan.answers.who_is_due.doubts import readings_doubted
from fuelplan.answers.who_is_due.weather import RoundWeather
from fuelplan.answers.who_is_due.words import sentences_of
from fuelplan.dispatch import outlook as room
from fuelplan.dispatch.outlook import AHEAD_DAYS, Outlook, OutlookSettings
from fuelplan.records.round import Round, credit_stopped
from fuelplan.workers import HERE, Crew

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]

LEVEL_SHARES = (0.1, 0.5, 0.9)


def outlook(
    round_: Round,
    weather: RoundWeather,
    as_of: date,
    seed: int = 1,
    *,
    days: int = AHEAD_DAYS,
    workers: int = 2,
    crew: Crew = HERE,
    progress: Callable[[int, int], None] | None = None,
) -> OutlookAnswer:
    """Return what lies ahead of all customers as known on the evening of `as_of`.

    Parameters
    ----------
    days
        How far ahead, 1 to 730. [days]
    workers
        Threads of this process, where it does the work.
    crew
        Other processes or machines that do it, in blocks of customers; the answer is the same to the bit.
    progress
        Called with (customers learned, customers).
    """
    books = what_came(round_, as_of).round
    beliefs = believe(books, weather, as_of, seed, days, workers=workers, crew=crew, progress=progress)
    return answer_of(beliefs, workers)


def answer_of(beliefs: Beliefs, workers: int = 2) -> OutlookAnswer:
    """Return the answer from what is believed."""
    ahead = _ahead(beliefs, workers)
    run_out = first_out = _run_out(beliefs, ahead)
    if beliefs.days == AHEAD_DAYS:
        table = _customers(beliefs, ahead, run_out)
    else:
        books, weather, as_of = beliefs.round, beliefs.weather, beliefs.as_of
        near = believe(books, weather, as_of, beliefs.seed, AHEAD_DAYS, learned=beliefs)
        soon = _ahead(near, workers, weekly=False)
        table, first_out = _customers(near, soon, run_out), _run_out(near, soon)
    until = planned_until(beliefs.round, beliefs.as_of)
    due = _by_urgency(table, table.due(until), first_out)
    to_ring = _by_urgency(table, table.to_ring, first_out)
    ahead = _of_those_who_stay(beliefs, ahead)
    weekly, burned = _weekly(beliefs, ahead.delivered_t()), _weekly(beliefs, ahead.burned_t())
    late = _late(beliefs.round, table, beliefs.as_of)
    doubted = readings_doubted(beliefs)
    return OutlookAnswer(
        round=beliefs.round.name,
        as_of=beliefs.as_of,
        seed=beliefs.seed,
        horizon_days=beliefs.days,
        risk_limit=beliefs.round.table.rules.risk,
        sentences=(
            *if_invented(beliefs.weather.invented),
            *sentences_of(table, weekly, burned, due, to_ring, late, until, doubted),
        ),
        customers=table,
        weekly_t=weekly,
        weekly_burned_t=burned,
        weekly_t_by_class={
            name: _weekly(beliefs, ahead.delivered_t(group=g))
            for g, name in enumerate(beliefs.round.table.classes)
            if g < len(ahead.delivered_kg)
        },
        due=due,
        to_ring=to_ring,
        late_promises=late,
        winters=min(w.winters for w in beliefs.winters),
        draws=beliefs.draws,
        notes=beliefs.notes,
        attributions=beliefs.weather.attributions,
        readings_doubted=doubted,
        invented=beliefs.weather.invented,
    )


def _ahead(beliefs: Beliefs, workers: int, weekly: bool = True) -> Outlook:
    """Return what lies ahead, and by when the accepted chance of a level below the reserve is used up."""
    past = room.share_beyond(beliefs.round.table.rules.risk, beliefs.draws)
    ask = OutlookSettings(
        beliefs.draws, beliefs.seed, below_shares=(past,), level_shares=LEVEL_SHARES, weekly=weekly
    )
    return room.outlook_of(beliefs.tables, beliefs.store, beliefs.summary, ask, workers=workers)


def _customers(near: Beliefs, ahead: Outlook, run_out: Dates) -> CustomerTable:
    """Return the table of customers; `near` looks :data:`AHEAD_DAYS` ahead, `ahead` is its."""
    round_, c, level = near.round, near.round.customers, ahead.level_kg
    last = ahead.below_day[:, 0].astype(np.int64)
    must_come, overdue = deliver_by(round_, near.as_of, near.days, last)
    ordered = np.zeros(len(c), bool)
    stopped = np.array([credit_stopped(c, i) for i in range(len(c))], bool)
    for order in round_.orders:
        row = c.number_of[order.customer]
        ordered[row] = True
        stopped[row] = credit_stopped(c, row, order)
    limit = np.datetime64(planned_until(round_, near.as_of), "D")
    low = (level[:, 1] <= round_.table.rules.ring_at * c.store_kg) | (must_come <= limit)
    left = c.gone(near.as_of + timedelta(days=1))
    return CustomerTable(
        customer=c.id,
        name=c.name,
        top_up=c.top_up,
        ordered=ordered,
        credit_stop=stopped,
        store_kg=c.store_kg,
        reserve_kg=near.store.reserve_kg,
        level_kg=level,
        told_day=near.told_day,
        run_out=run_out,
        deliver_by=must_come,
        overdue=overdue,
        to_ring=~c.top_up & ~ordered & ~stopped & ~left & low,
        left=left,
    )


def _by_urgency(table: CustomerTable, which: Bools, run_out: Dates) -> tuple[int, ...]:
    """Return the rows of some customers: overdue ones first, then by day, then by the early run-out.

    `run_out` is looked for as far ahead as deadlines are, so that the order is always the same.
    """
    rows = np.flatnonzero(which)
    far = np.datetime64("9999-12-31", "D")
    day = np.where(np.isnat(table.deliver_by[rows]), far, table.deliver_by[rows])
    out = np.where(np.isnat(run_out[rows, 1]), far, run_out[rows, 1])
    order = np.lexsort((rows, out, day, ~table.overdue[rows]))
    return tuple(int(i) for i in rows[order])


def _run_out(beliefs: Beliefs, ahead: Outlook) -> Dates:
    """Return the days by which stores are empty, NaT beyond the horizon and for those who left."""
    found = np.where(ahead.empty_day >= 0, beliefs.evenings[ahead.empty_day], np.datetime64("NaT", "D"))
    found[beliefs.round.customers.gone(beliefs.as_of + timedelta(days=1))] = np.datetime64("NaT", "D")
    return found


def _of_those_who_stay(beliefs: Beliefs, ahead: Outlook) -> Outlook:
    """Return the outlook without the group of those who left; each class is a group."""
    classes = len(beliefs.round.table.classes)
    return replace(ahead, burned_kg=ahead.burned_kg[:classes], delivered_kg=ahead.delivered_kg[:classes])


def _weekly(beliefs: Beliefs, quantiles_t: Floats) -> Weekly:
    first = tuple(beliefs.as_of + timedelta(days=1 + 7 * week) for week in range(quantiles_t.shape[1]))
    low, middle, high = (tuple(round(float(x), 1) for x in row) for row in quantiles_t)
    return Weekly(first, low, middle, high)


def _late(round_: Round, table: CustomerTable, as_of: date) -> tuple[LatePromise, ...]:
    """Return the orders promised for later than the customer can surely wait."""
    found = []
    for order in round_.orders:
        row = round_.customers.number_of[order.customer]
        last = day_of(table.deliver_by[row])
        if last is None or credit_stopped(round_.customers, row, order) or order.last < as_of:
            continue
        if order.last > last:
            late = LatePromise(
                order.order,
                order.customer,
                str(table.name[row]),
                order.last,
                last,
                bool(table.overdue[row]),
            )
            found.append(late)
    return tuple(sorted(found, key=lambda late: (late.deliver_by, late.customer)))
