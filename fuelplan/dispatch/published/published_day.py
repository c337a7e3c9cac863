"""One published day as routes with exact times: kept, mended, and given one more stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from fuelplan.dispatch.books import Order, PublishedStop
from fuelplan.dispatch.driver_hours import LATE, Breach
from fuelplan.dispatch.outlook import LevelTable
from fuelplan.dispatch.published.frozen import (
    OUTSIDE_HOURS,
    FrozenTrip,
    faults_now,
    faults_of_day,
    name_of,
    of_customer,
)
from fuelplan.dispatch.routing import MendedDay, Route, Stop
from fuelplan.dispatch.run_plan import TRIPS, DispatchDesk, Yard, kept_window, window_of
from fuelplan.messages import Message


class PublishedDay:
    """One published day while it is mended.

    Attributes
    ----------
    items
        Its stops, numbered as the routes number them.
    touched
        Numbers of the tankers whose day is not as it was published any more.
    """

    def __init__(
        self, desk: DispatchDesk, yard: Yard, day: date, stops: Sequence[PublishedStop],
        touched: frozenset[str],
    ) -> None:  # fmt: skip
        """Take the stops that stay on a day; `touched` names the tankers that lost one."""
        self.desk, self.yard, self.day = desk, yard, day
        factor = desk.slow_on(day)
        table = yard.roads_when(factor)
        self.names = desk.supplier.names
        trips_of = [len({s.trip for s in stops if s.tanker == name}) for name in self.names]
        tankers = yard.tankers_out(
            [
                0 if desk.out_on(name, day) else max(TRIPS, count)
                for name, count in zip(self.names, trips_of, strict=True)
            ]
        )
        self.items = sorted(stops, key=lambda s: (self.names.index(s.tanker), s.trip, s.position))
        told = [
            replace(
                self._stop(s, frozenset({self.names.index(s.tanker)}), told=True),
                group=_neighbours(desk.orders, s, self.items),
            )
            for s in self.items
        ]
        trips: dict[int, dict[int, list[int]]] = {}
        for n, s in enumerate(self.items):
            trips.setdefault(self.names.index(s.tanker), {}).setdefault(s.trip, []).append(n)
        stand = {v: tuple((tankers[v].place, tuple(of[k])) for k in sorted(of)) for v, of in trips.items()}
        self.mended = MendedDay(tankers, table.km, table.hours, yard.rules, told, stand)
        self.touched = {self.names.index(k) for k in touched}
        if factor != 1.0:
            self.touched |= set(self.mended.trips)

    def _stop(self, item: PublishedStop, by: frozenset[int], told: bool) -> Stop:
        i = self.desk.customers.number_of[item.customer]
        stop = self.yard.stop(i, item.grade, item.kg, by, True)
        window = window_of(self.desk, item) if told else None
        return replace(stop, windows=kept_window(self.desk.customers, i, window))

    def _group(self, items: Sequence[PublishedStop], by: frozenset[int], told: bool) -> list[Stop]:
        """Return stops that belong together: neighbours who share a drop come on one run."""
        group = "+".join(s.customer for s in items) if len(items) > 1 else ""
        return [replace(self._stop(s, by, told), group=group) for s in items]

    def mend(self) -> list[PublishedStop]:
        """See to it that the tankers that lost a stop, or drive on slow roads, can keep to their times.

        A stop that cannot be kept in the window that was told comes at another time of the day, by the same
        tanker; return those for which there is none.
        """
        loose = self.mended.loosen(sorted(self.touched))
        lost = []
        for n in loose:
            by = self.mended.stops[n].tankers_allowed or frozenset()
            if not self.mended.put_back(n):
                group = self.mended.stops[n].group
                self.mended.stops[n] = replace(self._stop(self.items[n], by, told=False), group=group)
                if not self.mended.put_back(n):
                    lost.append(n)
        gone = [self.items[n] for n in lost]
        self.mended.drop(lost)
        self.items = [s for n, s in enumerate(self.items) if n not in lost]
        return gone

    def put(self, items: Sequence[PublishedStop], by: frozenset[int]) -> Message | None:
        """Put stops that belong together into the day, by one of the tankers `by`; return why that cannot be.

        A stop that was told before comes in its window where that can be, else at another time.
        """
        why: Message | None = None
        told = any(window_of(self.desk, s) is not None for s in items)
        for keep in (True, False) if told else (False,):
            more = self._group(items, by, keep)
            before = dict(self.mended.trips)
            why = self.mended.put(more)
            if why is None:
                self.items += items
                trips = self.mended.trips
                self.touched |= {v for v in {*trips, *before} if trips.get(v, ()) != before.get(v, ())}
                return None
        return why

    def put_instead(
        self, items: Sequence[PublishedStop], by: frozenset[int], of: Sequence[PublishedStop]
    ) -> PublishedStop | None:
        """Put stops into the day in the place of one of others, which is returned; None where none helps."""
        before = dict(self.mended.trips)
        out = self.mended.put_instead(self._group(items, by, told=False), [self.items.index(s) for s in of])
        if out is None:
            return None
        gone = self.items[out]
        self.items += items
        trips = self.mended.trips
        self.touched |= {v for v in {*trips, *before} if trips.get(v, ()) != before.get(v, ())}
        self.mended.drop([out])
        self.items = [s for n, s in enumerate(self.items) if n != out]
        return gone

    def now(self) -> list[PublishedStop]:
        """Return the stops, each with the tanker that brings it now."""
        return [
            replace(self.items[n], tanker=self.names[v])
            for v, trips in self.mended.trips.items()
            for _, numbers in trips
            for n in numbers
        ]

    def runs(self, levels: LevelTable) -> list[FrozenTrip]:
        """Return the day's runs: untouched ones as they were published, the others with new times."""
        out = []
        called = [name_of(self.desk.customers, s.customer) for s in self.items]
        for v in sorted(self.mended.trips):
            numbers = [n for _, trip in self.mended.trips[v] for n in trip]
            routes, faults = self.mended.routes(v, called)
            if v not in self.touched and all(self.items[n].whole for n in numbers):
                routes = tuple(self._as_told(route) for route in routes)
            unusual = faults_of_day(self.desk, self.day)
            known = faults_now(self.desk, levels, [self.items[n] for n in numbers])
            rest = self._not_said_yet(faults, known)
            for route in routes:
                stops = [self.items[n] for n in route.stops]
                if v in self.touched:
                    stops = [
                        replace(s, tanker=self.names[v], trip=route.trip + 1, position=k + 1)
                        for k, s in enumerate(stops)
                    ]
                mine = {s.customer for s in stops}
                said = [of_customer(self.desk.customers, who, fault) for who, fault in known if who in mine]
                out.append(FrozenTrip(self.day, route, tuple(stops), (*unusual, *said, *rest)))
        return out

    def _not_said_yet(self, faults: Sequence[Breach], known: Sequence[tuple[str, Message]]) -> list[Message]:
        """Return what rules the routes break, without what is `known` of a customer's hours already."""
        about = {who for who, fault in known if fault.code == OUTSIDE_HOURS}
        return [
            fault.said
            for fault in faults
            if fault.stop is None
            or fault.said.code not in LATE
            or self.items[fault.stop].customer not in about
        ]

    def _as_told(self, route: Route) -> Route:
        """Return a route with the times, chambers and breaks that were published."""
        stops = [self.items[n] for n in route.stops]
        first = stops[0]
        leave, back = first.run_leaves_h or 0.0, first.run_back_h or 0.0
        return replace(
            route,
            hours=back - leave,
            leave_h=leave,
            arrive_h=tuple(s.arrive_h or 0.0 for s in stops),
            start_h=tuple(s.start_h or 0.0 for s in stops),
            done_h=tuple(s.leave_h or 0.0 for s in stops),
            back_h=back,
            chambers=tuple((grade, round(kg)) for grade, kg in first.chambers),
            breaks=tuple((n - 1, at_h, hours) for at_h, hours, n in first.breaks),
        )


def _neighbours(orders: Sequence[Order], stop: PublishedStop, day: Sequence[PublishedStop]) -> str:
    """Return the name of the shared drop that a published stop is part of, "" for none: the neighbour's
    order stands on the same run.
    """
    by_name = {o.order: o for o in orders}
    mine = by_name.get(stop.order or "")
    for other in day:
        theirs = by_name.get(other.order or "")
        if mine is None or theirs is None or theirs is mine:
            continue
        if (stop.tanker, stop.trip) != (other.tanker, other.trip):
            continue
        if mine.split_with == theirs.customer or theirs.split_with == mine.customer:
            return "+".join(sorted((stop.customer, other.customer)))
    return ""
