"""What the clock allows: quiet hours, the visits of whoever carries bags, the top-up before the quiet
hours."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.store.hopper import Conveying

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

NEVER = -1.0
TOP_UP_SHARE = 0.9  # a hopper fuller than this is not topped up before the quiet hours (our assumption)


@dataclass(frozen=True)
class Clock:
    """Rules of one day, step by step.

    Attributes
    ----------
    quiet
        Shape (steps,): nothing may be conveyed in this step.
    start_kg
        Shape (steps, sizes): a burning boiler begins its burn-out when the hopper is at or below this; −1
        never. [kg]
    go_kg
        Shape (steps, sizes): a boiler that stands still takes fuel when the hopper is at or below this; −1
        never. [kg]
    """

    quiet: Bools
    start_kg: Floats
    go_kg: Floats


def quiet_steps(conveying: Conveying, per_hour: int) -> Bools:
    """Return which steps of a day touch the quiet hours."""
    steps = 24 * per_hour
    if conveying.quiet_from_h is None or conveying.quiet_to_h is None:
        return np.zeros(steps, dtype=bool)
    begin = np.arange(steps) / per_hour
    end = begin + 1 / per_hour
    a, b = conveying.quiet_from_h, conveying.quiet_to_h
    tiny = 1e-9
    if a < b:
        return np.asarray((end > a + tiny) & (begin < b - tiny))
    return np.asarray((end > a + tiny) | (begin < b - tiny))


def burn_out_steps(conveying: Conveying, per_hour: int) -> int:
    """Return whole steps of burn-out, rounded up, at least one: a step is never half burn, half conveying."""
    return max(1, math.ceil(conveying.burn_out_h * per_hour - 1e-9))


def clock_of(conveying: Conveying, sizes_kg: Floats, per_hour: int) -> Clock:
    """Return the rules of a day for every hopper size."""
    steps = 24 * per_hour
    if conveying.how == "hand":
        # people fill when they come; quiet hours are about conveyors
        at = np.zeros(steps, dtype=bool)
        at[[int(h * per_hour) % steps for h in conveying.visits_h]] = True
        visit = np.where(at[:, None], sizes_kg - conveying.bag_kg, NEVER)
        return Clock(np.zeros(steps, dtype=bool), visit, visit)
    quiet = quiet_steps(conveying, per_hour)
    call_kg = np.broadcast_to(conveying.refill_share * sizes_kg, (steps, len(sizes_kg)))
    go = np.where(quiet[:, None], NEVER, call_kg)
    pause = 0 if conveying.while_burning else burn_out_steps(conveying, per_hour)
    start = np.where((steps_left(quiet) > pause)[:, None], go, NEVER)
    if conveying.top_up_before_quiet and quiet.any():
        for j, size_kg in enumerate(sizes_kg):
            fill = math.ceil(size_kg / conveying.line_rate_kg_per_h * per_hour)
            for i in _ends_of_day(quiet):
                at_step = (i - min(pause + fill, steps // 2)) % steps
                if not quiet[at_step]:
                    start[at_step, j] = go[at_step, j] = TOP_UP_SHARE * size_kg
    return Clock(quiet, start, go)


def steps_left(quiet: Bools) -> NDArray[np.int64]:
    """Return for each step how many steps, itself included, remain before the quiet hours begin."""
    steps = len(quiet)
    if not quiet.any():
        return np.full(steps, 10**6)
    left = np.zeros(steps, dtype=np.int64)
    count = 0
    for i in range(2 * steps - 1, -1, -1):  # twice round, because the day's end goes on into the next
        count = 0 if quiet[i % steps] else count + 1
        left[i % steps] = count
    return left


def _ends_of_day(quiet: Bools) -> list[int]:
    """Steps at which quiet hours begin."""
    return [i for i in range(len(quiet)) if quiet[i] and not quiet[i - 1]]
