"""Whom nothing is delivered to for the time being: credit stops of customers and orders, and lifted ones."""

from __future__ import annotations

from fuelplan.records.round.customers import Customers
from fuelplan.records.round.lists import Order


def credit_stopped(customers: Customers, customer: int, order: Order | None = None) -> bool:
    """Tell whether nothing may be delivered: the customer or the order is stopped, and nobody lifted it.

    A person who lifted the stop for one order (`lifted_by`) did so for that order alone.

    Parameters
    ----------
    customer
        The customer's number.
    order
        None for a delivery without one.
    """
    stopped = bool(customers.credit_stop[customer])
    if order is None:
        return stopped
    return (stopped or order.credit_stop) and not order.lifted_by
