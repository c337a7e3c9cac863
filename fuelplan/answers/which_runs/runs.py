"""Which runs this week: the join from a round's folder and the weather to the run plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from fuelplan.answers.round.came import what_came
from fuelplan.answers.round.roads import RoundRoads, distances_said, roads_for_round
from fuelplan.answers.which_runs.answer import RunsAnswer
from fuelplan.answers.which_runs.build import day_totals, runs_of
from fuelplan.answers.which_runs.changes import changes_of, wishes_not_kept
from fuelplan.answers.which_runs.from_books import desk_of, levels_of, prices_of
from fuelplan.answers.which_runs.lists import calls, due_customers, not_served, promises_at_risk, to_ring
from fuelplan.answers.which_runs.seen import token_of
from fuelplan.answers.which_runs.words import sentences_of
from fuelplan.answers.who_is_due.answer import CustomerTable
from fuelplan.answers.who_is_due.beliefs import believe
from fuelplan.answers.who_is_due.doubts import more_kg, readings_doubted
from fuelplan.answers.who_is_due.outlook import answer_of
from fuelplan.answers.who_is_due.weather import RoundWeather
from fuelplan.dispatch.outlook import AHEAD_DAYS
from fuelplan.dispatch.published import keep_published
from fuelplan.dispatch.run_plan import Budget, RunPlan, fuller, routed_week, week_of, yard_of
from fuelplan.messages import Message, Own, Refusal, Said, cautions, counted_message, message
from fuelplan.records.round import Round

DEFAULT_MOVES_A_ROW = 400
"""Moves of the search for each customer or order in the plan."""

BEYOND_DAYS = 7
"""Days looked at beyond the last planned one, so that it is not followed by nothing."""

LEAST_MOVES, MOST_MOVES = 8_000, 60_000
"""With a thousand customers more moves than these gain little for the minutes they take."""

CAUTIONS = (
    ("boiler-off-before-filling", "a tanker fills the store"),
    ("vented-caps", "a tanker fills the store"),
    ("store-never-enter", "drivers work beside stores"),
    ("store-entry", "drivers work beside stores"),
    ("co-store", "pellets are stored"),
    ("dust", "pellets are blown"),
)
"""What is shown with every run plan, and why."""


class RunsInputError(Refusal):
    """A question about runs that cannot be answered, and what to ask instead."""


def runs(
    round_: Round,
    weather: RoundWeather,
    as_of: date,
    seed: int = 1,
    *,
    days: int | None = None,
    moves: int | None = None,
    seconds: float | None = None,
    progress: Callable[[float, Said], bool] | None = None,
    roads: RoundRoads | None = None,
) -> RunsAnswer:
    """Return the run plan of the working days after `as_of`.

    Parameters
    ----------
    days
        Working days to plan, 1 to 15; None: as the round's rules say.
    moves, seconds
        Budget of the search: moves (the same every time; None: by the number of customers) or seconds.
    progress
        Called with (share done, what is being done); False stops the search and routes the best plan so far.
    roads
        Distances, where they are known already.
    """
    answer = plain_runs(
        round_, weather, as_of, seed, days=days, moves=moves, seconds=seconds, progress=progress, roads=roads
    )
    return bound(answer, round_)


def bound(answer: RunsAnswer, round_: Round) -> RunsAnswer:
    """Return the plan in words, with its token, and the round that it was made from."""
    return replace(answer, sentences=sentences_of(answer), plan=token_of(round_, answer), made_from=round_)


def refuse(round_: Round, days: int | None, seconds: float | None, moves: int | None = None) -> int:
    """Return the working days to plan; refuse a question that cannot be answered."""
    count = round_.table.rules.horizon_days if days is None else days
    if not 1 <= count <= 15:
        raise RunsInputError(message("runs.days_asked", "{n} working days; plan 1 to 15", n=count))
    if seconds is not None and not 0 < seconds <= 86_400:
        raise RunsInputError(
            message(
                "runs.seconds_asked", "a budget of {seconds} s; write seconds above 0, up to a day",
                seconds=Own(f"{seconds:g}"),
            )
        )  # fmt: skip
    if moves is not None and moves < 0:
        raise RunsInputError(message("runs.moves_asked", "a budget of {n} moves; write 0 or more", n=moves))
    return count


def plain_runs(
    round_: Round, weather: RoundWeather, as_of: date, seed: int, *,
    days: int | None, moves: int | None, seconds: float | None,
    progress: Callable[[float, Said], bool] | None, roads: RoundRoads | None,
    table: CustomerTable | None = None,
) -> RunsAnswer:  # fmt: skip
    """Return the run plan, not yet in words nor bound to its folder.

    `table` are the customers as the outlook has them, where the round is a part of a larger one: a deadline
    is the same in the part.
    """
    count = refuse(round_, days, seconds, moves)
    tell = progress or (lambda _share, _what: True)
    tell(0.0, message("runs.believing", "what is believed of every customer"))
    came = what_came(round_, as_of)
    round_, maybe_kg = came.round, came.maybe_kg()
    beliefs = believe(round_, weather, as_of, seed, AHEAD_DAYS)
    table = table or answer_of(beliefs).customers
    levels = levels_of(beliefs, 2 * count + 14 + BEYOND_DAYS)
    desk = desk_of(round_, as_of)
    maybe_kg = maybe_kg + more_kg(beliefs, levels)
    roads = roads or roads_for_round(round_)
    yard = yard_of(desk, roads.roads, roads.depot_place)
    kept = keep_published(
        desk, yard, levels, fuller(levels, maybe_kg), table.deliver_by, table.overdue,
        desk.planned_days(count),
    )  # fmt: skip
    week = week_of(desk, levels, count, table.deliver_by, kept.stops, maybe_kg)
    if moves is None:
        moves = min(MOST_MOVES, max(LEAST_MOVES, DEFAULT_MOVES_A_ROW * len(week.rows)))
    budget = Budget(None if seconds is not None else moves, seconds)
    plan = routed_week(
        week, yard, roads.depot_place, budget, seed=seed, risk=desk.supplier.risk,
        prices=prices_of(round_), progress=tell,
    )  # fmt: skip
    found = runs_of(desk, week, plan, kept, roads.roads, table)
    per_day = day_totals(desk, week, found)
    due = due_customers(table, [day.day for day in per_day], found)
    return RunsAnswer(
        round=round_.name,
        as_of=as_of,
        seed=seed,
        currency=round_.table.currency or "",
        days=tuple(day.day for day in per_day),
        runs=tuple(found),
        per_day=tuple(per_day),
        to_ring=tuple(to_ring(round_, table, maybe_kg)),
        not_served=tuple(not_served(round_, week, plan, roads, table, due)),
        promises_at_risk=tuple(promises_at_risk(round_, week, found, table, as_of)),
        changes=tuple(changes_of(desk, kept, found)),
        wishes_not_kept=tuple(wishes_not_kept(desk, week, plan, kept, found)),
        to_confirm=came.to_confirm,
        sentences=(),
        notes=(
            *_stopped(plan),
            *came.notes,
            *week.notes,
            *beliefs.notes,
            *roads.notes,
            distances_said(roads),
        ),
        cautions=_cautions(),
        attributions=tuple(x for x in (*weather.attributions, roads.roads.attribution) if x),
        cost=sum(run.cost for run in found)
        + desk.supplier.overtime_per_h * sum(day.overtime_h for day in per_day),
        iterations=plan.solution.moves,
        reproducible=seconds is None and not plan.stopped,
        due=tuple(due),
        calls=tuple(calls(round_, table, found)),
        readings_doubted=readings_doubted(beliefs),
        invented=weather.invented,
    )


def _stopped(plan: RunPlan) -> tuple[Message, ...]:
    """Return what to say of a search that somebody stopped."""
    if not plan.stopped:
        return ()
    return (
        counted_message(
            "runs.stopped",
            "Stopped after {n} move: a whole search may find a cheaper plan.",
            "Stopped after {n} moves: a whole search may find a cheaper plan.",
            plan.solution.moves,
        ),
    )


def _cautions() -> tuple[Said, ...]:
    """Return what whoever works at a store must know."""
    return tuple(cautions.caution(name, why).text for name, why in CAUTIONS)
