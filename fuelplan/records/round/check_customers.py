"""What cannot be meant in the customers' file, and which customers nobody can serve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fuelplan.messages import Listed, Message, Own, Quantity, message
from fuelplan.records.round.customers import Customers
from fuelplan.records.round.reach import Reach, reach_of
from fuelplan.records.schema import WEEKDAYS, RoundTable
from fuelplan.records.tables import ColumnCells, Floats, Ints

FAR_KM = 300.0  # no tanker drives this far to a customer
KM_PER_DEGREE = 111.2  # of a great circle with a radius of 6,371 km
DROPS_A_YEAR = 60  # a store that must be filled more often than weekly is a slip of the pen


def check_customers(cells: ColumnCells, table: RoundTable, customers: Customers) -> Customers:
    """Add the faults and warnings of the customers to `cells`; return them with faulty cells as empty ones.

    A reserve, a smallest drop and hours of the day may be left out, so a wrong one leaves its customer there.
    """
    _places(cells, table, customers)
    customers = _stores(cells, table, customers)
    customers = _times(cells, table, customers)
    _service(cells, table, customers)
    return customers


def depot_km(table: RoundTable, latitude: Floats, longitude: Floats) -> Floats:
    """Return the rough distance to the nearest depot, on a plane. [km]"""
    nearest = np.full(len(latitude), np.inf)
    for depot in table.depots:
        north = latitude - depot.latitude
        east = (longitude - depot.longitude + 180) % 360 - 180
        narrow = np.cos(np.radians((latitude + depot.latitude) / 2))
        nearest = np.fmin(nearest, KM_PER_DEGREE * np.hypot(north, east * narrow))
    return nearest


def _places(cells: ColumnCells, table: RoundTable, customers: Customers) -> None:
    latitude, longitude = customers.latitude, customers.longitude
    nowhere = np.flatnonzero((latitude == 0) & (longitude == 0))
    said = message("customers.in_the_ocean", "0, 0 lies in the ocean; write where the customer is")
    cells.fault("latitude", message("customers.place_0", "place 0, 0"), nowhere, said)
    with np.errstate(invalid="ignore"):
        km = depot_km(table, latitude, longitude)
        swapped_km = depot_km(table, longitude, latitude)
        far = (km > FAR_KM) & ~((latitude == 0) & (longitude == 0))
        swapped = np.flatnonzero(far & (swapped_km < FAR_KM))
        far_only = np.flatnonzero(far & ~(swapped_km < FAR_KM) & np.isfinite(km))
    cells.fault(
        "latitude", message("customers.swapped", "latitude and longitude swapped"), swapped,
        lambda i: message(
            "customers.swap",
            "latitude and longitude are swapped; write {latitude} as latitude and {longitude} as longitude",
            latitude=Own(f"{longitude[swapped[i]]:g}"), longitude=Own(f"{latitude[swapped[i]]:g}"),
        ),
    )  # fmt: skip
    cells.fault(
        "latitude", message("customers.far", "far from every depot"), far_only,
        lambda i: message(
            "customers.far_from_depot", "this place lies {distance} from the nearest depot; is it right?",
            distance=Quantity.written(float(km[far_only[i]]), "km"),
        ),
        warning=True,
    )  # fmt: skip


def _stores(cells: ColumnCells, table: RoundTable, customers: Customers) -> Customers:
    store, reserve, drop = customers.store_kg, customers.reserve_kg, customers.smallest_drop_kg
    with np.errstate(invalid="ignore"):
        high = np.flatnonzero(reserve >= store)
        never = np.flatnonzero(drop > store)
        tight = np.flatnonzero((drop > store - reserve) & (drop <= store) & (reserve < store))
        hungry = np.flatnonzero(customers.kg_per_year > DROPS_A_YEAR * store)
    cells.fault(
        "reserve_kg", message("customers.high_reserve", "reserve no less than the store"), high,
        lambda i: message(
            "customers.reserve_above_store",
            "a reserve of {reserve} kg is no less than the store of {store} kg; write a smaller one",
            reserve=Own(f"{reserve[high[i]]:g}"), store=Own(f"{store[high[i]]:g}"),
        ),
        emptied=True,
    )  # fmt: skip
    cells.fault(
        "smallest_drop_kg", message("customers.large_drop", "smallest drop above the store"), never,
        lambda i: message(
            "customers.drop_never_fits",
            "a drop of {drop} kg never fits into a store of {store} kg; write a smaller one",
            drop=Own(f"{drop[never[i]]:g}"), store=Own(f"{store[never[i]]:g}"),
        ),
        emptied=True,
    )  # fmt: skip
    cells.fault(
        "smallest_drop_kg", message("customers.tight_drop", "smallest drop fits only below the reserve"),
        tight,
        lambda i: message(
            "customers.drop_below_reserve",
            "a drop of {drop} kg fits only once the store of {store} kg is below its reserve of {reserve} kg",
            drop=Own(f"{drop[tight[i]]:g}"), store=Own(f"{store[tight[i]]:g}"),
            reserve=Own(f"{reserve[tight[i]]:g}"),
        ),
        warning=True,
    )  # fmt: skip
    cells.fault(
        "kg_per_year", message("customers.hungry", "more than weekly"), hungry,
        lambda i: message(
            "customers.emptied_weekly", "{kg} kg a year would empty the store more than weekly",
            kg=Own(f"{customers.kg_per_year[hungry[i]]:g}"),
        ),
        warning=True,
    )  # fmt: skip
    rules = table.rules
    usual = np.minimum(rules.smallest_drop_kg, store)
    reserve_kg, drop_kg = reserve.copy(), drop.copy()
    reserve_kg[high], drop_kg[never] = store[high] * rules.reserve, usual[never]
    return replace(customers, reserve_kg=reserve_kg, smallest_drop_kg=drop_kg)


def _times(cells: ColumnCells, table: RoundTable, customers: Customers) -> Customers:
    with np.errstate(invalid="ignore"):
        closed = np.flatnonzero(customers.to_h <= customers.from_h)
    said = message("customers.closes_too_early", "this time is no later than that in from; write a later one")
    cells.fault("to", message("customers.not_after_from", "not after from"), closed, said, emptied=True)
    from_h, to_h = customers.from_h.copy(), customers.to_h.copy()
    from_h[closed], to_h[closed] = 0.0, 24.0
    works = np.array([day in table.rules.weekdays for day in WEEKDAYS])
    never = np.flatnonzero(~(customers.weekdays & works).any(axis=1))
    listed = ", ".join(table.rules.weekdays)
    said = message(
        "customers.no_driving_day", "no tanker drives on any of these days; [rules] weekdays are {weekdays}",
        weekdays=Own(listed),
    )  # fmt: skip
    cells.fault(
        "weekdays", message("customers.never", "never on a day that tankers drive"), never, said, warning=True
    )
    return replace(customers, from_h=from_h, to_h=to_h)


def _service(cells: ColumnCells, table: RoundTable, customers: Customers) -> None:
    """Warn of customers that no tanker can serve; a plan would name the same reason."""
    reach = reach_of(table, customers)
    nobody = np.asarray(~reach.ok.any(axis=1))
    no_class = nobody & np.asarray(reach.why_not[:, :, 1].all(axis=1))
    too_small = nobody & ~no_class & np.asarray(reach.why_not[:, :, 6].all(axis=1))
    for key, rule, which in (
        ("classes", message("customers.no_class", "a class that nobody carries"), no_class),
        (
            "smallest_drop_kg",
            message("customers.too_small", "every tanker too small for the smallest drop"),
            too_small,
        ),
        ("customer", message("customers.no_tanker", "no tanker reaches"), nobody & ~no_class & ~too_small),
    ):
        at = np.flatnonzero(which)
        said = _sentences(table, customers, reach, at), np.arange(len(at))
        cells.fault(key, rule, at, said, warning=True)


def _sentences(table: RoundTable, customers: Customers, reach: Reach, at: Ints) -> list[Message]:
    """Return for each of some customers why every tanker is ruled out."""
    found = []
    for i in at.tolist():
        parts = [
            message(
                "customers.way", "{tanker}: {why}", tanker=Own(tanker.name),
                why=_way(table, customers, i, k, reach.reasons(i, k)[0]),
            )
            for k, tanker in enumerate(table.tankers)
        ]  # fmt: skip
        found.append(
            message(
                "customers.nobody_can_serve", "no tanker can serve this customer – {reasons}",
                reasons=Listed(tuple(parts[:6]), "; "),
            )
        )  # fmt: skip
    return found


def _way(table: RoundTable, customers: Customers, i: int, k: int, reason: str) -> Message:
    tanker = table.tankers[k]
    if reason == "depot":
        return message(
            "customers.other_depot", "stands at {depot}, not at {other}", depot=Own(tanker.depot),
            other=Own(table.depots[int(customers.depot[i])].name),
        )  # fmt: skip
    if reason == "class":
        wanted = [c for c, takes in zip(table.classes, customers.takes[i], strict=True) if takes]
        return message(
            "customers.carries_no_class", "no {classes} to be carried",
            classes=Listed(tuple(map(Own, wanted)), " or "),
        )  # fmt: skip
    if reason == "hose":
        return message(
            "customers.short_hose", "{hose} of hose, {needed} are needed",
            hose=Quantity.written(tanker.hose_m, "m", "g"),
            needed=Quantity.written(customers.hose_m[i], "m", "g"),
        )  # fmt: skip
    if reason == "width":
        return message(
            "customers.too_wide", "{width} wide, {most} is the most",
            width=Quantity.written(tanker.width_m, "m", "g"),
            most=Quantity.written(customers.max_width_m[i], "m", "g"),
        )  # fmt: skip
    if reason == "weight":
        return message(
            "customers.too_heavy", "{weight} laden, {most} is the most",
            weight=Quantity.written((tanker.laden_weight_kg or 0) / 1000, "t", "g"),
            most=Quantity.written(customers.max_weight_kg[i] / 1000, "t", "g"),
        )  # fmt: skip
    if reason == "trailer":
        return message("customers.trailer", "with a trailer")
    return message(
        "customers.carries_too_little", "carries {kg} kg, the smallest drop is {drop} kg",
        kg=Own(f"{tanker.carries_kg:g}"), drop=Own(f"{customers.smallest_drop_kg[i]:g}"),
    )  # fmt: skip
