"""The run plans of many depots: each with its own customers and tankers, planned anywhere, and joined."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

import numpy as np

from fuelplan.answers.round.came import what_came
from fuelplan.answers.round.roads import RoundRoads, roads_for_round
from fuelplan.answers.which_runs.answer import DayTotals, RunsAnswer
from fuelplan.answers.which_runs.runs import bound, plain_runs, refuse
from fuelplan.answers.who_is_due.answer import CustomerTable
from fuelplan.answers.who_is_due.beliefs import believe
from fuelplan.answers.who_is_due.outlook import answer_of
from fuelplan.answers.who_is_due.weather import RoundWeather
from fuelplan.dispatch.outlook import AHEAD_DAYS
from fuelplan.messages import Listed, Message, Own, Said, counted_message, message
from fuelplan.records.round import Round, depot_of_customers, part_of_depot, tours_of
from fuelplan.workers import HERE, Crew, results


@dataclass(frozen=True)
class _Asked:
    """What all depots share."""

    weather: RoundWeather
    as_of: date
    seed: int
    days: int
    moves: int | None
    seconds: float | None


@dataclass(frozen=True)
class _Depot:
    """One depot: all that a worker needs to plan it, without looking into a folder."""

    name: str
    round: Round
    roads: RoundRoads
    table: CustomerTable

    def __str__(self) -> str:
        return f"depot {self.name}"


def runs_by_depot(
    round_: Round,
    weather: RoundWeather,
    as_of: date,
    seed: int = 1,
    *,
    days: int | None = None,
    moves: int | None = None,
    seconds: float | None = None,
    crew: Crew = HERE,
    progress: Callable[[float, Said], object] | None = None,
) -> RunsAnswer:
    """Return the run plan of a round whose depots are planned each by itself, as one answer.

    Who falls to which depot is told by :func:`fuelplan.records.round.depot_of_customers`. No tanker goes to
    another depot's customers, and a customer without a yearly use borrows from those of its depot alone: the
    plan is another one than that of :func:`fuelplan.answers.runs`, and the same whoever works it out.

    Parameters
    ----------
    days
        As in :func:`fuelplan.answers.runs`.
    moves, seconds
        Budget of each depot.
    crew
        Who plans the depots.
    progress
        Called with (share of the depots done, which was done).

    Raises
    ------
    DepotError
        Where published runs of two depots go to one customer.
    """
    asked = _Asked(weather, as_of, seed, refuse(round_, days, seconds, moves), moves, seconds)
    depot_of = depot_of_customers(round_, as_of)
    which = [int(d) for d in np.unique(depot_of)]
    found: dict[int, RunsAnswer] = {}
    counted = what_came(round_, as_of).round
    table = answer_of(believe(counted, weather, as_of, seed, AHEAD_DAYS, crew=crew)).customers
    for number, one in results(crew, _plan, asked, _depots(round_, depot_of, which, table)):
        found[number] = one
        if progress is not None:
            done = counted_message(
                "runs.depot_done", "depot {depot}: {n} run", "depot {depot}: {n} runs",
                len(one.runs), depot=Own(round_.table.depots[which[number]].name),
            )  # fmt: skip
            progress(len(found) / len(which), done)
    sizes = {round_.table.depots[d].name: int((depot_of == d).sum()) for d in which}
    return bound(_joined(round_, [found[n] for n in range(len(which))], sizes), round_)


def _depots(
    round_: Round, depot_of: np.ndarray, which: Sequence[int], table: CustomerTable
) -> Iterator[_Depot]:
    """Yield the depots one by one: only those under way lie in memory with their distances."""
    tours = tours_of(round_)
    for d in which:
        part = part_of_depot(round_, depot_of, d)
        own = table.rows_of(np.flatnonzero(depot_of == d))
        yield _Depot(round_.table.depots[d].name, part, roads_for_round(part, tours=tours), own)


def _plan(asked: _Asked, depot: _Depot) -> RunsAnswer:
    """Plan one depot; runs at a worker."""
    return plain_runs(
        depot.round, asked.weather, asked.as_of, asked.seed,
        days=asked.days, moves=asked.moves, seconds=asked.seconds, progress=None, roads=depot.roads,
        table=depot.table,
    )  # fmt: skip


def _joined(round_: Round, many: Sequence[RunsAnswer], sizes: dict[str, int]) -> RunsAnswer:
    """Return the depots' answers as one, in the order that an answer of one piece has."""
    one = many[0]
    tanker = {k.name: n for n, k in enumerate(round_.table.tankers)}
    number = round_.customers.number_of
    order = {o.order: n for n, o in enumerate(round_.orders)}
    runs = _in_order(many, "runs", lambda r: (r.day, tanker[r.tanker], r.trip))
    stops = {s.customer: n for n, s in enumerate(s for r in reversed(runs) for s in reversed(r.stops))}
    per_day = _per_day([day for a in many for day in a.per_day])
    return RunsAnswer(
        round=round_.name,
        as_of=one.as_of,
        seed=one.seed,
        currency=one.currency,
        days=tuple(day.day for day in per_day),
        runs=runs,
        per_day=per_day,
        to_ring=_in_order(many, "to_ring", lambda r: (r.deliver_by or date.max, r.customer)),
        not_served=_in_order(
            many, "not_served", lambda x: (number[x.customer], order.get(x.order or "", -1))
        ),
        promises_at_risk=_in_order(many, "promises_at_risk", lambda p: order[p.order]),
        changes=tuple(c for a in many for c in a.changes),
        wishes_not_kept=tuple(w for a in many for w in a.wishes_not_kept),
        to_confirm=tuple(s for a in many for s in a.to_confirm),
        sentences=(),
        notes=tuple(dict.fromkeys([*(n for a in many for n in a.notes), _shares(sizes)])),
        cautions=one.cautions,
        attributions=tuple(dict.fromkeys(x for a in many for x in a.attributions)),
        cost=sum(a.cost for a in many),
        iterations=sum(a.iterations for a in many),
        reproducible=all(a.reproducible for a in many),
        due=_in_order(many, "due", lambda d: (not d.overdue, d.deliver_by, d.customer)),
        calls=_in_order(many, "calls", lambda r: -stops[r.customer]),
        invented=any(a.invented for a in many),
        readings_doubted=_in_order(many, "readings_doubted", lambda d: number[d.customer]),
    )


def _in_order(many: Sequence[RunsAnswer], name: str, key: Callable[[Any], Any]) -> tuple[Any, ...]:
    """Return a list of all depots as one, sorted."""
    return tuple(sorted((row for answer in many for row in getattr(answer, name)), key=key))


def _shares(sizes: dict[str, int]) -> Message:
    """Return how many customers fall to each depot."""
    shares = tuple(
        counted_message(
            "runs.share_of_depot", "{depot} with {n} customer", "{depot} with {n} customers",
            count, depot=Own(name),
        )
        for name, count in sizes.items()
    )  # fmt: skip
    return message(
        "runs.depots_apart", "Each depot is planned by itself: {shares}.", shares=Listed(shares, ", ")
    )


def _per_day(days: Sequence[DayTotals]) -> tuple[DayTotals, ...]:
    """Return the sums over the depots, day by day."""
    names = [f.name for f in fields(DayTotals) if f.name != "day"]
    return tuple(
        DayTotals(day, *(sum(getattr(d, name) for d in days if d.day == day) for name in names))
        for day in sorted({d.day for d in days})
    )
