"""A round in the words of the rooms that compute: driver's rules, working days, tours driven."""

from __future__ import annotations

from collections import defaultdict
from datetime import date

from fuelplan.driver_hours import Rules
from fuelplan.road import Tour
from fuelplan.round_folder.folder import Round
from fuelplan.round_folder.lists import PublishedStop
from fuelplan.round_folder.models import RoundTable
from fuelplan.site.models_money import WEEKDAYS
from fuelplan.working_days import WorkingDays

LONGEST_SHIFT_H = 13.0
"""24 h less the daily rest of 11 h (Regulation (EC) No 561/2006, Article 8)."""


def driver_rules(table: RoundTable) -> Rules:
    """Return what a driver's day must keep to."""
    driver = table.driver
    return Rules(
        driving_h_per_day=driver.driving_a_day_h,
        driving_before_break_h=driver.driving_before_break_h,
        break_h=driver.break_h,
        work_before_break_h=driver.work_before_break_h,
        work_break_h=driver.work_break_h,
        normal_work_h=driver.hours_a_day,
        longest_shift_h=min(LONGEST_SHIFT_H, driver.latest_end_h - driver.shift_start_h),
        shift_start_h=driver.shift_start_h,
        latest_end_h=driver.latest_end_h,
    )


def working_days_of(table: RoundTable) -> WorkingDays:
    """Return the days on which tankers drive."""
    closed = tuple(i for i, day in enumerate(WEEKDAYS) if day not in table.rules.weekdays)
    place = table.place
    country, part = (place.country, place.subdivision) if table.rules.bank_holidays else (None, None)
    return WorkingDays(country, part, closed=closed, also_closed=table.rules.closed)


def tours_of(round_: Round) -> list[Tour]:
    """Return the days whose kilometres and stops are both written down, each as one tour.

    A day begins and ends at the tanker's depot, and so does each of its runs.
    """
    stops: dict[tuple[date, str], list[PublishedStop]] = defaultdict(list)
    for stop in round_.published:
        stops[stop.day, stop.tanker].append(stop)
    homes = {tanker.name: tanker.depot for tanker in round_.table.tankers}
    depots = {depot.name: (depot.latitude, depot.longitude) for depot in round_.table.depots}
    customers = round_.customers
    found = []
    for driven in round_.odometer:
        day = sorted(stops.get((driven.day, driven.tanker), ()), key=lambda s: (s.trip, s.position))
        if not day:
            continue
        home = depots[homes[driven.tanker]]
        places, trip = [home], day[0].trip
        for stop in day:
            if stop.trip != trip:
                places.append(home)
                trip = stop.trip
            number = customers.number_of[stop.customer]
            places.append((float(customers.latitude[number]), float(customers.longitude[number])))
        places.append(home)
        lat, lon = zip(*places, strict=True)
        found.append(Tour(lat, lon, driven.km, f"{driven.day}, {driven.tanker}"))
    return found
