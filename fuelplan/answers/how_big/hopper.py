"""Day hopper and buffer: the hopper through past winters at fifteen minutes, the buffer by its rules."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.how_big.answer import BufferPart, HopperPart
from fuelplan.answers.how_big.basis import DAYS, MOST_WINTERS, Basis
from fuelplan.messages import Message, Quantity, message
from fuelplan.records.site import conveying_of
from fuelplan.sizing import hopper_cycle
from fuelplan.store import buffer, hopper
from fuelplan.weather import find_runs

Floats = NDArray[np.float64]

# Where the folder does not say how the hopper is filled (our assumption): suction over a middling line, quiet
# nights.
ASSUMED = hopper.Conveying("suction", line_m=10.0, rise_m=3.0, quiet_from_h=22.0, quiet_to_h=6.0)
NIGHTS_COMPARED = (0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0)
LARGEST_USEFUL_KWH_PER_KG = 5.5
STEP_MIN = 15


def hopper_part(basis: Basis) -> HopperPart:
    """Return the day hopper; by assumption where the folder does not say how it is filled."""
    table = basis.site.table
    given = conveying_of(table)
    conveying = given or ASSUMED
    burner = hopper.Burner(basis.rated_kw, min(basis.setting.useful_kwh_per_kg, LARGEST_USEFUL_KWH_PER_KG))
    heat, first_days = _heat(basis)
    held = held_kwh(basis)
    night = float(hopper_cycle.night_kg(heat, conveying, burner, STEP_MIN).max())
    present = None if table.hopper is None else table.hopper.size_kg
    sizes = _sizes(basis, night, present, conveying)
    found = hopper_cycle.hopper_answer(heat, sizes, conveying, burner, held_kwh=held, step_min=STEP_MIN)
    drawn = present or found.smallest_kg or float(sizes[-1])
    if found.smallest_kg is not None and not np.isclose(sizes, found.smallest_kg).any():
        sizes = np.sort(np.append(sizes, found.smallest_kg))
        found = replace(
            hopper_cycle.hopper_answer(heat, sizes, conveying, burner, held_kwh=held, step_min=STEP_MIN),
            smallest_kg=found.smallest_kg,
        )
    shown = min(found.options, key=lambda o: abs(o.size_kg - drawn))
    trace = hopper_cycle.week_trace(heat, shown.size_kg, conveying, burner, held_kwh=held, step_min=STEP_MIN)
    quiet = (
        None
        if conveying.quiet_from_h is None or conveying.quiet_to_h is None
        else (conveying.quiet_from_h, conveying.quiet_to_h)
    )
    week = found.coldest
    return HopperPart(
        how=conveying.how,
        assumed=given is None,
        present_kg=present,
        smallest_kg=found.smallest_kg,
        proposed_kg=_proposed(found),
        fillings_per_day=shown.fillings_per_day,
        fillings_per_day_coldest_week=shown.fillings_per_day_coldest_week,
        main_hours=tuple(sorted(shown.main_hours)),
        nights_empty_per_winter=shown.nights_empty_per_winter,
        night_kg=found.night_kg,
        coldest_week_from=first_days[week.winter] + timedelta(days=week.first_day),
        coldest_week_kg_per_day=week.kg_per_day,
        bags_per_day=shown.bags_per_day,
        bags_per_week=shown.bags_per_week,
        bags_per_week_coldest=shown.bags_per_week_coldest,
        options=found.options,
        why=found.why,
        problems=found.problems,
        quiet=quiet,
        burn_out_first=not conveying.while_burning,
        winters=heat.shape[0],
        drawn_kg=shown.size_kg,
        step_min=STEP_MIN,
        week_kg=np.asarray(trace.hopper_kg[:, 0, 0]),
    )


def _proposed(found: hopper_cycle.HopperAnswer) -> float | None:
    """Return the smallest hopper that neither the coldest week nor any night empties; None where none is."""
    if found.smallest_kg is None:
        return None
    good = [o.size_kg for o in found.options if o.works_in_coldest_week and o.nights_empty_per_winter == 0]
    return min((kg for kg in good if kg >= found.smallest_kg), default=found.smallest_kg)


def held_kwh(basis: Basis) -> float:
    """Return the heat that buffer and building give before someone notices. [kWh]"""
    given = basis.site.table.buffer
    building_kwh_per_k = basis.setting.need.loss_w_per_k * given.time_constant_h / 1000.0
    return hopper.held_kwh(1000.0 * given.volume_m3, given.spread_k, building_kwh_per_k, given.sag_k)


def buffer_part(basis: Basis) -> BufferPart:
    """Return the buffer that the rules ask for: those for logs where somebody feeds the boiler by hand."""
    table, side = basis.site.table, basis.setting.log_side
    common: dict[str, Any] = {"house_kw": basis.load_kw, "country": table.place.country}
    asked: tuple[Message, ...] = ()
    if side is None or table.logs is None:
        rules = buffer.size_rules(basis.rated_kw, by_hand=False, **common)
    else:
        chamber_l = None if table.logs.chamber_m3 is None else 1000.0 * table.logs.chamber_m3
        rules = buffer.size_rules(
            basis.rated_kw,
            by_hand=True,
            burn_h=table.logs.burn_h,
            chamber_l=chamber_l,
            batch_kwh=side.plant.load_useful_kwh,
            **common,
        )
        if chamber_l is None:
            asked = (_ask_chamber(rules[0].litres),)
    present = 1000.0 * table.buffer.volume_m3
    return BufferPart(rules[0].litres, present, held_kwh(basis), rules, side is not None, asked)


def _ask_chamber(litres: float) -> Message:
    """Return the question about the fuel chamber, with the size from which it asks for a larger buffer."""
    return message(
        "size.ask_chamber",
        "How much does the fuel chamber hold? Above {most} it asks for a larger buffer.",
        most=Quantity.written(litres / buffer.LITRES_PER_CHAMBER_LITRE, "l"),
    )


def _sizes(basis: Basis, night_kg: float, present: float | None, conveying: hopper.Conveying) -> Floats:
    """Return the hopper sizes to compare: those of the folder, else a row around one night's fuel. [kg]"""
    given = () if basis.site.table.hopper is None else basis.site.table.hopper.compare_kg
    step = 5.0 if night_kg < 60 else 10.0 if night_kg < 200 else 50.0
    sizes = list(given) or [max(step, step * round(n * night_kg / step)) for n in NIGHTS_COMPARED]
    if present is not None:
        sizes.append(present)
    least = conveying.bag_kg if conveying.how == "hand" else 0.0
    return np.unique([s for s in sizes if s >= least] or [2 * conveying.bag_kg])


def _heat(basis: Basis) -> tuple[Floats, list]:  # type: ignore[type-arg]
    """Return the heat of each step of past years, shape (winters, steps), and their first days. [kWh]"""
    weather = basis.weather
    per_kg = basis.setting.useful_kwh_per_kg
    runs = (
        []
        if weather.reference_year
        else [r for r in find_runs(weather, basis.first_day, DAYS, 1) if r.days == DAYS]
    )
    if runs:
        rows = np.array([r.start for r in runs[-MOST_WINTERS:]])[:, None] + np.arange(DAYS)
        mean, low, high = weather.mean_c[rows], weather.min_c[rows], weather.max_c[rows]
        first_days = [weather.first_day + timedelta(days=r.start) for r in runs[-MOST_WINTERS:]]
    else:
        mean = basis.winters.mean_c
        low = high = np.full(mean.shape, np.nan)
        first_days = [basis.first_day] * len(mean)
    hourly = hopper_cycle.hourly_from_daily_c(mean, low, high)
    space = (
        basis.kg_per_degree_day * per_kg * np.maximum(0.0, basis.base_c - basis.setting.need.heating_c(mean))
    )
    heat = hopper_cycle.heat_by_step(
        space, hourly, basis.base_c, hot_water_kwh=basis.kg_per_day * per_kg, step_min=STEP_MIN
    )
    return heat, first_days
