"""Which tankers can serve which customers at all, and what stands in the way of the others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fuelplan.messages import message
from fuelplan.records.round.customers import Customers
from fuelplan.records.schema import RoundTable
from fuelplan.records.tables import Bools

REASON_WORDS = {
    "depot": message("reach.depot", "depot"), "class": message("reach.class", "class"),
    "hose": message("reach.hose", "hose"), "width": message("reach.width", "width"),
    "weight": message("reach.weight", "weight"), "trailer": message("reach.trailer", "trailer"),
    "load": message("reach.load", "load"),
}  # fmt: skip
REASONS = tuple(REASON_WORDS)
"""What may stand in the way, in the order it is told: the tanker's depot is not the customer's, it carries no
class the customer takes, its hose is too short, it is too wide or too heavy, it pulls a trailer, it carries
less than the smallest drop.
"""


@dataclass(frozen=True)
class Reach:
    """Customers against tankers.

    Attributes
    ----------
    ok
        Shape (N, K), whether the tanker can serve the customer.
    why_not
        Shape (N, K, reasons), what stands in the way, in the order of `REASONS`.
    """

    ok: Bools
    why_not: Bools

    def reasons(self, customer: int, tanker: int) -> tuple[str, ...]:
        """Return what stands in the way of one tanker at one customer."""
        return tuple(
            name for name, wrong in zip(REASONS, self.why_not[customer, tanker], strict=True) if wrong
        )


def reach_of(table: RoundTable, customers: Customers) -> Reach:
    """Return which tankers can serve which customers.

    Weight counts with a full load, since a run begins with one. A class counts as carried where the tanker
    may carry it and some depot has it or expects it.
    """
    n, depots = len(customers), [depot.name for depot in table.depots]
    why_not = np.zeros((n, len(table.tankers), len(REASONS)), bool)
    for k, tanker in enumerate(table.tankers):
        depot = depots.index(tanker.depot) if tanker.depot in depots else -1
        may = np.array([c in carried(table, k) for c in table.classes])
        weight = 0.0 if tanker.laden_weight_kg is None else tanker.laden_weight_kg
        wrong = (
            (customers.depot >= 0) & (customers.depot != depot),
            ~(customers.takes & may).any(axis=1),
            customers.hose_m > tanker.hose_m,
            customers.max_width_m < tanker.width_m,
            customers.max_weight_kg < weight,
            np.full(n, tanker.trailer) & ~customers.trailer_ok,
            np.full(n, tanker.carries_kg) < customers.smallest_drop_kg,
        )
        why_not[:, k] = np.stack(wrong, axis=1)
    return Reach(np.asarray(~why_not.any(axis=2)), why_not)


def carried(table: RoundTable, tanker: int) -> set[str]:
    """Return the classes that a tanker may carry and some depot has or expects."""
    had: set[str] = set()
    for depot in table.depots:
        if depot.stock_kg is None:
            had.update(table.classes)
        else:
            had.update(k for k, kg in depot.stock_kg.items() if kg > 0)
        had.update(arriving.grade for arriving in depot.arriving)
    own = table.tankers[tanker].classes
    return had & set(own) if own else had
