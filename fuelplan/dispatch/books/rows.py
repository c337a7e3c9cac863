"""What a dispatcher keeps beside the customers, a record for each line: orders, published stops, wishes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fuelplan.dispatch.books.customers import Customers

Chambers = tuple[tuple[str, float], ...]
Breaks = tuple[tuple[float, float, int], ...]


@dataclass(frozen=True)
class Order:
    """An order a customer placed and that has not come yet: a fixed point of the plan.

    `kg` is None for as much as fits; `grade` None for what the customer takes; `first` None for at once.
    `lifted_by` names who lifted a credit stop for this order; "" where nobody did. `asked` marks one that may
    have come already: until somebody says so it is not planned again.
    """

    order: str
    customer: str
    kg: float | None
    grade: str | None
    first: date | None
    last: date
    price_per_t: float | None = None
    credit_stop: bool = False
    call_ahead: bool = False
    already_empty: bool = False
    split_with: str | None = None
    row: int = 0
    lifted_by: str = ""
    asked: bool = False


@dataclass(frozen=True)
class OrderRow:
    """Who is served together, a row of the needs: a customer, or neighbours who share a drop.

    Attributes
    ----------
    customers
        Numbers of those it goes to.
    orders
        The orders it stands for, in the same order; none for a store that is watched.
    grade
        Number of the class of fuel.
    """

    customers: tuple[int, ...]
    orders: tuple[Order, ...]
    grade: int

    @property
    def customer(self) -> int:
        """The first of its customers."""
        return self.customers[0]

    @property
    def first(self) -> date:
        """The first day that all of its orders are promised for; `date.min` for any."""
        return max((o.first or date.min for o in self.orders), default=date.min)


@dataclass(frozen=True)
class Wish:
    """A person's word on a stop: "pin", "forbid" or "move"; `day` or `tanker` may be None for any."""

    customer: str
    wish: str
    day: date | None
    tanker: str | None = None
    by: str = ""
    why: str = ""
    row: int = 0


@dataclass(frozen=True)
class Happening:
    """What happened: "failed drop", "tanker out", "slow roads", "depot out of stock", or a drop that "came".

    `until` is the last day of it. `factor` is 1 but for slow roads. `kg` is what came, None for as published.
    """

    day: date
    what: str
    until: date
    customer: str | None = None
    tanker: str | None = None
    depot: str | None = None
    factor: float = 1.0
    grade: str | None = None
    reason: str = ""
    row: int = 0
    kg: float | None = None


@dataclass(frozen=True)
class PublishedStop:
    """A stop that the customer has been told of; it stays where it is. `row` is 0 for one not yet written.

    Attributes
    ----------
    arrive_h, start_h, leave_h
        At the gate, work begun, off again; None where the file does not say. [hours of the clock]
    told_from_h, told_to_h
        The window that the customer was told. [hours of the clock]
    order
        The order it serves.
    run_leaves_h, run_back_h, chambers, breaks
        Of its run, alike in all of its stops: times [hours of the clock]; class and kilograms of each chamber
        ("" for an empty one); when each break begins, how many hours it is, and before which stop.
    by
        Who published it.
    """

    day: date
    tanker: str
    trip: int
    position: int
    customer: str
    grade: str
    kg: float
    arrive_h: float | None = None
    row: int = 0
    start_h: float | None = None
    leave_h: float | None = None
    told_from_h: float | None = None
    told_to_h: float | None = None
    order: str | None = None
    run_leaves_h: float | None = None
    run_back_h: float | None = None
    chambers: Chambers = ()
    breaks: Breaks = ()
    by: str = ""

    @property
    def whole(self) -> bool:
        """Whether its times and those of its run are written down."""
        times = (self.arrive_h, self.start_h, self.leave_h, self.run_leaves_h, self.run_back_h)
        return bool(self.chambers) and all(hours is not None for hours in times)


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


def serves(stop: PublishedStop, order: Order) -> bool:
    """Tell whether a published stop is that of an order; an older file does not name it."""
    if stop.order is not None:
        return stop.order == order.order
    return stop.customer == order.customer and order.grade in (None, stop.grade)


def served_orders(orders: Sequence[Order], stops: Sequence[PublishedStop]) -> set[str]:
    """Return the names of the orders that published stops serve, each stop one."""
    done: set[str] = set()
    for stop in stops:
        done |= {o.order for o in [o for o in orders if o.order not in done and serves(stop, o)][:1]}
    return done
