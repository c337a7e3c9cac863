"""What the cycle says for a decision: how often and when the hopper is filled, and how small it may be."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Number, Quantity, message
from fuelplan.sizing.hopper_cycle.clock import quiet_steps
from fuelplan.sizing.hopper_cycle.cycle import Cycle, Disturbances, Trace, simulate
from fuelplan.sizing.hopper_cycle.load import steps_per_hour
from fuelplan.store.hopper import Burner, Conveying, HopperError, bags

Floats = NDArray[np.float64]

WEEK = 7
SIZE_STEP_KG = 5.0  # hoppers are stated in steps of this
UNNOTICED_KWH = 1e-6


@dataclass(frozen=True)
class ColdestWeek:
    """The seven days that take the most heat: which winter, from which of its days, and the fuel of a mean
    day."""

    winter: int
    first_day: int
    kg_per_day: float


@dataclass(frozen=True)
class HopperOption:
    """One hopper size over all winters.

    Attributes
    ----------
    size_kg
        Usable content. [kg]
    fillings_per_day, fillings_per_day_coldest_week
        Mean over all days, and over the coldest week.
    main_hours
        Clock hours in which most fillings begin, the commonest first; together at least two thirds of them.
    nights_empty_per_winter
        Nights at whose end the hopper is empty.
    interrupted_h_per_winter, longest_h
        Hours without enough heat in a mean winter, and the longest stretch in any. [h]
    works_in_coldest_week
        No interruption in the coldest week that the hopper is to blame for.
    bags_per_day, bags_per_week, bags_per_week_coldest
        Mean whole bags to carry, where it is filled by hand; else None.
    """

    size_kg: float
    fillings_per_day: float
    fillings_per_day_coldest_week: float
    main_hours: tuple[int, ...]
    nights_empty_per_winter: float
    interrupted_h_per_winter: float
    longest_h: float
    works_in_coldest_week: bool
    bags_per_day: float | None
    bags_per_week: float | None
    bags_per_week_coldest: int | None


@dataclass(frozen=True)
class HopperAnswer:
    """The hopper: options, the smallest without interruption in the coldest week, and why.

    `smallest_kg` is None where no size helps; `problems` then says what would. `night_kg` is the most that
    one night takes on record. [kg]
    """

    options: tuple[HopperOption, ...]
    smallest_kg: float | None
    coldest: ColdestWeek
    night_kg: float
    why: Message
    problems: tuple[Message, ...]


def coldest_week(heat_kwh: Floats, burner: Burner, step_min: int = 15) -> ColdestWeek:
    """Return the week of the most heat, of all winters; `heat_kwh` has shape (winters, steps). [kWh]

    Parameters
    ----------
    heat_kwh
        Shape (winters, steps). [kWh]
    burner
        For the fuel of that week.
    step_min
        Length of a step. [min]

    Raises
    ------
    HopperError
        Less than a week.
    """
    daily = heat_kwh.reshape(heat_kwh.shape[0], -1, 24 * steps_per_hour(step_min)).sum(axis=2)
    if daily.shape[1] < WEEK:
        raise HopperError(f"{daily.shape[1]} days hold no week; give at least seven")
    total = np.cumsum(np.pad(daily, ((0, 0), (1, 0))), axis=1)
    weeks = total[:, WEEK:] - total[:, :-WEEK]
    winter, day = np.unravel_index(int(np.argmax(weeks)), weeks.shape)
    return ColdestWeek(int(winter), int(day), float(weeks[winter, day]) / WEEK / burner.kwh_per_kg)


def night_kg(heat_kwh: Floats, conveying: Conveying, burner: Burner, step_min: int = 15) -> Floats:
    """Fuel that each night takes, from the beginning of the quiet hours (22 where there are none) to their
    end (6).

    Shape (winters, days − 1), the night after each day. [kg]

    Parameters
    ----------
    heat_kwh, conveying, burner, step_min
        As in `simulate`.
    """
    per_hour = steps_per_hour(step_min)
    begin = conveying.quiet_from_h if conveying.quiet_from_h is not None else 22.0
    end = conveying.quiet_to_h if conveying.quiet_to_h is not None else 6.0
    asleep = quiet_steps(Conveying("auger", quiet_from_h=begin, quiet_to_h=end), per_hour)
    days = heat_kwh.reshape(heat_kwh.shape[0], -1, 24 * per_hour)
    first = int(begin * per_hour)
    evening = (days[:, :-1, first:] * asleep[first:]).sum(axis=2)
    morning_of = days[:, 1:, :first] if begin > end else days[:, :-1, :first]
    morning = (morning_of * asleep[:first]).sum(axis=2)
    return np.asarray((evening + morning) / burner.kwh_per_kg)


def hopper_answer(
    heat_kwh: Floats,
    sizes_kg: Floats,
    conveying: Conveying,
    burner: Burner,
    *,
    held_kwh: float = 0.0,
    step_min: int = 15,
    disturbances: Disturbances | None = None,
) -> HopperAnswer:
    """Answer the installer's questions about the hopper; arguments as in `simulate`.

    Parameters
    ----------
    heat_kwh, sizes_kg, conveying, burner, held_kwh, step_min, disturbances
        As in `simulate`.

    Raises
    ------
    HopperError
        As `simulate` and `coldest_week`.
    """
    cycle = simulate(
        heat_kwh,
        sizes_kg,
        conveying,
        burner,
        held_kwh=held_kwh,
        step_min=step_min,
        disturbances=disturbances,
    )
    week = coldest_week(heat_kwh, burner, step_min)
    per_day = 24 * steps_per_hour(step_min)
    one_winter = np.ascontiguousarray(heat_kwh[week.winter : week.winter + 1])
    ideal = _without_pauses(one_winter, burner, held_kwh, step_min)
    smallest = _smallest(one_winter, week, conveying, burner, held_kwh, step_min, ideal)
    night = night_kg(heat_kwh, conveying, burner, step_min)
    worst_night = float(night.max())
    now = slice(week.first_day, week.first_day + WEEK)
    short = cycle.unmet_kwh[now, :, week.winter].sum(axis=0)
    works = short <= ideal[now].sum() + UNNOTICED_KWH
    options = tuple(_option(cycle, j, week, conveying, bool(works[j])) for j in range(len(sizes_kg)))
    peak_kw = float(one_winter[0, week.first_day * per_day : (week.first_day + WEEK) * per_day].max())
    peak_kw *= steps_per_hour(step_min)
    return HopperAnswer(
        options=options,
        smallest_kg=smallest,
        coldest=week,
        night_kg=worst_night,
        why=_why(smallest, week, worst_night, conveying),
        problems=_problems(
            smallest, options, worst_night, conveying, burner, held_kwh, peak_kw, float(ideal[now].sum())
        ),
    )


def week_trace(
    heat_kwh: Floats,
    size_kg: float,
    conveying: Conveying,
    burner: Burner,
    *,
    held_kwh: float = 0.0,
    step_min: int = 15,
) -> Trace:
    """Every step of the coldest week for one hopper, shapes (steps, 1, 1): for a drawing.

    Parameters
    ----------
    heat_kwh, size_kg, conveying, burner, held_kwh, step_min
        As in `simulate`, for one hopper.
    """
    week = coldest_week(heat_kwh, burner, step_min)
    per_day = 24 * steps_per_hour(step_min)
    lead = max(
        0, week.first_day - 3
    )  # a few days, so that the week does not begin with a full hopper by accident
    part = heat_kwh[week.winter : week.winter + 1, lead * per_day : (week.first_day + WEEK) * per_day]
    cycle = simulate(
        part, np.array([size_kg]), conveying, burner, held_kwh=held_kwh, step_min=step_min, keep=True
    )
    assert cycle.trace is not None
    kept = [getattr(cycle.trace, name)[-WEEK * per_day :] for name in Trace.__dataclass_fields__]
    return Trace(*kept)


def _without_pauses(heat_kwh: Floats, burner: Burner, held_kwh: float, step_min: int) -> Floats:
    """Unmet heat of each day with fuel always at hand: the boiler's own limit. [kWh]"""
    plenty = Conveying("auger", while_burning=True, refill_share=0.0)
    best = simulate(heat_kwh, np.array([1e9]), plenty, burner, held_kwh=held_kwh, step_min=step_min)
    return np.asarray(best.unmet_kwh[:, 0, 0])


def _smallest(
    heat_kwh: Floats,
    week: ColdestWeek,
    conveying: Conveying,
    burner: Burner,
    held_kwh: float,
    step_min: int,
    ideal_kwh: Floats,
) -> float | None:
    """Smallest size from which on every larger one, up to four days' fuel, gets through the coldest week.
    [kg]"""
    least = conveying.bag_kg if conveying.how == "hand" else SIZE_STEP_KG
    first = math.ceil(least / SIZE_STEP_KG) * SIZE_STEP_KG
    sizes = np.arange(first, max(4 * week.kg_per_day, 2 * first) + SIZE_STEP_KG, SIZE_STEP_KG)
    sizes = sizes[:: max(1, len(sizes) // 400)]  # a large plant: coarser steps
    cycle = simulate(heat_kwh, sizes, conveying, burner, held_kwh=held_kwh, step_min=step_min)
    now = slice(week.first_day, week.first_day + WEEK)
    short = cycle.unmet_kwh[now, :, 0].sum(axis=0) > ideal_kwh[now].sum() + UNNOTICED_KWH
    if short[-1]:
        return None
    last_short = int(np.flatnonzero(short)[-1]) if short.any() else -1
    return float(sizes[last_short + 1])


def _option(cycle: Cycle, j: int, week: ColdestWeek, conveying: Conveying, works: bool) -> HopperOption:
    now = slice(week.first_day, week.first_day + WEEK)
    winters = cycle.fillings.shape[2]
    by_hand = conveying.how == "hand"
    carried = cycle.conveyed_kg[:, j, :]
    mean_kg = float(carried.mean())
    return HopperOption(
        size_kg=float(cycle.sizes_kg[j]),
        fillings_per_day=float(cycle.fillings[:, j].mean()),
        fillings_per_day_coldest_week=float(cycle.fillings[now, j, week.winter].mean()),
        main_hours=_main_hours(cycle.fillings_by_hour[:, j]),
        nights_empty_per_winter=float(cycle.empty_at_dawn[:, j].sum()) / winters,
        interrupted_h_per_winter=float(cycle.interrupted_h[j].mean()),
        longest_h=float(cycle.longest_h[j].max()),
        works_in_coldest_week=works,
        bags_per_day=mean_kg / conveying.bag_kg if by_hand else None,
        bags_per_week=WEEK * mean_kg / conveying.bag_kg if by_hand else None,
        bags_per_week_coldest=bags(float(carried[now, week.winter].sum()), conveying.bag_kg)
        if by_hand
        else None,
    )


def _main_hours(starts: NDArray[np.int64]) -> tuple[int, ...]:
    """Commonest hours until two thirds of all fillings are told."""
    if not starts.any():
        return ()
    order = np.argsort(-starts, kind="stable")
    told = np.cumsum(starts[order]) / starts.sum()
    return tuple(int(h) for h in order[: int(np.searchsorted(told, 2 / 3)) + 1])


def _why(smallest: float | None, week: ColdestWeek, night: float, conveying: Conveying) -> Message:
    begin = _hour(22.0 if conveying.quiet_from_h is None else conveying.quiet_from_h)
    end = _hour(6.0 if conveying.quiet_to_h is None else conveying.quiet_to_h)
    a_day, a_night = _kg(week.kg_per_day), _kg(night)
    if smallest is None:
        return message(
            "hopper.no_size_alone",
            "In the coldest week on record the boiler burns about {a_day} a day, and the hungriest night "
            "({begin} to {end}) takes {a_night}; no hopper size alone gets through that week without an "
            "interruption.",
            a_day=a_day,
            begin=begin,
            end=end,
            a_night=a_night,
        )
    return message(
        "hopper.smallest",
        "In the coldest week on record the boiler burns about {a_day} a day, and the hungriest night "
        "({begin} to {end}) takes {a_night}; the smallest hopper without interruption in that week holds "
        "{smallest}.",
        a_day=a_day,
        begin=begin,
        end=end,
        a_night=a_night,
        smallest=_kg(smallest),
    )


def _hour(clock_h: float) -> Number:
    """Return a clock hour: 22, 6.5."""
    return Number(clock_h, len(f"{clock_h:g}".partition(".")[2]))


def _kg(mass_kg: float) -> Quantity:
    return Quantity.written(mass_kg, "kg", ".0f")


BOILER_TOO_SMALL, TOO_SMALL_FOR_NIGHT = "hopper.boiler_too_small", "hopper.smaller_than_a_night"
"""Codes of problems that no hopper mends, and that a larger one does."""


def _problems(
    smallest: float | None,
    options: tuple[HopperOption, ...],
    night: float,
    conveying: Conveying,
    burner: Burner,
    held_kwh: float,
    peak_kw: float,
    short_kwh: float,
) -> tuple[Message, ...]:
    """One sentence for each thing that cannot work."""
    found = []
    peak = Quantity.written(peak_kw, "kW", ".1f")
    if short_kwh > UNNOTICED_KWH:
        found.append(
            message(
                "hopper.boiler_too_small",
                "The load reaches {peak}, the boiler gives {rated}: in the coldest week it is too small "
                "whatever the hopper.",
                peak=peak,
                rated=Quantity.written(burner.rated_kw, "kW", ".1f"),
            )
        )
    small = [o.size_kg for o in options if o.size_kg < night]
    if small and conveying.quiet_hours > 0:
        found.append(
            message(
                "hopper.smaller_than_a_night",
                "Hoppers up to {size} are smaller than one night: the quiet hours take up to {night} and "
                "nothing may be conveyed in them.",
                size=_kg(max(small)),
                night=_kg(night),
            )
        )
    if smallest is None and not conveying.while_burning:
        pause_h = conveying.burn_out_h + conveying.ignite_h
        found.append(
            message(
                "hopper.pauses_cost_too_much",
                "Each filling stops the fire for {minutes} min and more, which costs {lost} at {peak}; "
                "buffer and building give {held}: a larger buffer helps, a larger hopper does not, or not "
                "alone.",
                minutes=Number(60 * pause_h),
                lost=Quantity.written(pause_h * peak_kw, "kWh", ".1f"),
                peak=peak,
                held=Quantity.written(held_kwh, "kWh", ".1f"),
            )
        )
    return tuple(found)
