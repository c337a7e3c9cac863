"""The wood yard: what lies in each stack on an evening, from what was stacked, counted, brought and burned.

A stack is known by its name and may hold several lots: beech of two years ago with green spruce on top.
What is burned is taken from the lots that are dry: first from the stacks that people count, for these are in
use, then from the others, the oldest first. A count says what lies in one stack and leaves the others as they
are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.heat.fuels import Moisture, MoistureDry, Species
from fuelplan.store.log_pile.climate import PileClimate
from fuelplan.store.log_pile.drying import CAUTIOUS_PACE, DRY_ENOUGH, Kept, PileLot, drying_path

Floats = NDArray[np.float64]

NOTHING_M3 = 1e-9


@dataclass(frozen=True)
class Stack:
    """A place where logs lie.

    Attributes
    ----------
    name
        What the person calls it.
    species, moisture
        The wood that lies there where a count finds more than was known; None: it dried as the stack's own
        lot did, or is green where there is none.
    kept, split
        As of `PileLot`.
    """

    name: str
    species: Species
    moisture: Moisture | None = None
    kept: Kept = "covered"
    split: bool = True


@dataclass(frozen=True)
class StackCount:
    """What somebody found in a stack, in the evening of a day.

    Attributes
    ----------
    value, measure
        The amount in one of `fuelplan.heat.fuels.MEASURES`.
    moisture
        Water measured that day; None where nobody did.
    """

    stack: str
    day: date
    value: float
    measure: str
    moisture: Moisture | None = None


def yard_on(
    stacks: Sequence[Stack],
    lots: Sequence[PileLot],
    counts: Sequence[StackCount],
    as_of: date,
    climate: PileClimate,
    *,
    burned_kwh: tuple[date, Floats],
    enough: Moisture = DRY_ENOUGH,
) -> tuple[PileLot, ...]:
    """Return what lies in the yard on the evening of a day; a lot's `name` is that of its stack.

    Parameters
    ----------
    stacks
        Every stack that may be counted.
    lots
        What was stacked and what was brought, each there from its `since` on.
    counts
        Each of a stack that is listed; those dated after `as_of` do not count.
    burned_kwh
        First day, and the net energy of the logs that were burned on each day from then on, shape (days,); as
        far as there were dry ones. [kWh]
    enough
        Water of wood that is burned.
    """
    first, burned = burned_kwh
    yard = _Yard({s.name: s for s in stacks}, climate, as_of, enough)
    yard.in_use = {count.stack for count in counts if count.day <= as_of}
    waiting = sorted((lot for lot in lots if lot.since <= as_of), key=lambda lot: lot.since)
    told = sorted((count for count in counts if count.day <= as_of), key=lambda count: count.day)
    days = [lot.since for lot in waiting] + [count.day for count in told]
    day = min(days, default=as_of)
    while day <= as_of:
        while waiting and waiting[0].since <= day:
            yard.bring(waiting.pop(0))
        at = (day - first).days
        if 0 <= at < len(burned):
            yard.burn(day, float(burned[at]))
        while told and told[0].day <= day:
            yard.count(told.pop(0))
        day += timedelta(days=1)
    return tuple(heap.lot for heap in yard.heaps if heap.lot.stacked_m3 > NOTHING_M3)


@dataclass
class _Heap:
    """A lot with its water on each evening from `since` on, as usual and dried slowly. [of the dry mass]"""

    lot: PileLot
    usual: Floats
    slow: Floats

    def is_dry(self, day: date, enough: Moisture) -> bool:
        return bool(self.slow[(day - self.lot.since).days] <= enough.dry.share + 1e-12)

    def moisture(self, day: date) -> MoistureDry:
        return MoistureDry(float(self.usual[(day - self.lot.since).days]))

    def take(self, m3: float) -> float:
        """Take as much as there is of a volume, and return what was taken. [m3]"""
        taken = min(m3, self.lot.stacked_m3)
        self.lot = replace(self.lot, stacked_m3=self.lot.stacked_m3 - taken)
        return taken


class _Yard:
    def __init__(self, stacks: dict[str, Stack], climate: PileClimate, as_of: date, enough: Moisture) -> None:
        self.stacks, self.climate, self.as_of, self.enough = stacks, climate, as_of, enough
        self.heaps: list[_Heap] = []
        self.in_use: set[str] = set()

    def bring(self, lot: PileLot) -> None:
        self.heaps.append(self._heap(lot))

    def _heap(self, lot: PileLot) -> _Heap:
        days = max(0, (self.as_of - lot.since).days)
        usual, slow = (drying_path(lot, self.climate, days, pace=p) for p in (1.0, CAUTIOUS_PACE))
        return _Heap(lot, usual, slow)

    def burn(self, day: date, kwh: float) -> None:
        """Take so much energy from what is dry, stacks in use first, then the oldest."""
        for heap in sorted(self.heaps, key=lambda h: (h.lot.name not in self.in_use, h.lot.since)):
            if kwh <= 0:
                return
            if heap.is_dry(day, self.enough):
                each = heap.lot.wood(heap.moisture(day)).kwh_per_stacked_m3
                kwh -= heap.take(kwh / each) * each

    def count(self, count: StackCount) -> None:
        """Make a stack hold what was found: what is missing was burned, what is more lay there before."""
        here = [heap for heap in self.heaps if heap.lot.name == count.stack]
        if not here or self.stacks[count.stack].moisture is not None:
            own = self._heap(self._of_stack(count))
            self.heaps.append(own)
            here.append(own)
        else:
            own = here[0]
        wood = own.lot.wood(count.moisture or own.moisture(count.day))
        found_m3 = wood.amount(count.value, count.measure).stacked_m3
        more = found_m3 - sum(heap.lot.stacked_m3 for heap in here)
        own.lot = replace(own.lot, stacked_m3=own.lot.stacked_m3 + max(more, 0.0))
        for heap in sorted(here, key=lambda h: (not h.is_dry(count.day, self.enough), h.lot.since)):
            more += heap.take(max(-more, 0.0))
        if count.moisture is not None:
            for heap in here:
                measured = self._heap(replace(heap.lot, since=count.day, moisture=count.moisture))
                heap.lot, heap.usual, heap.slow = measured.lot, measured.usual, measured.slow

    def _of_stack(self, count: StackCount) -> PileLot:
        """Return a lot of the kind that a stack holds, with nothing in it."""
        stack = self.stacks[count.stack]
        return PileLot(
            stack.species, 0.0, count.day, stack.moisture, kept=stack.kept, split=stack.split, name=stack.name
        )
