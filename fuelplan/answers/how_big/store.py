"""The bulk store: every size through past winters, the folder's own, a cellar, a winter and a drawing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan import sizing
from fuelplan.answers.how_big.answer import CellarBuild, CellarPart, Drawing, WorstWinter
from fuelplan.answers.how_big.basis import Basis, thing_of
from fuelplan.messages import message
from fuelplan.records.schema import CellarTable
from fuelplan.sizing import (
    PALLET_KG,
    PALLET_M3,
    SizeOption,
    Sizes,
    SizingAnswer,
    StoreQuestion,
    in_question,
)
from fuelplan.store.bulk import Store, section_of

Floats = NDArray[np.float64]

# Stocks to compare where the folder names no rooms, in years' need.
YEARS_COMPARED = (0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.75, 0.9, 1.1, 1.3, 1.6, 2.0)
ROOM_M3_PER_USABLE_KG = 1.0 / (sizing.RoomRule(1.0, 2 / 3, 2 / 3 * 650.0, 0.0).usable_kg)


@dataclass(frozen=True)
class Sized:
    """Every size, the folder's store, and the range if the building burns as much as it well may."""

    asked: StoreQuestion
    answer: SizingAnswer
    present: SizeOption
    high_use_range_m3: tuple[float, float] | None
    reserve_kg: float
    fuel: str


def size_stores(basis: Basis) -> Sized:
    """Return the sizes in question, played, and the folder's own store beside them."""
    limit = basis.site.table.sizing.empty_risk
    asked = _sizes(basis)
    sizes = asked.sizes

    def ask(demand: Floats, of: Sizes) -> SizingAnswer:
        return sizing.size_store(
            demand,
            of,
            basis.rule,
            basis.costs,
            first_day=basis.first_day,
            load_kw=basis.load_kw,
            empty_risk_limit=limit,
            real_winters=basis.winters.winters,
            with_rules=basis.setting.fuel.room_rule is not None,
        )

    answer = ask(basis.demand_kg, sizes)
    present = ask(basis.demand_kg, size_of(basis.setting.store, asked.thing)).options[0]
    high = ask(basis.demand_kg * basis.doubt_high, sizes).best_range_m3
    return Sized(asked, answer, present, high, basis.rule.reserve_kg, basis.setting.fuel.name)


def size_of(store: Store, thing: str = "room") -> Sizes:
    """Return one store as sizes; where only a capacity is known its room follows the two-thirds rule."""
    if thing == "pallets":
        return Sizes(*(np.array([v]) for v in _on_pallets(store)))
    if store.shape is not None:
        return Sizes.of_stores([store])
    sure = max(0.0, store.surely_full_m3 * store.bulk_low_kg_per_m3 - store.unusable_kg)
    return Sizes(*(np.array([v]) for v in (store.full_m3 * 1.5, store.full_m3, store.usable_kg(), sure)))


def _on_pallets(store: Store) -> tuple[float, float, float, float]:
    """Return volume on pallets, fuel, and usable kilograms twice, of bags that weigh what a store holds."""
    kg = store.capacity_kg()
    return kg / PALLET_KG * PALLET_M3, store.full_m3, kg, kg


def _sizes(basis: Basis) -> StoreQuestion:
    """Return the sizes to compare, in the kind of store that the folder has."""
    table, store = basis.site.table, basis.setting.store
    thing = thing_of(store, table)
    given, rule = table.sizing.rooms_m3, basis.setting.fuel.room_rule
    if given:
        return in_question(store, thing, list(np.unique(np.array(given))), rule)
    own = size_of(store, thing)
    per_kg = float(own.room_m3[0] / own.usable_kg[0]) if own.usable_kg[0] > 0 else ROOM_M3_PER_USABLE_KG
    yearly = float(basis.demand_kg.sum(axis=1).mean())
    volumes = np.unique([_round_m3(years * yearly * per_kg) for years in YEARS_COMPARED])
    return in_question(store, thing, list(volumes), rule)


def _round_m3(m3: float) -> float:
    """Return a volume as a builder would state it: whole cubic metres, coarser for large ones."""
    step = 1.0 if m3 < 30 else 2.0 if m3 < 60 else 5.0
    return max(1.0, step * round(m3 / step))


def worst_winter(basis: Basis, sized: Sized) -> WorstWinter | None:
    """Return the winter in which the best size came lowest, or the folder's store where no size works."""
    answer = sized.answer
    if answer.best is None:
        sizes, option = size_of(basis.setting.store, sized.asked.thing), sized.present
    else:
        j = answer.best
        names = ("room_m3", "usable_m3", "usable_kg", "sure_kg")
        sizes = Sizes(*(getattr(sized.asked.sizes, n)[j : j + 1] for n in names))
        option = answer.options[j]
    played = sizing.play(
        basis.demand_kg, sizes, basis.rule, basis.costs, first_day=basis.first_day, keep=True
    )
    assert played.levels_kg is not None
    lane = int(option.summer_filling)
    # where it came lowest; of several that ran empty the one that asked for the most
    yearly = basis.demand_kg.sum(axis=1)
    w = int(np.lexsort((-yearly, played.lowest_kg[:, lane]))[0])
    level = played.levels_kg[w, :, lane]
    before = np.concatenate([[played.start_kg[w, lane]], level[:-1]])
    # what the day's end holds more than the books say was brought; an empty store has brought nothing
    brought = np.where(level > 0, level - before + basis.demand_kg[w], 0.0)
    return WorstWinter(
        year=int(basis.winters.year[w]),
        size_m3=option.room_m3,
        full_kg=option.usable_kg,
        reserve_kg=basis.rule.reserve_kg,
        use_kg=float(basis.demand_kg[w].sum()),
        dates=np.datetime64(basis.first_day, "D") + np.arange(len(level)),
        level_kg=level,
        delivered_kg=np.where(brought > 1.0, brought, 0.0),
    )


def cellar_part(basis: Basis, table: CellarTable) -> CellarPart:
    """Return whether a room would be enough, and how to build the store into it."""
    fuel, material = basis.setting.fuel, basis.setting.material
    density = (material.bulk_kg_per_m3, material.bulk_low_kg_per_m3, material.bulk_high_kg_per_m3)
    found = sizing.cellar(
        table.length_m,
        table.width_m,
        table.height_m,
        basis.demand_kg,
        basis.rule,
        basis.costs,
        first_day=basis.first_day,
        load_kw=basis.load_kw,
        channel_m=table.channel_m,
        real_winters=basis.winters.winters,
        density=sizing.PELLET_DENSITY if fuel.room_rule else density,
    )
    builds = tuple(
        CellarBuild(
            b.words,
            b.slopes,
            b.slope_deg,
            b.along,
            b.guided,
            None if b.option is None else b.option.usable_kg,
            None if b.option is None else b.option.deliveries_per_year,
            None if b.option is None else b.option.empty_winters,
            b.option is not None and b.option.works,
            b.fault if b.option is None else b.option.problem,
        )
        for b in found.builds
    )
    best = next(
        (i for i, b in enumerate(found.builds) if found.best is not None and b.words == found.best.words),
        None,
    )
    return CellarPart(
        table.length_m, table.width_m, table.height_m, found.enough, found.sentence, best, builds
    )


def drawing(basis: Basis) -> Drawing | None:
    """Return the folder's store in section; None where only its capacity is known."""
    store = basis.setting.store
    if store.shape is None:
        return None
    full = store.capacity_kg()
    known = basis.level_kg is not None
    level = min(max(basis.level_kg or 0.0, 0.0), full) if known else full
    return Drawing(
        words=store.shape.kind,
        across=section_of(store, level, "across"),
        along=section_of(store, level, "along"),
        width_m=store.shape.width_x_m,
        length_m=store.shape.length_y_m,
        height_m=store.shape.top_m,
        level_kg=level,
        full_kg=full,
        unusable_kg=store.unusable_kg,
        level_from=message("size.level_reckoned", "reckoned from readings and deliveries")
        if known
        else message("size.drawn_full", "drawn full: nobody has read it yet"),
    )
