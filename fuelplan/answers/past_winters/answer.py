"""What a replay answers, as figures, as JSON and in a sentence."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from fuelplan.answers.as_json import SCHEMA, plain
from fuelplan.dispatch.replay import Against, PolicySummary, Tally, WinterInterval
from fuelplan.messages import Message


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
        What was burned.
    moves, days
        Moves of each evening's search, working days planned ahead.
    loss
        None where it was not asked for.
    invented
        Whether any of the weather is made up.
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
    truth: Message
    moves: int
    days: int
    loss: BudgetLoss | None
    sentences: tuple[Message, ...]
    notes: tuple[Message, ...]
    attributions: tuple[str, ...]
    invented: bool = False

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
            "by_winter": [_tally(tally) for tally in self.tallies],
            "truth": self.truth,
            "moves": self.moves,
            "days": self.days,
            "budget_loss": None if self.loss is None else _flat(self.loss),
            "notes": self.notes,
            "weather": {"invented": self.invented},
            "attributions": self.attributions,
            "reproducible": True,
        }
        found: dict[str, Any] = plain(document)
        return found


def _tally(tally: Tally) -> dict[str, Any]:
    """Return a winter's sums; the run-outs of top-up customers have the name that schema 1 gave them."""
    found: dict[str, Any] = plain(tally)
    return {"managed_run_outs" if k == "top_up_run_outs" else k: v for k, v in found.items()}


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
