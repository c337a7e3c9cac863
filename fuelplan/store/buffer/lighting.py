"""When to light next: when the buffer's heat is gone, and how many loads of logs fit now and then."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

import numpy as np
from numpy.typing import ArrayLike

from fuelplan.messages import Message, Quantity, counted_message, message, paragraph
from fuelplan.store.buffer.tank import Buffer, BufferError, Floats


@dataclass(frozen=True)
class LightNext:
    """When to light next.

    Attributes
    ----------
    held_kwh
        Usable heat now. [kWh]
    hours
        Until the usable heat is gone; None beyond the loads given.
    kg_now
        Logs, up to a full load, whose heat the buffer takes now even if the house takes nothing meanwhile.
        [kg]
    loads_now
        Full loads that fit now without heating it beyond full, with what the house takes meanwhile.
    loads_then
        Full loads that fit at the time it is empty.
    first_hours
        Until the first time at which one full load fits and somebody is there to light it; None where the
        loads given do not make room for one.
    sentence
        For people.
    """

    held_kwh: float
    hours: float | None
    kg_now: float
    loads_now: int
    loads_then: int
    first_hours: float | None
    sentence: Message


def light_next(
    buffer: Buffer,
    layers_c: ArrayLike,
    load_kw: ArrayLike,
    *,
    batch_kg: float,
    batch_kwh: float,
    batch_h: float,
    step_h: float = 1.0,
    may_light: ArrayLike | None = None,
) -> LightNext:
    """Return when the buffer's heat is gone, and how many loads of logs fit now and then.

    Parameters
    ----------
    buffer
        The tank.
    layers_c
        Temperatures of equal layers, top first. [degC]
    load_kw
        House load of the steps ahead, shape (steps,), hot water included. [kW]
    batch_kg, batch_kwh, batch_h
        One full load of logs, its useful heat, and how long it burns. [kg, kWh, h]
    step_h
        Length of a step. [h]
    may_light
        Whether somebody is there at the beginning of each step to light a fire, shape (steps,); the first is
        now and always counts. Left out: always.

    Returns
    -------
    LightNext
        Heat, hours and whole loads, with a sentence. [kWh, h]

    Raises
    ------
    BufferError
        A load that is empty, has gaps or lies below zero, no heat or burning time, or layers as
        `held_kwh` refuses them.
    """
    load = np.asarray(load_kw, dtype=np.float64)
    if load.ndim != 1 or load.size == 0 or np.isnan(load).any() or (load < 0).any():
        raise BufferError("the load ahead must be zero or more kW in every step, without gaps")
    if not (batch_kg > 0 and batch_kwh > 0 and batch_h > 0 and step_h > 0):
        raise BufferError(
            message(
                "buffer.load_of_nothing",
                "a load of logs has a heat and a burning time above zero; write e.g. 60 kWh and 4 h",
            )
        )
    taken = np.concatenate([[0.0], np.cumsum((load + max(buffer.loss_kw(layers_c), 0.0)) * step_h)])
    held, free = buffer.held_kwh(layers_c), buffer.free_kwh(layers_c)
    hours = _hour_reached(taken, held, step_h)
    loads_now = _loads_that_fit(free, taken, 0.0, batch_kwh, batch_h, step_h)
    when = taken.size * step_h if hours is None else hours
    loads_then = _loads_that_fit(free + min(held, float(taken[-1])), taken, when, batch_kwh, batch_h, step_h)
    there = np.ones(load.size, dtype=bool) if may_light is None else np.array(may_light, dtype=bool)
    there[0] = True
    first = next(
        (
            i * step_h
            for i, used in enumerate(taken[:-1])
            if there[i]
            and _loads_that_fit(free + min(float(used), held), taken, i * step_h, batch_kwh, batch_h, step_h)
            > 0
        ),
        None,
    )
    kg_now = batch_kg * min(1.0, max(0.0, free) / batch_kwh)
    fits = _fits_now(kg_now, batch_kg, loads_now, first)
    return LightNext(
        held, hours, kg_now, loads_now, loads_then, first, _say(held, hours, fits, loads_then, first)
    )


def _hour_reached(taken: Floats, kwh: float, step_h: float) -> float | None:
    if taken[-1] < kwh:
        return None
    return float(np.interp(kwh, taken, np.arange(taken.size) * step_h)) if kwh > 0 else 0.0


def _loads_that_fit(
    free_kwh: float, taken: Floats, from_h: float, batch_kwh: float, batch_h: float, step_h: float
) -> int:
    """Loads burned one after another within a day: free heat plus what the house takes meanwhile."""
    hours = np.arange(taken.size, dtype=np.float64) * step_h
    rate = float(taken[-1]) / float(hours[-1])  # beyond the loads given the house takes their mean
    # A house that takes all a fire gives has no other bound than the day.
    most = max(1, floor(24.0 / batch_h))
    for loads in range(1, most + 1):
        end_h = from_h + loads * batch_h
        used = _taken_at(taken, hours, end_h, rate) - _taken_at(taken, hours, from_h, rate)
        if loads * batch_kwh > free_kwh + used + 1e-9:
            return loads - 1
    return most


def _taken_at(taken: Floats, hours: Floats, at_h: float, rate: float) -> float:
    return float(np.interp(at_h, hours, taken)) + max(0.0, at_h - float(hours[-1])) * rate


def _say(held: float, hours: float | None, fits: Message, then: int, first: float | None) -> Message:
    kwh = Quantity.written(held, "kWh", ".0f")
    if hours is None:
        lasts = message(
            "buffer.lasts_beyond",
            "The buffer holds about {heat} of usable heat, which lasts longer than looked ahead.",
            heat=kwh,
        )
    else:
        lasts = message(
            "buffer.lasts",
            "The buffer holds about {heat} of usable heat, which lasts for {hours}.",
            heat=kwh,
            hours=_hours(hours),
        )
    return paragraph([lasts, fits, *([] if first is None else [_loads_when_empty(then)])])


def _fits_now(kg_now: float, batch_kg: float, loads_now: int, first: float | None) -> Message:
    """Return what can be loaded now: first what the buffer takes alone, whatever the house takes."""
    now, full = (Quantity.written(kg, "kg", ".0f") for kg in (floor(kg_now + 1e-9), batch_kg))
    if kg_now >= batch_kg:
        return message("buffer.full_load_fits", "It can take a full load of {full} now.", full=full)
    if loads_now > 0:
        return message(
            "buffer.part_load_fits",
            "It can take about {now} of logs now; a full load of {full} fits only with what the house takes "
            "while it burns.",
            now=now,
            full=full,
        )
    if first is None:
        return message(
            "buffer.do_not_light",
            "No full load of {full} fits in the time looked ahead: do not light one.",
            full=full,
        )
    return message(
        "buffer.wait",
        "It can take about {now} of logs now; for a full load of {full} wait for {hours}.",
        now=now,
        full=full,
        hours=_hours(first),
    )


def _loads_when_empty(count: int) -> Message:
    if count == 0:
        return message("buffer.none_fits_then", "Lit when it is empty, no full load would fit.")
    return counted_message(
        "buffer.fits_then",
        "Lit when it is empty, one full load would fit.",
        "Lit when it is empty, {n} full loads would fit.",
        count,
    )


def _hours(hours: float) -> Message:
    whole = round(hours)
    if whole < 1:
        return message("buffer.less_than_an_hour", "less than an hour")
    return counted_message("buffer.about_hours", "about one hour", "about {n} hours", whole)
