"""What lies on a dispatcher's desk in the evening: the supplier, the customers, and what is to be heeded."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.books import Customers, Happening, Order, PublishedStop, Wish
from fuelplan.dispatch.driver_hours import Rules
from fuelplan.dispatch.roads import Roads
from fuelplan.dispatch.routing import Tanker
from fuelplan.dispatch.run_plan.eligibility import Access, Closure, StopWish
from fuelplan.dispatch.run_plan.stock import DepotStock, Load
from fuelplan.dispatch.run_plan.week import TRIPS
from fuelplan.dispatch.run_plan.yard import Yard
from fuelplan.units import WorkingDays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class OwnTanker:
    """A supplier's tanker.

    Attributes
    ----------
    depot
        Number of the depot where it starts, loads and ends.
    grades
        Classes of fuel that it may carry and that some depot has or expects.
    chambers_kg, carries_kg
        What each chamber holds, and what it may carry in all. [kg]
    cost_per_km, cost_per_h
        [money/km, money/h]
    blow_kg_h, set_up_h, reload_h
        Blowing [kg/h], a stop's set-up and loading at the depot [h].
    away
        Days on which it does not drive.
    """

    name: str
    depot: int
    grades: frozenset[str]
    chambers_kg: tuple[float, ...]
    carries_kg: float
    cost_per_km: float
    cost_per_h: float
    blow_kg_h: float
    set_up_h: float
    reload_h: float
    away: tuple[date, ...]


@dataclass(frozen=True)
class Supplier:
    """What a supplier has and keeps to on every day.

    Attributes
    ----------
    depots, depot_at, opening_h
        Names, where they lie (north and east) [degrees], from when to when tankers load [hours of the clock].
    grades
        The classes of fuel by their numbers.
    driver
        What drivers must keep to.
    calendar
        The days on which tankers drive.
    step_kg, spare_kg_a_day
        Amounts are planned in steps of this size; what is kept free for those who are already empty. [kg]
    risk
        Share of draws in which a store may be below its reserve before a tanker comes.
    overtime_per_h
        What a driver's overtime costs on top. [money/h]
    """

    tankers: tuple[OwnTanker, ...]
    depots: tuple[str, ...]
    depot_at: tuple[tuple[float, float], ...]
    opening_h: tuple[tuple[float, float], ...]
    grades: tuple[str, ...]
    driver: Rules
    calendar: WorkingDays
    step_kg: float
    spare_kg_a_day: float
    risk: float
    overtime_per_h: float

    @property
    def names(self) -> list[str]:
        """The tankers' names in their order."""
        return [k.name for k in self.tankers]


@dataclass(frozen=True)
class DispatchDesk:
    """All that is known on the evening of `as_of` beside levels and roads.

    Attributes
    ----------
    reach
        Shape (N, tankers): whether a tanker gets there with a full load.
    laying_h
        Shape (N, tankers): how long a stop takes besides blowing. [h]
    usual
        Shape (N,): number of the class that each customer is brought unasked, −1 for none.
    stocks
        What each depot has and expects.
    """

    as_of: date
    supplier: Supplier
    customers: Customers
    reach: Bools
    laying_h: Floats
    usual: Ints
    stocks: tuple[DepotStock, ...]
    orders: tuple[Order, ...] = ()
    published: tuple[PublishedStop, ...] = ()
    wishes: tuple[Wish, ...] = ()
    happenings: tuple[Happening, ...] = ()

    def slow_on(self, day: date) -> float:
        """Return how many times as long driving takes on a day."""
        slow = 1.0
        for h in self.happenings:
            if h.what == "slow roads" and h.day <= day <= h.until:
                slow *= h.factor
        return slow

    def out_on(self, tanker: str, day: date) -> bool:
        """Tell whether a tanker stays at home on a day."""
        away = next((k.away for k in self.supplier.tankers if k.name == tanker), ())
        return day in away or any(
            h.what == "tanker out" and h.tanker == tanker and h.day <= day <= h.until for h in self.happenings
        )

    def planned_days(self, count: int) -> tuple[date, ...]:
        """Return the next `count` working days."""
        calendar = self.supplier.calendar
        last = calendar.add(self.as_of, count)
        found = calendar.between(self.as_of + timedelta(days=1), last)
        return tuple(d.item() for d in found)[:count]

    @property
    def access(self) -> Access:
        """What tankers, customers and classes allow, whatever the day."""
        c, tankers, grades = self.customers, self.supplier.tankers, self.supplier.grades
        carries = np.array([[g in k.grades for g in grades] for k in tankers], bool)
        home = np.array([k.depot for k in tankers], np.int64)
        return Access(self.reach, c.takes, carries, home, c.weekdays, c.left_on)

    @property
    def closures(self) -> list[Closure]:
        """The failed drops, and the depots that have run out."""
        number, grades = self.customers.number_of, self.supplier.grades
        depots = {name: n for n, name in enumerate(self.supplier.depots)}
        out = []
        for h in self.happenings:
            if h.what == "failed drop" and h.customer in number:
                out.append(Closure(h.day, h.until, customer=number[h.customer]))
            elif h.what == "depot out of stock" and h.depot in depots:
                grade = None if h.grade is None else grades.index(h.grade) if h.grade in grades else -1
                out.append(Closure(h.day, h.until, depot=depots[h.depot], grade=grade))
        return out

    @property
    def stop_wishes(self) -> list[StopWish]:
        """What persons have said of stops; a tanker that is not there any more is none."""
        tankers = {name: v for v, name in enumerate(self.supplier.names)}
        number = self.customers.number_of
        return [
            StopWish(
                number[w.customer], w.wish, w.day, None if w.tanker is None else tankers.get(w.tanker, -1)
            )
            for w in self.wishes
            if w.customer in number
        ]

    def loads(self, stops: Sequence[PublishedStop]) -> list[Load]:
        """Return what stops load at their tankers' depots; one whose tanker is not there any more none."""
        home = {k.name: k.depot for k in self.supplier.tankers}
        return [Load(s.day, home[s.tanker], s.grade, s.kg) for s in stops if s.tanker in home]


def yard_of(desk: DispatchDesk, roads: Roads, depot_place: Sequence[int]) -> Yard:
    """Return tankers, customers and roads as a day's routing takes them.

    Parameters
    ----------
    roads, depot_place
        Tables of which the customers are the first places, and the places of the depots.
    """
    c, supplier, rules = desk.customers, desk.supplier, desk.supplier.driver
    tankers = []
    for k in supplier.tankers:
        opens_h, closes_h = supplier.opening_h[k.depot]
        tankers.append(
            Tanker(
                place=depot_place[k.depot],
                payload_kg=int(k.carries_kg),
                chambers_kg=tuple(int(kg) for kg in k.chambers_kg),
                cost_per_km=k.cost_per_km,
                cost_per_h=k.cost_per_h,
                starts_h=max(rules.shift_start_h, opens_h),
                ends_h=min(rules.latest_end_h, closes_h),
                max_trips=TRIPS,
                reload_min=math.ceil(60 * k.reload_h - 1e-6),
                max_driving_h=rules.driving_h_per_day,
            )
        )
    return Yard(
        tankers=tuple(tankers),
        rules=rules,
        grades=supplier.grades,
        laying_h=desk.laying_h,
        blow_kg_h=np.array([k.blow_kg_h for k in supplier.tankers]),
        takes_h=np.stack([c.from_h, c.to_h], axis=1),
        roads=roads,
    )
