"""Past winters of a round played again: the plan beside two simple rules, without looking ahead."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.past_winters.answer import BudgetLoss, ReplayAnswer
from fuelplan.answers.past_winters.books import largest_drop_kg
from fuelplan.answers.past_winters.planner import planner_of
from fuelplan.answers.past_winters.words import HOUSEHOLDS, NOTES, sentences_of
from fuelplan.answers.past_winters.world import RoundWorld, truth_of_books
from fuelplan.answers.round.roads import RoundRoads, distances_said, roads_for_round
from fuelplan.answers.weather_of_site import if_invented
from fuelplan.answers.who_is_due.weather import RoundWeather
from fuelplan.dispatch.replay import (
    MIDSUMMER,
    PLAN,
    POLICIES,
    PastWinter,
    PlanSettings,
    Tally,
    Truth,
    against,
    mean_over_winters,
    past_winters,
    play,
    summary_of,
)
from fuelplan.messages import Listed, Message, Number, Own, Refusal, counted_message, message
from fuelplan.records.round import Round
from fuelplan.weather import place_seasons
from fuelplan.workers import HERE, Crew, results

Floats = NDArray[np.float64]
Progress = Callable[[float, Message], None]
Found = dict[tuple[str, str], tuple[Tally, tuple[float, ...]]]

FULL_MOVES_A_CUSTOMER, FULL_MOVES_LEAST = 400, 8_000
"""The budget that `fuelplan runs` has for one plan, against which the short one is held."""


def _midsummer(weather: RoundWeather) -> int:
    """Return the month in which a heating year begins where the round lies."""
    return place_seasons(weather.areas[0].record).month(MIDSUMMER) or MIDSUMMER


class ReplayInputError(Refusal):
    """A replay that cannot be played, and what to ask instead."""


@dataclass(frozen=True)
class _Job:
    """One winter under one policy, as it is handed to a process of its own."""

    round: Round
    weather: RoundWeather
    roads: RoundRoads
    winter: PastWinter
    use_kg: Floats
    as_of: date
    policy: str
    settings: PlanSettings
    seed: int
    full_moves: int
    full_days: int

    def __str__(self) -> str:
        return f"winter {self.winter.name} under {self.policy}"


def replay(
    round_: Round,
    weather: RoundWeather,
    winters: int = 10,
    seed: int = 1,
    *,
    as_of: date,
    truth: Truth | None = None,
    truth_words: Message | None = None,
    policies: Sequence[str] = POLICIES,
    settings: PlanSettings | None = None,
    which: Sequence[PastWinter] | None = None,
    workers: int = 2,
    crew: Crew | None = None,
    full_days: int = 20,
    progress: Progress | None = None,
) -> ReplayAnswer:
    """Return how the plan does beside two rules over past winters.

    Parameters
    ----------
    winters
        The last so many whole heating years (from midsummer to midsummer) before `as_of`, two at least.
    truth, truth_words
        What is burned, and what to say of it; None: households drawn from the round's books.
    policies
        Of :data:`fuelplan.dispatch.replay.POLICIES`; the first is held against each of the others.
    which
        Other winters than the last ones.
    workers
        Processes; 1: this one alone.
    crew
        Who plays the winters instead, e.g. the workers of a dask scheduler.
    full_days
        Evenings of the last winter on which the short budget is held against the full one; 0: not at all.
    progress
        Called with (share done, what was played).

    Raises
    ------
    ReplayInputError
        For fewer than two winters, or a policy that there is none of.
    ValueError
        Where the weather does not reach back far enough.
    """
    unknown = [p for p in policies if p not in POLICIES]
    if unknown or not policies:
        raise ReplayInputError(
            message(
                "replay.unknown_policy", "no policy is called {unknown}; choose from {known}",
                unknown=_names(unknown or [""]), known=_names(POLICIES),
            )
        )  # fmt: skip
    chosen = tuple(which) if which is not None else past_winters(as_of, winters, _midsummer(weather))
    if len(chosen) < 2:
        raise ReplayInputError(
            counted_message(
                "replay.too_few_winters",
                "{n} winter tells no spread; ask for 2 or more",
                "{n} winters tell no spread; ask for 2 or more",
                len(chosen),
            )
        )
    settings = settings or PlanSettings()
    if truth is None:
        truth = truth_of_books(round_, weather, as_of, seed)
        truth_words = HOUSEHOLDS
    roads = roads_for_round(round_)
    full = max(FULL_MOVES_LEAST, FULL_MOVES_A_CUSTOMER * len(round_.customers))
    jobs = [
        _Job(
            round_, weather, roads, w, truth(w.books_from, w.last_day), as_of, p, settings, seed, full,
            full_days if p == PLAN and w is chosen[-1] else 0,
        )
        for w in chosen
        for p in policies
    ]  # fmt: skip
    found: Found = {}
    if crew is None:
        crew = Crew(workers) if workers > 1 else HERE
    for n, (_, (tally, losses)) in enumerate(results(crew, _play, None, jobs)):
        found[tally.policy, tally.winter] = tally, losses
        if progress is not None:
            progress((n + 1) / len(jobs), _played(tally))
    return _answer(
        round_, weather, roads, chosen, policies, settings, found, as_of, seed, truth_words or HOUSEHOLDS,
        full,
    )  # fmt: skip


def _play(_: None, job: _Job) -> tuple[Tally, tuple[float, ...]]:
    world = RoundWorld(job.round, job.weather, job.winter, job.use_kg, job.as_of, job.seed)
    planner = planner_of(job.policy, world, job.roads, job.settings, job.seed)
    played = play(world, planner, full_moves=job.full_moves, full_days=job.full_days)
    return played.tally, played.losses


def _answer(
    round_: Round, weather: RoundWeather, roads: RoundRoads, chosen: Sequence[PastWinter],
    policies: Sequence[str], settings: PlanSettings, found: Found,
    as_of: date, seed: int, truth_words: Message, full_moves: int,
) -> ReplayAnswer:  # fmt: skip
    names = tuple(w.name for w in chosen)
    rows = {p: [found[p, name][0] for name in names] for p in policies}
    summaries = tuple(summary_of(rows[p]) for p in policies)
    differences = tuple(against(rows[policies[0]], rows[p]) for p in policies[1:])
    served = largest_drop_kg(round_) > 0
    customers, top_up = int(served.sum()), int((served & round_.customers.top_up).sum())
    notes = [*NOTES, distances_said(roads)]
    if customers < len(served):
        notes.insert(0, _unreached(len(served) - customers))
    return ReplayAnswer(
        round=round_.name,
        as_of=as_of,
        seed=seed,
        currency=round_.table.money or "",
        winters=names,
        customers=customers,
        top_up=top_up,
        policies=summaries,
        differences=differences,
        tallies=tuple(t for p in policies for t in rows[p]),
        truth=truth_words,
        moves=settings.moves,
        days=settings.days,
        loss=_loss(found, rows, settings, full_moves),
        sentences=(
            *if_invented(weather.invented),
            *sentences_of(summaries, differences, names, top_up / max(1, customers)),
        ),
        notes=tuple(notes),
        invented=weather.invented,
        attributions=tuple(x for x in (*weather.attributions, roads.roads.attribution) if x),
    )


def _played(tally: Tally) -> Message:
    """Return what a winter under one policy came to, for whoever waits."""
    return counted_message(
        "replay.winter_played",
        "{winter}, {policy}: {km} km a tonne, {n} run-out",
        "{winter}, {policy}: {km} km a tonne, {n} run-outs",
        tally.run_outs,
        winter=Own(tally.winter), policy=Own(tally.policy),
        km=Number(tally.km / max(tally.delivered_kg / 1000, 1e-9), 2),
    )  # fmt: skip


def _unreached(customers: int) -> Message:
    return counted_message(
        "replay.unreached",
        "{n} customer that no tanker reaches is left out.",
        "{n} customers that no tanker reaches are left out.",
        customers,
    )


def _names(texts: Sequence[str]) -> Listed:
    return Listed(tuple(Own(text) for text in texts), ", ")


def _loss(
    found: Found, rows: dict[str, list[Tally]], settings: PlanSettings, full_moves: int
) -> BudgetLoss | None:
    """Return what the short budget loses on the evenings on which both were tried."""
    losses = np.array([x for _, values in found.values() for x in values])
    if len(losses) < 2:
        return None
    per_plan = mean_over_winters(losses)
    tallies = rows[PLAN]
    a_day = sum(t.cost for t in tallies) / (250.0 * len(tallies))  # about 250 working days a year
    share = per_plan.mean / (a_day * settings.days)
    return BudgetLoss(len(losses), settings.moves, full_moves, per_plan, share)


def with_moves(moves: int | None) -> PlanSettings:
    """Return the usual settings with another budget of moves."""
    return PlanSettings() if moves is None else replace(PlanSettings(), moves=moves)
