"""The other way round: this cellar is given – is it enough, and which floor slope serves best?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import partial

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Number, Quantity, Sides, message
from fuelplan.sizing.answer import size_store
from fuelplan.sizing.inputs import OrderRule, Sizes, StoreCosts
from fuelplan.sizing.option import SizeOption
from fuelplan.store.bulk import FlatRoom, SlopedRoom, Store, StoreError

Floats = NDArray[np.float64]

# 40 to 45 degrees (guidance); 35 is quoted too (value from memory). Flatter floors leave fuel lying.
SLOPES_DEG = (35.0, 40.0, 45.0)
GUIDED_DEG = (40.0, 45.0)

Density = tuple[float, float, float]
PELLET_DENSITY: Density = (Store.bulk_kg_per_m3, Store.bulk_low_kg_per_m3, Store.bulk_high_kg_per_m3)


@dataclass(frozen=True)
class CellarOption:
    """One way to build a store into the cellar, and how it does.

    `along` says which side the channel runs along: "length" or "width". `guided`: the slope lies within the
    published guidance. `option` is None where it cannot be built; `fault` then says why.
    """

    words: Message
    slopes: int
    slope_deg: float
    along: str
    guided: bool
    store: Store | None
    option: SizeOption | None
    fault: Message | None


@dataclass(frozen=True)
class CellarAnswer:
    """Whether the cellar is enough, the build that serves best, and every build looked at."""

    enough: bool
    best: CellarOption | None
    builds: tuple[CellarOption, ...]
    sentence: Message


def cellar(
    length_m: float,
    width_m: float,
    height_m: float,
    demand_kg: Floats,
    rule: OrderRule,
    costs: StoreCosts,
    *,
    first_day: date,
    load_kw: float,
    channel_m: float = 0.2,
    suction_points: int = 0,
    slopes_deg: tuple[float, ...] = SLOPES_DEG,
    real_winters: int | None = None,
    density: Density = PELLET_DENSITY,
) -> CellarAnswer:
    """Try every slope, with one and two sloped floors, the channel along either side, and the flat floor.

    Best is the build within guidance with the most usable fuel that works; a flat floor or a flatter slope
    only where nothing else does. Arguments as in `size_store`; the cellar's inner sizes in metres,
    `density` the bulk density: usual, low and high [kg/m3].

    Parameters
    ----------
    length_m, width_m, height_m
        Inside. [m]
    demand_kg, rule, costs, first_day, load_kw, real_winters
        As in `size_store`.
    channel_m, suction_points
        Width of the flat channel, and points from which fuel is drawn. [m, -]
    slopes_deg
        Slopes to try. [deg]
    density
        Bulk density: usual, low and high. [kg/m3]

    Raises
    ------
    StoreError
        A cellar whose sizes are none.
    """
    FlatRoom(length_m, width_m, height_m)  # refuses lengths that are none before anything is tried
    builds = _builds(length_m, width_m, height_m, channel_m, suction_points, slopes_deg, density)
    stores = [b.store for b in builds if b.store is not None]
    answer = size_store(
        demand_kg,
        Sizes.of_stores(stores),
        rule,
        costs,
        first_day=first_day,
        load_kw=load_kw,
        real_winters=real_winters,
    )
    options = iter(answer.options)
    done = tuple(
        b
        if b.store is None
        else CellarOption(b.words, b.slopes, b.slope_deg, b.along, b.guided, b.store, next(options), None)
        for b in builds
    )
    working = [b for b in done if b.option is not None and b.option.works]
    guided = [b for b in working if b.guided] or working
    best = max(guided, key=lambda b: b.option.usable_kg if b.option else 0.0) if guided else None
    return CellarAnswer(best is not None, best, done, _sentence(length_m, width_m, height_m, done, best))


def _builds(
    length_m: float,
    width_m: float,
    height_m: float,
    channel_m: float,
    suction_points: int,
    slopes_deg: tuple[float, ...],
    density: Density,
) -> list[CellarOption]:
    """Return every build; those that cannot be carry the reason."""
    made = partial(
        Store,
        suction_points=suction_points,
        bulk_kg_per_m3=density[0],
        bulk_low_kg_per_m3=density[1],
        bulk_high_kg_per_m3=density[2],
    )
    flat = made(FlatRoom(length_m, width_m, height_m))
    found = [
        CellarOption(message("cellar.flat_floor", "a flat floor"), 0, 0.0, "length", False, flat, None, None)
    ]
    for along, (length, width) in {"length": (length_m, width_m), "width": (width_m, length_m)}.items():
        for slopes in (1, 2):
            for slope in slopes_deg:
                words = _sloped(slopes, slope, along, length)
                guided = GUIDED_DEG[0] <= slope <= GUIDED_DEG[1]
                try:
                    room = SlopedRoom(length, width, height_m, slope, channel_m, slopes)
                    store = made(room)
                    found.append(CellarOption(words, slopes, slope, along, guided, store, None, None))
                except StoreError as fault:
                    found.append(CellarOption(words, slopes, slope, along, guided, None, None, fault.said))
    return found


def _sloped(slopes: int, slope_deg: float, along: str, length_m: float) -> Message:
    """Return the words for a floor: its slopes, and which side its channel runs along."""
    slope = Quantity.written(slope_deg, "deg", "g")
    length = Quantity.written(length_m, "m", "g")
    if slopes == 1 and along == "length":
        return message(
            "cellar.one_slope_along_length",
            "one sloped floor at {slope}, channel along the length of {length}",
            slope=slope,
            length=length,
        )
    if slopes == 1:
        return message(
            "cellar.one_slope_along_width",
            "one sloped floor at {slope}, channel along the width of {length}",
            slope=slope,
            length=length,
        )
    if along == "length":
        return message(
            "cellar.two_slopes_along_length",
            "two sloped floors at {slope}, channel along the length of {length}",
            slope=slope,
            length=length,
        )
    return message(
        "cellar.two_slopes_along_width",
        "two sloped floors at {slope}, channel along the width of {length}",
        slope=slope,
        length=length,
    )


def _sentence(
    length_m: float,
    width_m: float,
    height_m: float,
    builds: tuple[CellarOption, ...],
    best: CellarOption | None,
) -> Message:
    sides = Sides((length_m, width_m, height_m))
    if best is None or best.option is None:
        most = max((b for b in builds if b.option), key=lambda b: b.option.usable_kg if b.option else 0.0)
        assert most.option is not None and most.option.problem is not None
        return message(
            "cellar.not_enough",
            "A cellar of {sides} is not enough: even with {floor}, {usable} usable, it {problem}.",
            sides=sides,
            floor=most.words,
            usable=Quantity.written(most.option.usable_kg / 1000, "t", ".1f"),
            problem=most.option.problem,
        )
    does = message(
        "cellar.does",
        "{usable} usable, {drops} deliveries a year, empty in {empty} of {winters}",
        usable=Quantity.written(best.option.usable_kg / 1000, "t", ".1f"),
        drops=Number(best.option.deliveries_per_year, 1),
        empty=best.option.empty_winters,
        winters=best.option.winters_said,
    )
    if best.guided:
        return message(
            "cellar.enough",
            "A cellar of {sides} is enough: {floor} serves best, {does}.",
            sides=sides,
            floor=best.words,
            does=does,
        )
    return message(
        "cellar.enough_outside_guidance",
        "A cellar of {sides} is enough: {floor} (outside the guidance of 40 to 45°: fuel stays lying) serves "
        "best, {does}.",
        sides=sides,
        floor=best.words,
        does=does,
    )
