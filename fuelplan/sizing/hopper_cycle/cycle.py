"""The hopper step by step: burn, burn-out, convey, ignite – many sizes and many winters side by side.

In every step a boiler is in one state. With "burn-out first" (the default) fuel moves only while the state
is CONVEY, and heat is made only while it is BURN. Simplifications, all on the safe side: no useful heat in
burn-out and ignition; durations are rounded up to whole steps. The boiler follows the load up to its rated
heat and charges buffer and building with what it has to spare; how it pauses at low load is left out, for
it burns little fuel then.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from fuelplan.sizing.hopper_cycle.clock import Clock, burn_out_steps, clock_of
from fuelplan.sizing.hopper_cycle.load import steps_per_hour
from fuelplan.store.hopper import Burner, Conveying, HopperError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


class BoilerState(IntEnum):
    """What a boiler does in one step."""

    BURN = 0
    BURN_OUT = 1
    CONVEY = 2
    IGNITE = 3
    WAIT = 4  # no fuel, or locked out during a delivery


@dataclass(frozen=True)
class Trace:
    """Every step, shapes (steps, sizes, winters); amounts of the step, levels at its end. [kg, kWh]"""

    state: NDArray[np.int8]
    burned_kg: Floats
    conveyed_kg: Floats
    hopper_kg: Floats
    store_kg: Floats
    held_kwh: Floats
    unmet_kwh: Floats


@dataclass(frozen=True)
class Cycle:
    """What became of every hopper size in every winter; shapes (sizes, winters) or with days before them.

    Attributes
    ----------
    sizes_kg
        Shape (sizes,). [kg]
    burned_kg, conveyed_kg, unmet_kwh
        Shape (days, sizes, winters). [kg, kg, kWh]
    fillings
        Shape (days, sizes, winters): fillings begun on each day.
    fillings_by_hour
        Shape (24, sizes): fillings begun by clock hour, over all winters.
    lowest_kg
        Shape (days, sizes, winters): least content of the hopper on each day. [kg]
    empty_at_dawn
        Shape (days, sizes, winters): the hopper was empty when the night ended.
    interrupted_h, longest_h, interruptions
        Shape (sizes, winters): hours without enough heat, the longest stretch, how many stretches.
    hopper_end_kg, store_end_kg
        Shape (sizes, winters). [kg]
    trace
        Every step, where asked for.
    """

    sizes_kg: Floats
    burned_kg: Floats
    conveyed_kg: Floats
    unmet_kwh: Floats
    fillings: Ints
    fillings_by_hour: Ints
    lowest_kg: Floats
    empty_at_dawn: Bools
    interrupted_h: Floats
    longest_h: Floats
    interruptions: Ints
    hopper_end_kg: Floats
    store_end_kg: Floats
    trace: Trace | None


@dataclass(frozen=True)
class Disturbances:
    """What comes in between; each of shape (winters, steps) or None.

    Attributes
    ----------
    locked
        The boiler is off and nothing is conveyed, as during a delivery.
    blocked
        The conveying line is blocked; the boiler finds out by trying once, then waits for it to be cleared.
    arrivals_kg
        What is delivered into the bulk store. [kg]
    """

    locked: Bools | None = None
    blocked: Bools | None = None
    arrivals_kg: Floats | None = None


def simulate(
    heat_kwh: Floats,
    sizes_kg: Floats,
    conveying: Conveying,
    burner: Burner,
    *,
    held_kwh: float = 0.0,
    step_min: int = 15,
    dawn_h: float = 6.0,
    start_share: float = 1.0,
    store_kg: Floats | None = None,
    disturbances: Disturbances | None = None,
    keep: bool = False,
) -> Cycle:
    """Play every hopper size through every winter.

    Parameters
    ----------
    heat_kwh
        Shape (winters, steps): heat load per step, whole days. [kWh]
    sizes_kg
        Shape (sizes,): usable content of the hopper up to its full-level sensor. [kg]
    conveying, burner
        How the hopper is filled, and the boiler.
    held_kwh
        Heat that buffer and building give before someone notices (see `hopper.held_kwh`); full at the
        start. [kWh]
    dawn_h
        Clock hour at which a night ends; the end of quiet hours where there are some. [h]
    start_share
        Content of the hopper at the start, as a share of its size. [0..1]
    store_kg
        Shape (winters,): usable fuel in the bulk store at the start; None for plenty. [kg]
    keep
        Keep every step (for drawings; large).

    Raises
    ------
    HopperError
        Shapes that do not match, sizes or loads that are none.
    """
    per_hour = steps_per_hour(step_min)
    heat, sizes = _checked(heat_kwh, sizes_kg, conveying, 24 * per_hour)
    if not (held_kwh >= 0 and 0 <= start_share <= 1):
        raise HopperError("held_kwh is an amount from zero up, start_share a share from 0 to 1")
    shape = (len(sizes), heat.shape[0])
    clock = clock_of(conveying, sizes, per_hour)
    dawn = int((conveying.quiet_to_h if conveying.quiet_to_h is not None else dawn_h) * per_hour) % (
        24 * per_hour
    )
    rules = np.array(
        [
            min(conveying.line_rate_kg_per_h / per_hour, 1e300),
            conveying.bag_kg if conveying.how == "hand" else 0.0,
            burner.rated_kw / per_hour,
            burner.kwh_per_kg,
            held_kwh,
            start_share,
            0.0,  # the store, winter by winter
            burn_out_steps(conveying, per_hour),
            math.ceil(conveying.ignite_h * per_hour - 1e-9),
            dawn,
            float(conveying.while_burning),
        ]
    )
    stores = np.full(shape[1], np.inf) if store_kg is None else np.asarray(store_kg, float)
    if stores.shape != (shape[1],) or not np.all(stores >= 0):
        raise HopperError(f"store_kg must hold one amount from zero up for each of {shape[1]} winters")
    return _play(heat, sizes, clock, stores, rules, disturbances or Disturbances(), per_hour, keep)


def _checked(heat_kwh: Floats, sizes_kg: Floats, conveying: Conveying, per_day: int) -> tuple[Floats, Floats]:
    heat, sizes = np.asarray(heat_kwh, float), np.asarray(sizes_kg, float)
    if heat.ndim != 2 or heat.shape[1] == 0 or heat.shape[1] % per_day:
        raise HopperError(
            f"heat_kwh has the shape {heat.shape}; it must be (winters, whole days of {per_day} steps)"
        )
    if not (np.all(np.isfinite(heat)) and np.all(heat >= 0)):
        raise HopperError("heat_kwh holds negative or unknown values; fill the gaps in the weather first")
    if sizes.ndim != 1 or len(sizes) == 0 or not np.all((sizes > 0) & np.isfinite(sizes)):
        raise HopperError("hopper sizes are amounts above zero, e.g. 60 kg")
    if conveying.how == "hand" and sizes.min() < conveying.bag_kg:
        raise HopperError(
            f"a hopper of {sizes.min():g} kg does not take one bag of {conveying.bag_kg:g} kg; "
            "leave out sizes smaller than a bag"
        )
    return heat, sizes


def _play(
    heat: Floats,
    sizes: Floats,
    clock: Clock,
    store_kg: Floats,
    rules: Floats,
    between: Disturbances,
    per_hour: int,
    keep: bool,
) -> Cycle:
    """Lay out what the compiled part fills in, run it, and name what came out."""
    from fuelplan.sizing.hopper_cycle.kernel import (
        play,  # numba is heavy: only whoever plays a hopper loads it
    )

    (winters, steps), n = heat.shape, len(sizes)
    days = steps // (24 * per_hour)
    day_out, hours = np.zeros((n, winters, 6, days)), np.zeros((n, winters, 5))
    starts = np.zeros((n, 24 * per_hour), dtype=np.int64)
    trace = np.zeros((n, winters, steps if keep else 0, 7))
    quiet = np.broadcast_to(clock.quiet.astype(float), (n, 24 * per_hour))
    clocks = np.ascontiguousarray(np.stack([clock.start_kg.T, clock.go_kg.T, quiet], axis=1))
    play(
        np.ascontiguousarray(heat),
        sizes,
        clocks,
        _packed(between, winters, steps),
        rules,
        store_kg,
        day_out,
        hours,
        starts,
        trace,
    )
    daily = np.moveaxis(day_out, (2, 3), (0, 1))  # (six, days, sizes, winters)
    steps_out = np.moveaxis(trace, (3, 2), (0, 1))
    return Cycle(
        sizes_kg=sizes,
        burned_kg=daily[0],
        conveyed_kg=daily[1],
        unmet_kwh=daily[2],
        fillings=daily[3].astype(np.int64),
        lowest_kg=daily[4],
        empty_at_dawn=daily[5] > 0,
        fillings_by_hour=starts.reshape(n, 24, per_hour).sum(axis=2).T,
        interrupted_h=hours[..., 0] / per_hour,
        longest_h=hours[..., 1] / per_hour,
        interruptions=hours[..., 2].astype(np.int64),
        hopper_end_kg=hours[..., 3],
        store_end_kg=hours[..., 4],
        trace=Trace(steps_out[0].astype(np.int8), *steps_out[1:]) if keep else None,
    )


def _packed(between: Disturbances, winters: int, steps: int) -> Floats:
    """Return the disturbances as one array (winters, 3, steps), without steps where there are none."""
    given = (between.locked, between.blocked, between.arrivals_kg)
    if all(a is None for a in given):
        return np.zeros((winters, 3, 0))
    packed = np.zeros((winters, 3, steps))
    for k, values in enumerate(given):
        if values is None:
            continue
        if values.shape != (winters, steps):
            raise HopperError(f"a disturbance has the shape {values.shape}; it must be {(winters, steps)}")
        packed[:, k] = values
    return packed
