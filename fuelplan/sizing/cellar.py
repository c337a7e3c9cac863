"""The other way round: this cellar is given – is it enough, and which floor slope serves best?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import partial

import numpy as np
from numpy.typing import NDArray

from fuelplan import units
from fuelplan.sizing.answer import SizeOption, size_store
from fuelplan.sizing.inputs import OrderRule, Sizes, StoreCosts
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

    words: str
    slopes: int
    slope_deg: float
    along: str
    guided: bool
    store: Store | None
    option: SizeOption | None
    fault: str | None


@dataclass(frozen=True)
class CellarAnswer:
    """Whether the cellar is enough, the build that serves best, and every build looked at."""

    enough: bool
    best: CellarOption | None
    builds: tuple[CellarOption, ...]
    sentence: str


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
    found = [CellarOption("a flat floor", 0, 0.0, "length", False, flat, None, None)]
    for along, (length, width) in {"length": (length_m, width_m), "width": (width_m, length_m)}.items():
        for slopes in (1, 2):
            for slope in slopes_deg:
                words = (
                    f"{'one sloped floor' if slopes == 1 else 'two sloped floors'} at {slope:g}°, "
                    f"channel along the {along} of {units.show_as(length, 'm', 'g')}"
                )
                guided = GUIDED_DEG[0] <= slope <= GUIDED_DEG[1]
                try:
                    room = SlopedRoom(length, width, height_m, slope, channel_m, slopes)
                    store = made(room)
                    found.append(CellarOption(words, slopes, slope, along, guided, store, None, None))
                except StoreError as fault:
                    found.append(CellarOption(words, slopes, slope, along, guided, None, None, str(fault)))
    return found


def _sentence(
    length_m: float,
    width_m: float,
    height_m: float,
    builds: tuple[CellarOption, ...],
    best: CellarOption | None,
) -> str:
    room = f"A cellar of {units.show_sides(length_m, width_m, height_m)}"
    if best is not None and best.option is not None:
        o = best.option
        advice = "" if best.guided else " (outside the guidance of 40 to 45°: fuel stays lying)"
        return (
            f"{room} is enough: {best.words}{advice} serves best, "
            f"{units.show_as(o.usable_kg / 1000, 't', '.1f')} usable, "
            f"{o.deliveries_per_year:.1f} deliveries a year, empty in {o.empty_winters} of "
            f"{o.winters_said}."
        )
    most = max((b for b in builds if b.option), key=lambda b: b.option.usable_kg if b.option else 0.0)
    assert most.option is not None
    return (
        f"{room} is not enough: even with {most.words}, "
        f"{units.show_as(most.option.usable_kg / 1000, 't', '.1f')} usable, "
        f"it {most.option.problem}."
    )
