"""One boiler with its hopper, step by step, compiled: numpy over all lanes took ten times as long.

Imported only when a hopper is played, because numba is heavy and compiles once a machine.
"""

from __future__ import annotations

import math
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# the numbers of `State`
BURN, BURN_OUT, CONVEY, IGNITE, WAIT = 0, 1, 2, 3, 4

TINY_KG = 1e-9  # rounding noise: less than this is an empty hopper
TINY_KWH = 1e-9


def jit(function: Any) -> Any:
    """Compile, and keep the result on disk where there is a place to write."""
    try:
        return numba.njit(cache=True)(function)
    except RuntimeError:  # neither the package's nor the user's folder can be written
        return numba.njit(function)


@jit
def next_state(
    state: int,
    timer: int,
    hopper_kg: float,
    shut: bool,
    may: bool,
    wanted: bool,
    out_steps: int,
    ignite_steps: int,
) -> tuple[int, int, bool]:
    """Return state, timer and whether a filling begins, at the beginning of a step.

    `may`: conveying is possible now; `wanted`: it is asked for. Fuel moves only after a whole burn-out.
    """
    begins = False
    if state == BURN:
        if shut or wanted:
            state, timer = BURN_OUT, out_steps
    elif state == WAIT or (state == BURN_OUT and timer <= 0):
        if wanted and may and not shut:
            state, begins = CONVEY, True
        elif hopper_kg > TINY_KG and not shut:
            state, timer = IGNITE, ignite_steps
        else:
            state = WAIT
    elif state == CONVEY and (shut or not may):
        if shut or hopper_kg <= TINY_KG:
            state = WAIT
        else:
            state, timer = IGNITE, ignite_steps
    elif state == IGNITE and shut:
        state = WAIT
    if state == IGNITE and timer <= 0:
        state = BURN
    return state, timer - 1, begins


@jit
def burn(
    state: int,
    load_kwh: float,
    held_kwh: float,
    cap_kwh: float,
    rated_kwh: float,
    hopper_kg: float,
    per_kg: float,
) -> tuple[float, float, float]:
    """Return fuel burned, heat held afterwards and heat unmet, of one step."""
    heat = 0.0
    if state == BURN:
        heat = min(load_kwh + cap_kwh - held_kwh, rated_kwh, hopper_kg * per_kg)
    fuel_kg = min(heat / per_kg, hopper_kg)
    held = held_kwh + heat - load_kwh
    if held < 0.0:
        return fuel_kg, 0.0, -held
    return fuel_kg, held, 0.0


@jit
def portion(space_kg: float, rate_kg: float, bag_kg: float, store_kg: float) -> float:
    """Return what one step of conveying moves: whole bags by hand (`bag_kg` > 0), else at the rate."""
    if bag_kg > 0.0:
        return min(math.floor((space_kg + TINY_KG) / bag_kg) * bag_kg, store_kg)
    return min(space_kg, rate_kg, store_kg)


@jit
def count_cold(short_kwh: float, run: int, day: int, day_out: Floats, hours_out: Floats) -> int:
    """Count a step's unmet heat; return how many steps in a row have had some."""
    if short_kwh <= TINY_KWH:
        return 0
    day_out[2, day] += short_kwh
    hours_out[0] += 1.0
    if run == 0:
        hours_out[2] += 1.0
    hours_out[1] = max(hours_out[1], run + 1.0)
    return run + 1


@jit
def calls(
    state: int,
    wanted: bool,
    possible: bool,
    hopper_kg: float,
    start_kg: float,
    go_kg: float,
    beside_fire: bool,
) -> bool:
    """Return whether fuel is asked for: from a burning boiler only if the burn-out would not be for
    nothing."""
    if state == BURN or beside_fire:
        return possible and hopper_kg <= start_kg
    return wanted or hopper_kg <= go_kg


@jit
def play_lane(
    heat: Floats,
    size_kg: float,
    clock: Floats,
    between: Floats,
    rules: Floats,
    day_out: Floats,
    hours_out: Floats,
    starts_by_step: Ints,
    trace: Floats,
) -> None:
    """Play one hopper through one winter; what the arrays hold is said at `play`."""
    rate_kg, bag_kg, rated_kwh, per_kg, cap_kwh, start_share, store_kg = rules[:7]
    out_steps, ignite_steps, dawn, beside_fire = int(rules[7]), int(rules[8]), int(rules[9]), rules[10] > 0.0
    per_day = clock.shape[1]
    least_kg = bag_kg if bag_kg > 0.0 else TINY_KG
    hopper_kg, held_kwh = start_share * size_kg, cap_kwh
    state, timer, wanted, alarm, filling, cold = BURN, 0, False, False, False, 0
    for t in range(len(heat)):
        day, i = t // per_day, t % per_day
        shut, stuck = False, False
        if between.shape[1] > 0:
            shut, stuck = between[0, t] > 0.0, between[1, t] > 0.0
            store_kg += between[2, t]
        alarm = alarm and stuck
        if i == 0:
            day_out[4, day] = hopper_kg
        if i == dawn and hopper_kg <= TINY_KG:
            day_out[5, day] = 1.0
        # what is possible, what is asked for, and what the boiler does about it
        possible = not alarm and clock[2, i] == 0.0 and store_kg > TINY_KG
        wanted = calls(state, wanted, possible, hopper_kg, clock[0, i], clock[1, i], beside_fire)
        space_kg = size_kg - hopper_kg
        may = possible and (state == CONVEY or space_kg >= least_kg)
        asked = wanted and not beside_fire
        state, timer, begins = next_state(state, timer, hopper_kg, shut, may, asked, out_steps, ignite_steps)
        if beside_fire:
            begins = wanted and not filling and not shut and may
            filling = (filling or begins) and possible and not shut
        if begins:
            day_out[3, day] += 1.0
            starts_by_step[i] += 1
        if begins or state in (IGNITE, BURN):
            wanted = False
        acted, moved_kg = state, 0.0
        if state == CONVEY or filling:
            alarm = stuck
            if not stuck:
                moved_kg = portion(space_kg, rate_kg, bag_kg, store_kg)
            hopper_kg += moved_kg
            store_kg -= moved_kg
            if alarm or store_kg <= TINY_KG or size_kg - hopper_kg < least_kg + TINY_KG:
                filling = False
                if state == CONVEY:
                    state, timer = (IGNITE if hopper_kg > TINY_KG else WAIT), ignite_steps
        fuel_kg, held_kwh, short_kwh = burn(acted, heat[t], held_kwh, cap_kwh, rated_kwh, hopper_kg, per_kg)
        hopper_kg -= fuel_kg
        if acted == BURN and hopper_kg <= TINY_KG:
            state, timer, wanted = BURN_OUT, out_steps, False
        day_out[0, day] += fuel_kg
        day_out[1, day] += moved_kg
        day_out[4, day] = min(day_out[4, day], hopper_kg)
        cold = count_cold(short_kwh, cold, day, day_out, hours_out)
        if len(trace) > 0:
            trace[t, 0], trace[t, 1], trace[t, 2], trace[t, 3] = acted, fuel_kg, moved_kg, hopper_kg
            trace[t, 4], trace[t, 5], trace[t, 6] = store_kg, held_kwh, short_kwh
    hours_out[3], hours_out[4] = hopper_kg, store_kg


@jit
def play(
    heat: Floats,
    sizes_kg: Floats,
    clocks: Floats,
    between: Floats,
    rules: Floats,
    store_kg: Floats,
    day_out: Floats,
    hours_out: Floats,
    starts_by_step: Ints,
    trace: Floats,
) -> None:
    """Play every hopper size through every winter; the last four arrays are filled in place.

    Parameters
    ----------
    heat
        Shape (winters, steps). [kWh]
    clocks
        Shape (sizes, 3, steps a day): start_kg, go_kg, and 1 where quiet, as in `Clock`.
    between
        Shape (winters, 3, steps), or (winters, 3, 0) for none: 1 where locked, 1 where blocked, arrivals.
        [kg]
    rules
        Shape (11,): kg a step, kg a bag (0 where none), rated kWh a step, kWh/kg, kWh held, start share,
        store kg (set here), steps of burn-out, of ignition, the step of dawn, 1 for conveying beside the
        fire.
    store_kg
        Shape (winters,). [kg]
    day_out
        Shape (sizes, winters, 6, days): burned, conveyed, unmet, fillings, lowest, empty at dawn.
    hours_out
        Shape (sizes, winters, 5): steps short of heat, the longest run, runs, hopper and store at the end.
    starts_by_step
        Shape (sizes, steps a day).
    trace
        Shape (sizes, winters, steps or 0, 7): the fields of `Trace`.
    """
    for j in range(len(sizes_kg)):
        for w in range(len(heat)):
            own = rules.copy()
            own[6] = store_kg[w]
            play_lane(
                heat[w],
                sizes_kg[j],
                clocks[j],
                between[w],
                own,
                day_out[j, w],
                hours_out[j, w],
                starts_by_step[j],
                trace[j, w],
            )
