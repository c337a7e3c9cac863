"""The answer to "what lies ahead of all customers?": run-out dates, tonnes a week, whom to serve and ring."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.as_json import SCHEMA, plain
from fuelplan.dispatch.books import day_of as day_of
from fuelplan.messages import Message

if TYPE_CHECKING:
    import pandas as pd

    from fuelplan.answers.who_is_due.doubts import ReadingDoubted

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]
Texts = NDArray[np.object_]

RUN_OUT = ("p02", "p10", "p50", "p90")
LEVEL = ("p10", "p50", "p90")
CONTRACT_WORDS = ("top-up", "on request")
"""A contract in documents and tables that programs read."""


@dataclass(frozen=True)
class CustomerTable:
    """All customers, one entry each.

    Attributes
    ----------
    customer, name
        Shape (N,), id and name.
    top_up, ordered, credit_stop
        Shape (N,): contract; whether an order is open; whether nothing may be delivered.
    store_kg, reserve_kg
        Shape (N,). [kg]
    level_kg
        Shape (N, 3): p10, p50, p90. [kg]
    told_day
        Shape (N,): when last a delivery or reading told of the level, NaT for never.
    run_out
        Shape (N, 4): p02, p10, p50, p90 if nothing comes; NaT beyond the horizon.
    deliver_by
        Shape (N,): last safe day for a tanker to come: it drives there, and the chance of a level below the
        reserve is still within the limit; NaT where that is far off. Where it is past, the first day it
        drives. Worked out in :mod:`fuelplan.answers.who_is_due.deadlines`, the same however far ahead was
        looked.
    overdue
        Shape (N,): the chance is past the limit before a tanker can be there.
    to_ring
        Shape (N,): on-request customers without an order whose level is low or soon will be.
    left
        Shape (N,): those who are served no more.
    """

    customer: Texts
    name: Texts
    top_up: Bools
    ordered: Bools
    credit_stop: Bools
    store_kg: Floats
    reserve_kg: Floats
    level_kg: Floats
    told_day: Dates
    run_out: Dates
    deliver_by: Dates
    overdue: Bools
    to_ring: Bools
    left: Bools

    def __len__(self) -> int:
        """Return the number of customers."""
        return len(self.customer)

    def due(self, until: date) -> Bools:
        """Return whose store is watched and must be served up to a day, shape (N,)."""
        soon = self.deliver_by <= np.datetime64(until, "D")
        return np.asarray(self.top_up & ~self.credit_stop & soon)

    def rows_of(self, which: NDArray[np.int64]) -> CustomerTable:
        """Return some of the customers."""
        return CustomerTable(*(getattr(self, f.name)[which] for f in fields(self)))

    def contract(self, row: int) -> str:
        """Return the contract of a customer in words."""
        return CONTRACT_WORDS[0 if self.top_up[row] else 1]

    def rows(self) -> Iterator[dict[str, Any]]:
        """Yield each customer as the JSON document has it."""
        for i in range(len(self)):
            yield {
                "customer": str(self.customer[i]),
                "name": str(self.name[i]),
                "contract": self.contract(i),
                "store_kg": float(self.store_kg[i]),
                "reserve_kg": float(self.reserve_kg[i]),
                "level_kg": dict(zip(LEVEL, _whole(self.level_kg[i]), strict=True)),
                "told_day": day_of(self.told_day[i]),
                "run_out": {q: day_of(d) for q, d in zip(RUN_OUT, self.run_out[i], strict=True)},
                "deliver_by": day_of(self.deliver_by[i]),
                "must_go_by": day_of(self.deliver_by[i]),
                "overdue": bool(self.overdue[i]),
                "to_ring": bool(self.to_ring[i]),
                "ordered": bool(self.ordered[i]),
                "credit_stop": bool(self.credit_stop[i]),
                "left": bool(self.left[i]),
            }

    def frame(self) -> pd.DataFrame:
        """Return the table with one column for each figure, for a file."""
        import pandas as pd

        columns: dict[str, Any] = {
            "customer": self.customer,
            "name": self.name,
            "contract": np.where(self.top_up, *CONTRACT_WORDS),
            "store_kg": self.store_kg,
            "reserve_kg": self.reserve_kg,
        }
        columns |= {f"level_{q}_kg": np.round(self.level_kg[:, i]) for i, q in enumerate(LEVEL)}
        columns["told_day"] = self.told_day
        columns |= {f"run_out_{q}": self.run_out[:, i] for i, q in enumerate(RUN_OUT)}
        columns["must_go_by"] = self.deliver_by  # the name of schema 1
        for name in ("deliver_by", "overdue", "to_ring", "ordered", "credit_stop", "left"):
            columns[name] = getattr(self, name)
        frame = pd.DataFrame(columns)
        for name in frame.columns[[str(t).startswith("datetime") for t in frame.dtypes]]:
            frame[name] = frame[name].astype("datetime64[s]")
        return frame


@dataclass(frozen=True)
class Weekly:
    """Tonnes in each whole week from the day after the answer's day on, quantiles of the sum. [t]"""

    first_day: tuple[date, ...]
    p10: tuple[float, ...]
    p50: tuple[float, ...]
    p90: tuple[float, ...]


@dataclass(frozen=True)
class LatePromise:
    """An order promised for later than its customer's fuel surely lasts."""

    order: str
    customer: str
    name: str
    promised_to: date
    deliver_by: date
    overdue: bool


@dataclass(frozen=True)
class OutlookAnswer:
    """What lies ahead of a round.

    Attributes
    ----------
    sentences
        The answer in plain words, most important first.
    weekly_t
        What must be delivered in each week if everybody is filled on the day the reserve is reached.
    weekly_burned_t
        What all customers burn in each week.
    weekly_t_by_class
        What must be delivered of each class; who takes several counts with the first.
    due
        Rows of top-up customers to be served within the planning days, the most urgent first.
    to_ring
        Rows of on-request customers to be rung, the most urgent first.
    winters
        How many real winters stand behind the draws.
    readings_doubted
        Readings that disagree with what was expected: until they are settled, days follow the emptier of the
        two, amounts the fuller.
    """

    round: str
    as_of: date
    seed: int
    horizon_days: int
    risk_limit: float
    sentences: tuple[Message, ...]
    customers: CustomerTable
    weekly_t: Weekly
    weekly_burned_t: Weekly
    weekly_t_by_class: dict[str, Weekly]
    due: tuple[int, ...]
    to_ring: tuple[int, ...]
    late_promises: tuple[LatePromise, ...]
    winters: int
    draws: int
    notes: tuple[Message, ...]
    attributions: tuple[str, ...]
    readings_doubted: tuple[ReadingDoubted, ...] = ()
    invented: bool = False

    def to_json(self, with_customers: bool = True) -> dict[str, Any]:
        """Return the JSON document; without the customers where they went to a file of their own."""
        ids = self.customers.customer
        return {
            "schema": SCHEMA,
            "round": self.round,
            "as_of": self.as_of.isoformat(),
            "seed": self.seed,
            "reproducible": True,
            "horizon_days": self.horizon_days,
            "risk_limit": self.risk_limit,
            "sentences": plain(self.sentences),
            "customers": plain(list(self.customers.rows())) if with_customers else None,
            "weekly_t": plain(self.weekly_t),
            "weekly_burned_t": plain(self.weekly_burned_t),
            "weekly_t_by_class": plain(self.weekly_t_by_class),
            "due": [str(ids[i]) for i in self.due],
            "must_go": [str(ids[i]) for i in self.due],
            "to_ring": [str(ids[i]) for i in self.to_ring],
            "late_promises": [
                {**plain(p), "must_go_by": p.deliver_by.isoformat()} for p in self.late_promises
            ],
            "readings_doubted": [d.to_json() for d in self.readings_doubted],
            "weather": {
                "invented": self.invented,
                "winters": self.winters,
                "draws": self.draws,
                "attribution": list(self.attributions),
            },
            "notes": plain(self.notes),
        }


def _whole(values: Floats) -> list[float]:
    return [float(round(v)) for v in values]
