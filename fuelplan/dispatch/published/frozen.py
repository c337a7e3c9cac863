"""One published trip as it stands, and what has come between it and its customers since."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from fuelplan.dispatch.books import Customers, Order, PublishedStop, credit_stopped, serves
from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.routing import Route
from fuelplan.dispatch.run_plan import CREDIT_STOP, TINY_H, DispatchDesk, left_on
from fuelplan.messages import Day, Message, Own, Quantity, TimeOfDay, as_message, message

SURELY_THERE = 0.1
"""Share of the draws below the level that is taken to be in a store for sure when a published drop comes."""

SLACK_KG = 100.0
SAME_KG = 1.0


@dataclass(frozen=True)
class FrozenTrip:
    """One published trip: its route with times, its stops in order, and what of it breaks a rule."""

    day: date
    route: Route
    stops: tuple[PublishedStop, ...]
    faults: tuple[Message, ...]


def open_order(orders: Sequence[Order], stop: PublishedStop) -> Order | None:
    """Return the order that a published stop serves, where one is open."""
    return next((o for o in orders if serves(stop, o)), None)


OUTSIDE_HOURS = "runs.outside_hours"
NO_FUEL_THAT_WEEKDAY = message("runs.no_fuel_that_weekday", "the customer takes no fuel on that weekday")


def name_of(customers: Customers, customer: str) -> Own:
    """Return what to call a customer in a sentence."""
    return Own(str(customers.name[customers.number_of[customer]]) or customer)


def faults_now(
    desk: DispatchDesk, levels: LevelTable, stops: Sequence[PublishedStop]
) -> list[tuple[str, Message]]:
    """Return (customer, what) for all that is known now and that a published run does not keep to."""
    faults = []
    for stop in stops:
        i, order = desk.customers.number_of[stop.customer], open_order(desk.orders, stop)
        said = [*_shut(desk.customers, i, order, stop), *_no_room(desk, levels, i, order, stop)]
        faults += [(stop.customer, one) for one in said]
    return faults


def of_customer(customers: Customers, customer: str, fault: Message) -> Message:
    """Return what is wrong with a stop, with its customer's name."""
    return message("runs.fault_of", "{name}: {fault}", name=name_of(customers, customer), fault=fault)


def faults_of_day(desk: DispatchDesk, day: date) -> list[Message]:
    """Return that a published day is none on which tankers usually drive."""
    why = desk.supplier.calendar.why_closed(day)
    if why is None:
        return []
    return [
        message(
            "runs.closed_day", "no tanker usually drives on {day} ({why})",
            day=Day(day), why=as_message(why),
        )
    ]  # fmt: skip


def _shut(c: Customers, i: int, order: Order | None, stop: PublishedStop) -> list[Message]:
    """Return what has come between a published stop and its customer since."""
    out = []
    if c.gone(stop.day)[i]:
        out.append(left_on(c.left_on[i].item()))
    if not c.weekdays[i, stop.day.weekday()]:
        out.append(NO_FUEL_THAT_WEEKDAY)
    if credit_stopped(c, i, order):
        out.append(CREDIT_STOP)
    if stop.order is not None and order is None:
        out.append(message("runs.order_gone", "order {order} is not open any more", order=Own(stop.order)))
    if order is not None and order.kg is not None and abs(order.kg - stop.kg) > SAME_KG:
        out.append(
            message(
                "runs.order_asks_otherwise", "order {order} asks for {asked}, {kg} are published",
                order=Own(order.order), asked=Quantity(order.kg, "weighed_mass"),
                kg=Quantity(stop.kg, "weighed_mass"),
            )
        )  # fmt: skip
    at_h = stop.arrive_h if stop.start_h is None else stop.start_h
    if at_h is not None and not c.from_h[i] - TINY_H <= at_h <= c.to_h[i] + TINY_H:
        out.append(
            message(
                "runs.outside_hours", "work begins at {at}, the customer takes fuel from {first} to {last}",
                at=TimeOfDay(at_h), first=TimeOfDay(float(c.from_h[i])), last=TimeOfDay(float(c.to_h[i])),
            )
        )  # fmt: skip
    return out


def _no_room(
    desk: DispatchDesk, levels: LevelTable, i: int, order: Order | None, stop: PublishedStop
) -> list[Message]:
    """Return that a drop will surely not fit, by what is known of the level now."""
    if order is not None and order.already_empty:
        return []
    evening = max(0, min((stop.day - desk.as_of).days - 1, levels.kg.shape[1] - 1))
    low = max(0.0, float(np.interp(SURELY_THERE, levels.shares, levels.kg[i, evening])))
    room = float(desk.customers.store_kg[i]) - low
    if stop.kg <= room + SLACK_KG:
        return []
    return [
        message(
            "runs.no_room_for_drop", "no more than {room} will fit, {kg} are published",
            room=Quantity(room, "weighed_mass"), kg=Quantity(stop.kg, "weighed_mass"),
        )
    ]  # fmt: skip
