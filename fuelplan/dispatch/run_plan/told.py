"""The window that a customer is told, in which the tanker is to be expected."""

from __future__ import annotations

import numpy as np

from fuelplan.dispatch.books import Customers, PublishedStop
from fuelplan.dispatch.run_plan.desk import DispatchDesk

ToldWindow = tuple[float, float]

QUARTERS = 4  # of an hour: people are told quarters, not minutes
TINY_H = 1e-6


def told_window(desk: DispatchDesk, i: int, start_h: float) -> ToldWindow:
    """Return what a customer is told of a stop: a window round the planned time. [hours of the clock]

    It is as long as the customer's `told_window_h`, begins at a quarter of an hour, not before the drivers'
    day, and stays within the hours at which the customer takes fuel.
    """
    customers, begin_h = desk.customers, desk.supplier.driver.shift_start_h
    length = float(customers.told_window_h[i])
    first = float(np.floor(QUARTERS * (start_h - length / 2) + 0.5)) / QUARTERS
    first = max(first, begin_h, float(customers.from_h[i]))
    last = min(first + length, 24.0, float(customers.to_h[i]))
    return min(first, start_h), max(last, start_h)


def window_of(desk: DispatchDesk, stop: PublishedStop) -> ToldWindow | None:
    """Return the window that was told of a published stop; None where nothing was said."""
    if stop.told_from_h is not None and stop.told_to_h is not None:
        return stop.told_from_h, stop.told_to_h
    at_h = stop.arrive_h if stop.start_h is None else stop.start_h
    return None if at_h is None else told_window(desk, desk.customers.number_of[stop.customer], at_h)


def kept_window(customers: Customers, i: int, told: ToldWindow | None) -> tuple[ToldWindow, ...]:
    """Return when work may begin: within what was told and what the customer takes; told alone where these
    have nothing in common any more. () for any time.
    """
    own = (float(customers.from_h[i]), float(customers.to_h[i]))
    if told is not None:
        both = max(told[0], own[0]), min(told[1], own[1])
        return (both,) if both[0] <= both[1] + TINY_H else (told,)
    return (own,) if own != (0.0, 24.0) else ()


def holds(told: ToldWindow | None, at_h: float) -> bool:
    """Tell whether a time lies in the window that was told."""
    return told is not None and told[0] - TINY_H <= at_h <= told[1] + TINY_H
