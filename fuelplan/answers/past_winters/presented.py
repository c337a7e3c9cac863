"""What faces show of a replay beside its sentences: the table of the policies, and what it rests on."""

from __future__ import annotations

from collections.abc import Iterator

from fuelplan.answers.past_winters.answer import ReplayAnswer
from fuelplan.dispatch.replay import WinterInterval
from fuelplan.messages import Message, Money, Number, Own, Percent, Value, message

Row = tuple[Value, ...]

COLUMNS = {
    "plan": message("replay.column_plan", "the plan"),
    "rings": message("replay.column_rings", "when they ring"),
    "k-factor": message("replay.column_k_factor", "K-factor"),
}
FIGURES = (
    (
        message("replay.run_out_rate", "run-outs per 1,000 customer-years"),
        "run_outs_per_1000_customer_years",
        1,
    ),
    (message("replay.km_per_t", "kilometres a tonne"), "km_per_t", 2),
    (message("replay.km_per_burned_t", "kilometres a tonne burned"), "km_per_burned_t", 2),
    (message("replay.t_per_drop", "tonnes a drop"), "t_per_drop", 2),
    (None, "cost_per_t", 2),
    (message("replay.hours_per_t", "tanker hours a tonne"), "hours_per_t", 3),
    (message("replay.overtime", "overtime hours a year"), "overtime_h_per_year", 1),
)
"""Figures with an interval: what it is, its name in the summary, its decimals; a cost names its currency."""

COUNTS = (
    (message("replay.run_outs", "run-outs in all"), "run_outs"),
    (message("replay.late_orders", "orders late"), "late_orders"),
    (message("replay.drops", "drops"), "drops"),
)


def title(answer: ReplayAnswer) -> Message:
    """Return what was played."""
    return message(
        "replay.title",
        "{round}: {winters} winters played again",
        round=Own(answer.round), winters=len(answer.winters),
    )  # fmt: skip


def basis(answer: ReplayAnswer) -> Iterator[Message]:
    """Yield what the short budget loses, where that was looked at, and what was burned."""
    loss = answer.loss
    if loss is not None:
        yield message(
            "replay.loss",
            "On {evenings} evenings the search was given {full} moves as well as {moves}: the short budget "
            "loses {money} a plan of {days} days ({low} to {high}), {share} of what its deliveries cost.",
            evenings=loss.evenings, full=loss.full_moves, moves=loss.moves,
            money=Money(loss.per_plan.mean, answer.currency), days=answer.days,
            low=Number(loss.per_plan.low), high=Number(loss.per_plan.high), share=Percent(loss.share, 1),
        )  # fmt: skip
    yield message(
        "replay.burned", "What was burned: {truth}. Ranges hold 95 %, by winter.", truth=answer.truth
    )


def table(answer: ReplayAnswer) -> Iterator[Row]:
    """Yield the table of the policies, its head first: a row for each figure, a column for each policy."""
    yield Own(""), *(COLUMNS.get(p.name) or Own(p.name) for p in answer.policies)
    cost = message(
        "replay.cost_per_t", "{currency} a tonne, without the fuel", currency=Own(answer.currency)
    )
    for words, name, decimals in FIGURES:
        yield words or cost, *(_interval(getattr(p, name), decimals) for p in answer.policies)
    for words, name in COUNTS:
        yield words, *(int(getattr(p, name)) for p in answer.policies)


def _interval(found: WinterInterval, decimals: int) -> Message:
    return message(
        "replay.interval",
        "{mean} ({low} to {high})",
        mean=Number(found.mean, decimals), low=Number(found.low, decimals), high=Number(found.high, decimals),
    )  # fmt: skip
