"""What lies ahead of all customers of a round: from its folder and the weather to the answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan import outlook as room
from fuelplan.answers.outlook_answer import CustomerTable, LatePromise, OutlookAnswer, Weekly, day_of
from fuelplan.answers.outlook_beliefs import Beliefs, believe
from fuelplan.answers.outlook_weather import RoundWeather
from fuelplan.answers.outlook_words import sentences_of
from fuelplan.answers.runs_came import what_came
from fuelplan.outlook import CustomerDraws, Outlook
from fuelplan.outlook.ahead import ChunkOutlook
from fuelplan.round_folder import Round, credit_stopped
from fuelplan.workers import HERE, Crew, done_in_order
from fuelplan.working_days import WorkingDays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
LEVEL_SHARES = (0.1, 0.5, 0.9)


def outlook(
    round_: Round,
    weather: RoundWeather,
    as_of: date,
    seed: int = 1,
    *,
    days: int = 90,
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
        Called with (customers done, customers).
    """
    books = what_came(round_, as_of).round
    return answer_of(believe(books, weather, as_of, seed, days), workers, progress, crew)


def answer_of(
    beliefs: Beliefs,
    workers: int = 2,
    progress: Callable[[int, int], None] | None = None,
    crew: Crew = HERE,
) -> OutlookAnswer:
    """Return the answer from what is believed."""
    ahead, level = _ahead(beliefs, workers, progress) if crew.here else _spread(beliefs, crew, progress)
    table = _customers(beliefs, ahead, level)
    limit = np.datetime64(planned_until(beliefs.round, beliefs.as_of), "D")
    soon = ~np.isnat(table.must_go_by) & (table.must_go_by <= limit) & ~table.credit_stop
    must_go = _by_urgency(table, soon & table.managed)
    to_ring = _by_urgency(table, table.to_ring)
    weekly, burned = _weekly(beliefs, ahead.delivered_t()), _weekly(beliefs, ahead.burned_t())
    late = _late(beliefs.round, table, beliefs.as_of)
    return OutlookAnswer(
        round=beliefs.round.name,
        as_of=beliefs.as_of,
        seed=beliefs.seed,
        horizon_days=beliefs.days,
        risk_limit=beliefs.round.table.rules.risk,
        sentences=sentences_of(table, weekly, burned, must_go, to_ring, late, limit.item()),
        customers=table,
        weekly_t=weekly,
        weekly_burned_t=burned,
        weekly_t_by_class={
            name: _weekly(beliefs, ahead.delivered_t(group=g))
            for g, name in enumerate(beliefs.round.table.classes)
            if g < beliefs.store.groups
        },
        must_go=must_go,
        to_ring=to_ring,
        late_promises=late,
        winters=min(w.winters for w in beliefs.winters),
        draws=beliefs.draws,
        notes=beliefs.notes,
        attributions=beliefs.weather.attributions,
    )


def _ahead(
    beliefs: Beliefs, workers: int, progress: Callable[[int, int], None] | None
) -> tuple[Outlook, Floats]:
    """Return the outlook and the levels now, (customers, shares), worked out by threads of this process."""
    level = np.empty((len(beliefs.store), len(LEVEL_SHARES)))

    def draw(part: slice) -> CustomerDraws:
        drawn = beliefs.draw(part)
        level[part] = np.quantile(drawn.level_kg, LEVEL_SHARES, axis=1).T
        return drawn

    ahead = room.outlook_of(
        beliefs.tables, beliefs.store, draw, beliefs.draws, workers=workers, progress=progress
    )
    return ahead, level


def _spread(
    beliefs: Beliefs, crew: Crew, progress: Callable[[int, int], None] | None
) -> tuple[Outlook, Floats]:
    """Return the same, worked out by others in blocks of customers."""
    customers = len(beliefs.store)
    asked = room.asked(beliefs.tables, beliefs.store, beliefs.draws)
    ground = room.ground_of(beliefs.tables, beliefs.many, asked, beliefs.seed, LEVEL_SHARES)
    levels: list[Floats] = []

    def chunks() -> Iterator[ChunkOutlook]:
        blocks = room.blocks_of(beliefs.many, beliefs.store)
        for found in done_in_order(crew, room.block_outlook, ground, blocks):
            levels.append(found.level_kg)
            yield from found.chunks
            if progress:
                progress(sum(map(len, levels)), customers)

    ahead = room.joined(beliefs.tables, customers, asked, chunks())
    return ahead, np.concatenate(levels)


def calendar_of(round_: Round) -> WorkingDays:
    """Return the days on which the tankers drive."""
    rules, place = round_.table.rules, round_.table.place
    country = place.country if rules.bank_holidays else None
    closed = tuple(i for i, name in enumerate(WEEKDAYS) if name not in rules.weekdays)
    subdivision = place.subdivision if country is not None else None
    return WorkingDays(country, subdivision, closed, tuple(rules.closed))


def planned_until(round_: Round, as_of: date) -> date:
    """Return the last of the working days that are planned ahead."""
    return calendar_of(round_).add(as_of, round_.table.rules.horizon_days)


def _customers(beliefs: Beliefs, ahead: Outlook, level: Floats) -> CustomerTable:
    round_, c = beliefs.round, beliefs.round.customers
    assert ahead.below_chance is not None
    evenings = beliefs.evenings
    run_out = np.where(ahead.empty_day >= 0, evenings[ahead.empty_day], np.datetime64("NaT", "D"))
    last = room.must_go_day(ahead.below_chance, round_.table.rules.risk)
    must_go, overdue = _served_by(beliefs, last)
    ordered, stopped = np.zeros(len(c), bool), c.credit_stop.copy()
    for order in round_.orders:
        row = c.number_of[order.customer]
        ordered[row] = True
        stopped[row] = credit_stopped(c, row, order)
    limit = np.datetime64(planned_until(round_, beliefs.as_of), "D")
    low = (level[:, 1] <= round_.table.rules.ring_at * c.store_kg) | (must_go <= limit)
    return CustomerTable(
        customer=c.id,
        name=c.name,
        managed=c.managed,
        ordered=ordered,
        credit_stop=stopped,
        store_kg=c.store_kg,
        reserve_kg=beliefs.store.reserve_kg,
        level_kg=level,
        told_day=beliefs.told_day,
        run_out=run_out,
        must_go_by=must_go,
        overdue=overdue,
        to_ring=~c.managed & ~ordered & ~stopped & low,
    )


def _served_by(beliefs: Beliefs, last: Ints) -> tuple[Dates, Bools]:
    """Return the last day up to day `last` on which a tanker drives and the customer takes fuel.

    Where there is none after today, the first such day, and True. `last` is −1 beyond the days looked ahead.
    """
    calendar, c = calendar_of(beliefs.round), beliefs.round.customers
    first = beliefs.as_of + timedelta(days=1)
    open_days = calendar.between(first, beliefs.as_of + timedelta(days=beliefs.days + 14))
    weekday = (open_days.astype("datetime64[D]").view("int64") + 3) % 7  # 1970-01-01 was a Thursday
    patterns, which = np.unique(c.weekdays, axis=0, return_inverse=True)
    must_go = np.full(len(last), np.datetime64("NaT", "D"))
    overdue = np.zeros(len(last), bool)
    until = np.datetime64(beliefs.as_of, "D") + last
    for p, pattern in enumerate(patterns):
        mine = (which.ravel() == p) & (last >= 0)
        days = open_days[pattern[weekday]] if pattern.any() else open_days
        if not mine.any() or not len(days):
            continue
        at = np.searchsorted(days, until[mine], side="right") - 1
        overdue[mine] = at < 0
        must_go[mine] = days[np.maximum(at, 0)]
    return must_go, overdue


def _by_urgency(table: CustomerTable, which: Bools) -> tuple[int, ...]:
    """Return the rows of some customers: overdue ones first, then by day, then by the early run-out."""
    rows = np.flatnonzero(which)
    far = np.datetime64("9999-12-31", "D")
    day = np.where(np.isnat(table.must_go_by[rows]), far, table.must_go_by[rows])
    out = np.where(np.isnat(table.run_out[rows, 1]), far, table.run_out[rows, 1])
    order = np.lexsort((rows, out, day, ~table.overdue[rows]))
    return tuple(int(i) for i in rows[order])


def _weekly(beliefs: Beliefs, quantiles_t: Floats) -> Weekly:
    first = tuple(beliefs.as_of + timedelta(days=1 + 7 * week) for week in range(quantiles_t.shape[1]))
    low, middle, high = (tuple(round(float(x), 1) for x in row) for row in quantiles_t)
    return Weekly(first, low, middle, high)


def _late(round_: Round, table: CustomerTable, as_of: date) -> tuple[LatePromise, ...]:
    """Return the orders promised for later than the customer can surely wait."""
    found = []
    for order in round_.orders:
        row = round_.customers.number_of[order.customer]
        must_go = day_of(table.must_go_by[row])
        if must_go is None or credit_stopped(round_.customers, row, order) or order.last < as_of:
            continue
        if order.last > must_go:
            late = LatePromise(
                order.order,
                order.customer,
                str(table.name[row]),
                order.last,
                must_go,
                bool(table.overdue[row]),
            )
            found.append(late)
    return tuple(sorted(found, key=lambda late: (late.must_go_by, late.customer)))
