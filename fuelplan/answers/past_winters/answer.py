"""What a replay answers, as figures, as JSON and in a sentence."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from fuelplan.answers.as_json import SCHEMA, plain
from fuelplan.dispatch.replay import Against, PolicySummary, Tally, WinterInterval

WORDS = {
    "plan": "the plan",
    "rings": "serving customers when they ring",
    "k-factor": "the K-factor rule",
}


@dataclass(frozen=True)
class BudgetLoss:
    """What the short budget of an evening loses against the full one.

    `per_plan` is the mean difference of the plans' cost with its 95 % interval over evenings [money]; `share`
    the mean as a share of what the deliveries of as many days cost.
    """

    evenings: int
    moves: int
    full_moves: int
    per_plan: WinterInterval
    share: float


@dataclass(frozen=True)
class ReplayAnswer:
    """Policies over past winters.

    Attributes
    ----------
    winters
        Names such as "2015/16".
    customers, top_up
        Customers that were played, and how many of them are topped up.
    policies, differences, tallies
        Summaries; the plan against each rule; every winter of every policy.
    truth
        What was burned: in words.
    moves, days
        Moves of each evening's search, working days planned ahead.
    loss
        None where it was not asked for.
    """

    round: str
    as_of: date
    seed: int
    currency: str
    winters: tuple[str, ...]
    customers: int
    top_up: int
    policies: tuple[PolicySummary, ...]
    differences: tuple[Against, ...]
    tallies: tuple[Tally, ...]
    truth: str
    moves: int
    days: int
    loss: BudgetLoss | None
    sentences: tuple[str, ...]
    notes: tuple[str, ...]
    attributions: tuple[str, ...]

    @property
    def managed_share(self) -> float:
        """Share of top-up contracts; the name of schema 1."""
        return self.top_up / self.customers

    def to_json(self) -> dict[str, Any]:
        """Return the JSON document; a figure with an interval has `…_low` and `…_high` beside it (95 %)."""
        document = {
            "schema": SCHEMA,
            "round": self.round,
            "as_of": self.as_of,
            "seed": self.seed,
            "currency": self.currency,
            "sentences": self.sentences,
            "winters": self.winters,
            "customers": self.customers,
            "managed_share": self.managed_share,
            "policies": [_flat(p) for p in self.policies],
            "differences": [_flat(d) for d in self.differences],
            "by_winter": self.tallies,
            "truth": self.truth,
            "moves": self.moves,
            "days": self.days,
            "budget_loss": None if self.loss is None else _flat(self.loss),
            "notes": self.notes,
            "attributions": self.attributions,
            "reproducible": True,
        }
        found: dict[str, Any] = plain(document)
        return found


def _flat(record: Any) -> dict[str, Any]:
    """Return a record with its intervals laid out as three keys each."""
    out: dict[str, Any] = {}
    for f in fields(record):
        value = getattr(record, f.name)
        if isinstance(value, WinterInterval):
            out |= {f.name: value.mean, f"{f.name}_low": value.low, f"{f.name}_high": value.high}
        else:
            out[f.name] = value
    return out


def sentences_of(
    policies: tuple[PolicySummary, ...], differences: tuple[Against, ...], winters: tuple[str, ...],
    managed_share: float,
) -> tuple[str, ...]:  # fmt: skip
    """Return what planning saves against each rule, with its doubt, and what that rests on."""
    of = {p.name: p for p in policies}
    out = [_saved(d, of[d.name], of[d.against]) for d in differences]
    span = f"{len(winters)} winters ({winters[0]} to {winters[-1]})"
    out.append(
        f"Played day by day over {span}, with {managed_share:.0%} of the customers on top-up; nothing "
        "was looked up before its day."
    )
    return tuple(out)


def _saved(d: Against, plan: PolicySummary, rule: PolicySummary) -> str:
    less = d.km_per_t_less
    if math.isnan(less.mean):
        drives = "too few deliveries to tell its kilometres"
    elif less.low <= 0 <= less.high:
        drives = (
            f"whether it drives fewer kilometres for each tonne is not settled ({less.low:+.0%} to "
            f"{less.high:+.0%} fewer)"
        )
    else:
        word = "fewer" if less.mean > 0 else "more"
        low, high = sorted((abs(less.low), abs(less.high)))
        drives = f"it drives {abs(less.mean):.0%} {word} kilometres for each tonne ({low:.0%} to {high:.0%})"
    money = d.cost_per_t_less
    if math.isnan(money.mean) or abs(money.mean) < 0.005:
        costs = "costs about as much"
    else:
        costs = f"costs {abs(money.mean):.0%} {'less' if money.mean > 0 else 'more'} a tonne"
    return (
        f"Against {WORDS.get(d.against, d.against)}, {WORDS.get(d.name, d.name)}: {drives}, {costs}, and "
        f"{_times(plan.run_outs)} a store ran empty, against {_times(rule.run_outs)}."
    )


def _times(count: int) -> str:
    return "not once" if count == 0 else "once" if count == 1 else f"{count} times"
