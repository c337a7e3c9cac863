"""The stores that a size answer compares: the folder's kind of store, built larger or smaller as it can be.

A room grows in length and width within what a room can be, with as many inlets as its piles need; a tank or a
bag silo is one of the same kind; bagged pellets stand on pallets. Each speaks of its own size.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fuelplan.sizing.inputs import Sizes
from fuelplan.store.bulk import FlatRoom, SlopedRoom, Store, StoreError, Wall

LONGEST_M, WIDEST_M = 15.0, 6.0  # larger than this a store is split, or tipped into (our choice)
WIDER = (1.0, 1.25, 1.5, 2.0, 2.5)  # widths looked at, in the folder's own
INLET_EVERY_M = 2.0  # inlets along a wall stand no closer (our choice)
MOST_INLETS = 6
NEARLY = 0.95  # fewer inlets serve when they fill this share of what the most would

PALLET_KG, PALLET_M2, PALLET_M3 = 1000.0, 0.96, 1.5
"""A pallet of bags: 65 to 70 bags of 15 kg (sellers' practice) on 1.2 x 0.8 m, about 1.5 m high with its wood
(common practice). [kg, m2, m3]"""


@dataclass(frozen=True)
class Build:
    """One size as it would be built: inside length and width of a room, and its inlets. [m]"""

    length_m: float
    width_m: float
    inlets: int
    inlets_at: Wall


@dataclass(frozen=True)
class StoreQuestion:
    """The sizes in question.

    Attributes
    ----------
    sizes
        Their room or inside volume, and what they hold.
    builds
        How each would be built, in the same order; empty where the folder gives no room.
    thing
        What their cubic metres are of: "room", "tank", "bag silo" or "pallets".
    too_large_m3
        The smallest size left out since no room of this height can be that large; None where all are in.
    """

    sizes: Sizes
    builds: tuple[Build, ...]
    thing: str
    too_large_m3: float | None = None


def in_question(
    store: Store, thing: str, volumes_m3: Sequence[float], room_rule: tuple[float, float] | None = None
) -> StoreQuestion:
    """Return the sizes of these volumes in the kind of store that the folder has.

    `room_rule` is the usual and the low density by which rooms of unknown shape are worked out; None for the
    store's own. [kg/m3]
    """
    dense = room_rule or (store.bulk_kg_per_m3, store.bulk_low_kg_per_m3)
    if thing == "pallets":
        count = np.array([max(1.0, round(v / PALLET_M3)) for v in volumes_m3])
        kg = np.unique(count) * PALLET_KG
        return StoreQuestion(Sizes(kg / PALLET_KG * PALLET_M3, kg / store.bulk_kg_per_m3, kg, kg), (), thing)
    if thing != "room":
        return StoreQuestion(_alike(store, np.array(volumes_m3, dtype=float)), (), thing)
    room = store.shape if isinstance(store.shape, FlatRoom | SlopedRoom) else None
    if room is None:
        return StoreQuestion(Sizes.by_room_rule(np.array(volumes_m3, dtype=float), *dense), (), thing)
    found = [(v, grown(store, room, float(v))) for v in volumes_m3]
    stores = [s for _, s in found if s is not None]
    missing = [float(v) for v, s in found if s is None]
    if not stores:
        return StoreQuestion(Sizes.of_stores([store]), (build_of(store),), thing, min(missing))
    builds = tuple(build_of(s) for s in stores)
    return StoreQuestion(Sizes.of_stores(stores), builds, thing, min(missing, default=None))


def _alike(store: Store, volumes_m3: np.ndarray) -> Sizes:
    """Return tanks or bag silos of the same proportions as the folder's."""
    assert store.shape is not None
    own = Sizes.of_stores([store])
    factor = volumes_m3 / own.room_m3[0]
    return Sizes(volumes_m3, *(factor * x[0] for x in (own.usable_m3, own.usable_kg, own.sure_kg)))


def build_of(store: Store) -> Build:
    """Return how a room is built."""
    assert store.shape is not None
    return Build(store.shape.length_y_m, store.shape.width_x_m, store.inlets, store.inlets_at)


def grown(store: Store, room: FlatRoom | SlopedRoom, room_m3: float) -> Store | None:
    """Return a room of the same height and floor that takes up `room_m3`; None where none can be built.

    Of all lengths and widths within the bounds the one with the fewest inlets that can be filled nearly as
    full as the best; at the folder's own size and inlets its own section is kept.
    """
    tried = list(_built(store, room, room_m3))
    if not tried:
        return None
    most = max(s.surely_full_m3 for s in tried)
    good = [s for s in tried if s.surely_full_m3 >= NEARLY * most]
    return min(good, key=lambda s: (s.inlets, _oblong(s), -s.surely_full_m3))


def _oblong(store: Store) -> float:
    assert store.shape is not None
    return abs(math.log(max(store.shape.length_y_m, 0.1) / max(store.shape.width_x_m, 0.1)) - math.log(1.5))


def _built(store: Store, room: FlatRoom | SlopedRoom, room_m3: float) -> Iterator[Store]:
    for wider in WIDER:
        width = room.width_m * wider
        length = room_m3 / (width * room.height_m)
        if width > WIDEST_M or length > LONGEST_M or (wider > 1 and length < width):
            continue
        try:
            shape = replace(room, length_m=length, width_m=width)
            factor = room_m3 / room.room_m3
            residue = None if store.residue_kg is None else store.residue_kg * factor
            for inlets, at in _inlets(store.inlets, length, width):
                yield replace(store, shape=shape, residue_kg=residue, inlets=inlets, inlets_at=at)
        except StoreError:
            continue  # slopes that reach the ceiling


def _inlets(least: int, length_m: float, width_m: float) -> Iterator[tuple[int, Wall]]:
    walls: tuple[tuple[Wall, float], ...] = (("end", width_m), ("side", length_m))
    for at, wall_m in walls:
        for inlets in range(least, min(MOST_INLETS, max(least, int(wall_m / INLET_EVERY_M))) + 1):
            yield inlets, at
