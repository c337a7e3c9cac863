"""A round taken apart by depot, so that each depot's tankers and customers can be planned by themselves."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from fuelplan.dispatch.roads import great_circle_km
from fuelplan.messages import Own, Refusal
from fuelplan.records.round.folder import Round
from fuelplan.records.round.reach import reach_of
from fuelplan.records.tables import Ints

BEYOND_KM = 1e6
"""Added to the way to a depot none of whose tankers can serve the customer. [km]"""


class DepotError(Refusal):
    """A round that cannot be taken apart, and what stands in the way."""


def depot_of_customers(round_: Round, as_of: date) -> Ints:
    """Return the number of the depot that each customer falls to, one with tankers; shape (N,).

    The first of these that holds: the home of the tanker that is published for the customer after `as_of`, or
    that a person named for it; the depot that `customers.csv` names; the nearest one, as the crow flies, with
    a tanker that can serve the customer; the nearest one with any tanker. Neighbours who share a delivery go
    together, where the first of their orders goes.

    Raises
    ------
    DepotError
        For a customer whom published runs of two depots go to.
    """
    table, c = round_.table, round_.customers
    number = {d.name: n for n, d in enumerate(table.depots)}
    home = np.array([number[k.depot] for k in table.tankers], np.int64)
    ok = reach_of(table, c).ok
    far = np.full((len(c), len(table.depots)), np.inf)
    for d in np.unique(home):
        depot = table.depots[d]
        km = great_circle_km(c.latitude, c.longitude, depot.latitude, depot.longitude)
        far[:, d] = np.where(ok[:, home == d].any(axis=1), km, km + BEYOND_KM)
    found: Ints = far.argmin(axis=1).astype(np.int64)
    named = np.isin(c.depot, home)
    found[named] = c.depot[named]
    said = _said(round_, as_of)
    for who, depot in said.items():
        found[c.number_of[who]] = number[depot]
    settled = set(said)
    for order in round_.orders:
        neighbour = order.split_with
        if neighbour is not None and neighbour not in settled:
            found[c.number_of[neighbour]] = found[c.number_of[order.customer]]
            settled |= {order.customer, neighbour}
    return found


def _said(round_: Round, as_of: date) -> dict[str, str]:
    """Return the depots of customers for whom a tanker is published or named by a person."""
    homes = {k.name: k.depot for k in round_.table.tankers}
    said = {w.customer: homes[w.tanker] for w in round_.wishes if w.wish != "forbid" and w.tanker in homes}
    published: dict[str, str] = {}
    for stop in round_.published:
        if stop.day <= as_of or stop.tanker not in homes:
            continue
        depot = homes[stop.tanker]
        if published.setdefault(stop.customer, depot) != depot:
            raise DepotError.because(
                "round.of_two_depots",
                "{customer} is published with tankers of {first} and of {second}; plan the round in "
                "one piece until the first of them has been there", customer=Own(stop.customer),
                first=Own(published[stop.customer]), second=Own(depot),
            )  # fmt: skip
    return {**said, **published}


def part_of_depot(round_: Round, depot_of: Ints, depot: int) -> Round:
    """Return the round of one depot: its tankers and its customers, with what is known of them.

    All depots stay in the table, so that they keep their numbers. What is published, wished or has happened
    stays where it concerns a tanker or customer of the part.

    Parameters
    ----------
    depot_of
        Shape (N,), as :func:`depot_of_customers` gives it.
    depot
        Its number in `table.depots`.
    """
    table, c = round_.table, round_.customers
    which = np.flatnonzero(depot_of == depot)
    new = np.full(len(c), -1, np.int64)
    new[which] = np.arange(len(which))
    here = set(c.id[which].tolist())
    name = table.depots[depot].name
    tankers = tuple(k for k in table.tankers if k.depot == name)
    own = {k.name for k in tankers}
    return replace(
        round_,
        table=table.model_copy(update={"tankers": tankers}),
        customers=c.rows(which),
        deliveries=round_.deliveries.renumbered(new),
        readings=round_.readings.renumbered(new),
        orders=tuple(o for o in round_.orders if o.customer in here),
        published=tuple(s for s in round_.published if s.customer in here and s.tanker in own),
        wishes=tuple(w for w in round_.wishes if w.customer in here),
        happenings=tuple(
            h
            for h in round_.happenings
            if (h.customer is None or h.customer in here) and (h.tanker is None or h.tanker in own)
        ),
        odometer=tuple(d for d in round_.odometer if d.tanker in own),
    )
