"""One published trip as it stands, and what has come between it and its customers since."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from fuelplan import units
from fuelplan.answers.round.rows import CREDIT_STOP, serves
from fuelplan.answers.which_runs.answer import clock
from fuelplan.answers.which_runs.told import TINY_H
from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.routing import Route
from fuelplan.records.round import Order, PublishedStop, Round, credit_stopped, working_days_of

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
    faults: tuple[str, ...]


def open_order(round_: Round, stop: PublishedStop) -> Order | None:
    """Return the order that a published stop serves, where one is open."""
    return next((o for o in round_.orders if serves(stop, o)), None)


def name_of(round_: Round, customer: str) -> str:
    """Return what to call a customer in a sentence."""
    return str(round_.customers.name[round_.customers.number_of[customer]]) or customer


def faults_now(round_: Round, levels: LevelTable, as_of: date, stops: Sequence[PublishedStop]) -> list[str]:
    """Return what is known now that a published run does not keep to, one sentence each."""
    faults = []
    for stop in stops:
        i = round_.customers.number_of[stop.customer]
        said = [*_shut(round_, i, stop), *_no_room(round_, levels, as_of, i, stop)]
        faults += [_of_customer(name_of(round_, stop.customer), text) for text in said]
    return faults


def _of_customer(name: str, text: str) -> str:
    return units.in_both_systems(lambda: f"{name}: {units.as_read(text)}")


def faults_of_day(round_: Round, day: date) -> list[str]:
    """Return that a published day is none on which tankers usually drive."""
    why = working_days_of(round_.table).why_closed(day)
    return [] if why is None else [f"no tanker usually drives on {day.isoformat()} ({why})"]


def _shut(round_: Round, i: int, stop: PublishedStop) -> list[str]:
    """Return what has come between a published stop and its customer since."""
    c, order = round_.customers, open_order(round_, stop)
    out = []
    if c.gone(stop.day)[i]:
        out.append(f"the customer left on {c.left_on[i]}")
    if not c.weekdays[i, stop.day.weekday()]:
        out.append("the customer takes no fuel on that weekday")
    if credit_stopped(c, i, order):
        out.append(CREDIT_STOP)
    if stop.order is not None and order is None:
        out.append(f"order {stop.order} is not open any more")
    if order is not None and order.kg is not None and abs(order.kg - stop.kg) > SAME_KG:
        asked_kg = order.kg
        out.append(
            units.in_both_systems(
                lambda: (
                    f"order {order.order} asks for {units.show_as(asked_kg, 'kg')}, "
                    f"{units.show_as(stop.kg, 'kg')} are published"
                )
            )
        )
    at_h = stop.arrive_h if stop.start_h is None else stop.start_h
    if at_h is not None and not c.from_h[i] - TINY_H <= at_h <= c.to_h[i] + TINY_H:
        hours = f"{clock(float(c.from_h[i]))} to {clock(float(c.to_h[i]))}"
        out.append(f"work begins at {clock(at_h)}, the customer takes fuel from {hours}")
    return out


def _no_room(round_: Round, levels: LevelTable, as_of: date, i: int, stop: PublishedStop) -> list[str]:
    """Return that a drop will surely not fit, by what is known of the level now."""
    order = open_order(round_, stop)
    if order is not None and order.already_empty:
        return []
    evening = max(0, min((stop.day - as_of).days - 1, levels.kg.shape[1] - 1))
    low = max(0.0, float(np.interp(SURELY_THERE, levels.shares, levels.kg[i, evening])))
    room = float(round_.customers.store_kg[i]) - low
    if stop.kg <= room + SLACK_KG:
        return []
    return [
        units.in_both_systems(
            lambda: (
                f"no more than {units.show_as(room, 'kg')} will fit, {units.show_as(stop.kg, 'kg')} are "
                "published"
            )
        )
    ]
