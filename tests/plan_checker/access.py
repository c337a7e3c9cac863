"""Who may be served at all, and by which tanker: every stop of its own, so both of a shared drop."""

from __future__ import annotations

from tests.plan_checker import quantities as q
from tests.plan_checker.context import Check
from tests.plan_checker.folder import Order


def access(check: Check) -> None:
    """Hose, width, weight, trailer and depot of every customer on every stop."""
    for run, stop in check.stops():
        tanker, customer = check.tanker(run), check.customer(stop)
        if run["depot"] != tanker.depot:
            check.say("depot", run, f"{tanker.name} belongs to {tanker.depot}, not to {run['depot']}")
        if customer.depot and customer.depot != run["depot"]:
            check.say("depot", run, f"{customer.id} is served from {customer.depot}", stop)
        if customer.hose_m > tanker.hose_m:
            check.say("hose", run, f"needs {customer.hose_m:g} m, has {tanker.hose_m:g} m", stop)
        if customer.max_width_m < tanker.width_m:
            check.say("width", run, f"{tanker.width_m:g} m where {customer.max_width_m:g} m fit", stop)
        if customer.max_weight_kg < tanker.laden_kg:
            check.say("weight", run, f"{tanker.laden_kg:.0f} kg where {customer.max_weight_kg:.0f} may", stop)
        if tanker.trailer and not customer.trailer_ok:
            check.say("trailer", run, "a trailer cannot come along", stop)


def stopped(order: Order | None, credit_stop: bool) -> bool:
    """Tell whether a credit stop keeps a drop back: one of the customer or of the order, unless a named
    person lifted it for this order.
    """
    if order is None:
        return credit_stop
    return (credit_stop or order.credit_stop) and not order.lifted_by


def credit(check: Check) -> None:
    """Nothing to whom a credit stop keeps it from, each customer of a shared drop by himself."""
    for run, stop in check.stops():
        order = check.orders.get(stop["order"] or "")
        if stopped(order, check.customer(stop).credit_stop):
            check.say("credit stop", run, "a credit stop stands", stop)


def left(check: Check) -> None:
    """Nothing to a customer after the day he left."""
    for run, stop in check.stops():
        last = check.customer(stop).left_on
        if last is not None and q.day(run["date"]) > last:
            check.say("left", run, f"left on {last}", stop)
