"""What cannot be meant in the customers' file, and which customers nobody can serve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fuelplan.records.round.customers import Customers
from fuelplan.records.round.reach import Reach, reach_of
from fuelplan.records.schema import WEEKDAYS, RoundTable
from fuelplan.records.tables import Bools, ColumnCells, Floats

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
    said = "0, 0 lies in the ocean; write where the customer is"
    cells.fault("latitude", "place 0, 0", nowhere, said)
    with np.errstate(invalid="ignore"):
        km = depot_km(table, latitude, longitude)
        swapped_km = depot_km(table, longitude, latitude)
        far = (km > FAR_KM) & ~((latitude == 0) & (longitude == 0))
        swapped = np.flatnonzero(far & (swapped_km < FAR_KM))
        far_only = np.flatnonzero(far & ~(swapped_km < FAR_KM) & np.isfinite(km))
    cells.fault(
        "latitude",
        "latitude and longitude swapped",
        swapped,
        lambda i: (
            "latitude and longitude are swapped; write "
            f"{longitude[swapped[i]]:g} as latitude and {latitude[swapped[i]]:g} as longitude"
        ),
    )
    cells.fault(
        "latitude",
        "far from every depot",
        far_only,
        lambda i: f"this place lies {km[far_only[i]]:,.0f} km from the nearest depot; is it right?",
        warning=True,
    )


def _stores(cells: ColumnCells, table: RoundTable, customers: Customers) -> Customers:
    store, reserve, drop = customers.store_kg, customers.reserve_kg, customers.smallest_drop_kg
    with np.errstate(invalid="ignore"):
        high = np.flatnonzero(reserve >= store)
        never = np.flatnonzero(drop > store)
        tight = np.flatnonzero((drop > store - reserve) & (drop <= store) & (reserve < store))
        hungry = np.flatnonzero(customers.kg_per_year > DROPS_A_YEAR * store)
    cells.fault(
        "reserve_kg",
        "reserve no less than the store",
        high,
        lambda i: (
            f"a reserve of {reserve[high[i]]:g} kg is no less than the store of {store[high[i]]:g} kg; "
            "write a smaller one"
        ),
        emptied=True,
    )
    cells.fault(
        "smallest_drop_kg",
        "smallest drop above the store",
        never,
        lambda i: (
            f"a drop of {drop[never[i]]:g} kg never fits into a store of {store[never[i]]:g} kg; "
            "write a smaller one"
        ),
        emptied=True,
    )
    cells.fault(
        "smallest_drop_kg",
        "smallest drop fits only below the reserve",
        tight,
        lambda i: (
            f"a drop of {drop[tight[i]]:g} kg fits only once the store of {store[tight[i]]:g} kg is below "
            f"its reserve of {reserve[tight[i]]:g} kg"
        ),
        warning=True,
    )
    cells.fault(
        "kg_per_year",
        "more than weekly",
        hungry,
        lambda i: f"{customers.kg_per_year[hungry[i]]:g} kg a year would empty the store more than weekly",
        warning=True,
    )
    rules = table.rules
    usual = np.minimum(rules.smallest_drop_kg, store)
    reserve_kg, drop_kg = reserve.copy(), drop.copy()
    reserve_kg[high], drop_kg[never] = store[high] * rules.reserve, usual[never]
    return replace(customers, reserve_kg=reserve_kg, smallest_drop_kg=drop_kg)


def _times(cells: ColumnCells, table: RoundTable, customers: Customers) -> Customers:
    with np.errstate(invalid="ignore"):
        closed = np.flatnonzero(customers.to_h <= customers.from_h)
    said = "this time is no later than that in from; write a later one"
    cells.fault("to", "not after from", closed, said, emptied=True)
    from_h, to_h = customers.from_h.copy(), customers.to_h.copy()
    from_h[closed], to_h[closed] = 0.0, 24.0
    works = np.array([day in table.rules.weekdays for day in WEEKDAYS])
    never = np.flatnonzero(~(customers.weekdays & works).any(axis=1))
    listed = ", ".join(table.rules.weekdays)
    said = f"no tanker drives on any of these days; [rules] weekdays are {listed}"
    cells.fault("weekdays", "never on a day that tankers drive", never, said, warning=True)
    return replace(customers, from_h=from_h, to_h=to_h)


def _service(cells: ColumnCells, table: RoundTable, customers: Customers) -> None:
    """Warn of customers that no tanker can serve; a plan would name the same reason."""
    reach = reach_of(table, customers)
    nobody = np.asarray(~reach.ok.any(axis=1))
    no_class = nobody & np.asarray(reach.why_not[:, :, 1].all(axis=1))
    too_small = nobody & ~no_class & np.asarray(reach.why_not[:, :, 6].all(axis=1))
    for key, rule, which in (
        ("classes", "a class that nobody carries", no_class),
        ("smallest_drop_kg", "every tanker too small for the smallest drop", too_small),
        ("customer", "no tanker reaches", nobody & ~no_class & ~too_small),
    ):
        at = np.flatnonzero(which)
        says = _sentences(table, customers, reach, which)
        cells.fault(key, rule, at, lambda i, at=at, says=says: says[int(at[i])], warning=True)  # type: ignore[misc]


def _sentences(table: RoundTable, customers: Customers, reach: Reach, which: Bools) -> dict[int, str]:
    """Return for each of some customers why every tanker is ruled out."""
    found = {}
    for i in np.flatnonzero(which).tolist():
        parts = [
            f"{tanker.name}: {_way(table, customers, i, k, reach.reasons(i, k)[0])}"
            for k, tanker in enumerate(table.tankers)
        ]
        found[i] = "no tanker can serve this customer – " + "; ".join(parts[:6])
    return found


def _way(table: RoundTable, customers: Customers, i: int, k: int, reason: str) -> str:
    tanker = table.tankers[k]
    if reason == "depot":
        return f"stands at {tanker.depot}, not at {table.depots[int(customers.depot[i])].name}"
    if reason == "class":
        wanted = [c for c, takes in zip(table.classes, customers.takes[i], strict=True) if takes]
        return f"no {' or '.join(wanted)} to be carried"
    if reason == "hose":
        return f"{tanker.hose_m:g} m of hose, {customers.hose_m[i]:g} m are needed"
    if reason == "width":
        return f"{tanker.width_m:g} m wide, {customers.max_width_m[i]:g} m is the most"
    if reason == "weight":
        return (
            f"{(tanker.laden_weight_kg or 0) / 1000:g} t laden, "
            f"{customers.max_weight_kg[i] / 1000:g} t is the most"
        )
    if reason == "trailer":
        return "with a trailer"
    return f"carries {tanker.carries_kg:g} kg, the smallest drop is {customers.smallest_drop_kg[i]:g} kg"
