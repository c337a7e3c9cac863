"""What cannot be meant in the rows about customers: amounts, days, classes, wishes that contradict."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import date, timedelta

import numpy as np

from fuelplan.messages import Listed, Message, Own, Quantity, message
from fuelplan.records.round.customers import Customers, first_rows
from fuelplan.records.round.histories import Deliveries, Readings
from fuelplan.records.round.lists import Order, Wish
from fuelplan.records.round.published import PublishedStop
from fuelplan.records.round.reach import REASON_WORDS, reach_of
from fuelplan.records.round.table_to_domain import DrivingDays
from fuelplan.records.schema import RoundTable
from fuelplan.records.tables import Bools, ColumnCells, Days, Floats, Ints

ABOVE_STORE = 1.05  # this far above the store is a mistake, not a tight fill
LONGEST_PROMISE_DAYS = 60  # within as many days some day always serves
SLIP_ABOVE_STORE = 1.5  # a weigh note up to here says that the store is bigger than written

MORE_THAN_HOLDS = message("rows.more_than_holds", "more than the store holds")


def check_deliveries(cells: ColumnCells, rows: Deliveries, customers: Customers, today: date) -> None:
    """Add the faults of deliveries that cannot have been."""
    store = np.append(customers.store_kg, np.nan)[rows.customer]
    with np.errstate(invalid="ignore"):
        slip = np.flatnonzero(rows.kg > SLIP_ABOVE_STORE * store)
        odd = np.flatnonzero((rows.kg > ABOVE_STORE * store) & (rows.kg <= SLIP_ABOVE_STORE * store))
    _too_much(
        cells, message("rows.more_than_taken", "more than the store can have taken"), slip, rows.kg, store,
        warning=False,
    )  # fmt: skip
    _too_much(cells, MORE_THAN_HOLDS, odd, rows.kg, store, warning=True)
    _not_yet(cells, rows.day, today)
    _same(
        cells, [rows.customer, rows.day.astype(np.int64), rows.kg, rows.grade],
        message("rows.delivery_twice", "the same delivery twice"),
        lambda row: message(
            "rows.same_delivery", "the same delivery stands in row {row}; remove one", row=row
        ),
    )  # fmt: skip


def check_readings(cells: ColumnCells, rows: Readings, customers: Customers, today: date) -> None:
    """Add the faults of readings that cannot be."""
    store = np.append(customers.store_kg, np.nan)[rows.customer]
    with np.errstate(invalid="ignore"):
        over = np.flatnonzero(rows.kg > ABOVE_STORE * store)
    _too_much(cells, MORE_THAN_HOLDS, over, rows.kg, store, warning=False)
    _not_yet(cells, rows.day, today)
    _same(
        cells, [rows.customer, rows.day.astype(np.int64), rows.kg],
        message("rows.reading_twice", "the same reading twice"),
        lambda row: message("rows.same_reading", "the same reading stands in row {row}; remove one", row=row),
    )  # fmt: skip


def _too_much(
    cells: ColumnCells,
    rule: Message,
    at: Ints,
    kg: Floats,
    store: Floats,
    *,
    warning: bool,
) -> None:
    cells.fault(
        "kg", rule, at,
        lambda i: message(
            "rows.more_than_store",
            "{kg} kg is more than the store of {store} kg holds; correct this or store_kg",
            kg=Own(f"{kg[at[i]]:g}"), store=Own(f"{store[at[i]]:g}"),
        ),
        warning=warning,
    )  # fmt: skip


def _not_yet(cells: ColumnCells, days: Days, today: date) -> None:
    at = np.flatnonzero(days > np.datetime64(today, "D"))
    cells.fault(
        "date", message("rows.after_today", "after today"), at,
        lambda i: message(
            "rows.lies_after_today", "{day} lies after today ({today})", day=Own(str(days[at[i]])),
            today=Own(str(today)),
        ),
        warning=True,
    )  # fmt: skip


def _same(
    cells: ColumnCells, columns: Sequence[Floats | Ints], rule: Message, say: Callable[[Own], Message]
) -> None:
    """Add a fault to each row that stands in the file twice."""
    import pandas as pd

    frame = pd.DataFrame(dict(enumerate(columns)))[~cells.bad]
    twins = frame[frame.duplicated(keep=False)]
    if twins.empty:
        return
    place = twins.index.to_numpy()
    first = place[first_rows(twins.groupby(list(twins), dropna=False).ngroup().to_numpy())]
    at, stands = place[first < place], cells.sheet.row[first[first < place]]
    cells.fault("", rule, at, lambda i: say(Own(str(stands[i]))))


def check_orders(
    cells: ColumnCells, orders: Sequence[Order], table: RoundTable, customers: Customers, today: date
) -> None:
    """Add the faults of orders that nobody can keep; past promises are warnings."""
    driving = DrivingDays(table)
    for i, order in enumerate(orders):
        number = customers.number_of.get(order.customer)
        at = np.array([i])
        if order.last < today:
            said = message(
                "rows.promise_passed",
                "the last promised day, {day}, has passed; deliver first, or agree on a new one",
                day=Own(str(order.last)),
            )
            cells.fault("to", message("rows.passed", "promise passed"), at, said, warning=True)
        if number is None:
            continue
        if order.last >= today and not _can_come(order, today, driving, customers.weekdays[number]):
            said = message(
                "rows.promise_no_day",
                "no tanker drives on any of these days, or the customer takes no fuel on them",
            )
            cells.fault("to", message("rows.no_day", "no day to keep the promise"), at, said, warning=True)
        if order.kg is not None and order.kg > ABOVE_STORE * customers.store_kg[number]:
            store_kg = customers.store_kg[number]
            said = message(
                "rows.cannot_fit", "{kg} kg cannot fit into a store of {store} kg; correct this or store_kg",
                kg=Own(f"{order.kg:g}"), store=Own(f"{store_kg:g}"),
            )  # fmt: skip
            cells.fault("kg", MORE_THAN_HOLDS, at, said)
        elif order.kg is not None and order.kg < customers.smallest_drop_kg[number]:
            said = message(
                "rows.less_than_drop", "less than the smallest drop of {drop} kg",
                drop=Own(f"{customers.smallest_drop_kg[number]:g}"),
            )  # fmt: skip
            cells.fault("kg", message("rows.below_drop", "below the smallest drop"), at, said, warning=True)
        _class_taken(cells, at, table, customers, number, order.grade)
        if order.split_with == order.customer:
            cells.fault(
                "split_with", message("rows.oneself", "oneself"), at,
                message("rows.name_neighbour", "name the neighbour, not the customer itself"),
            )  # fmt: skip


def _can_come(order: Order, today: date, driving: DrivingDays, takes: Bools) -> bool:
    """Tell whether any promised day is one on which tankers drive and the customer takes fuel."""
    first = max(order.first or today, today)
    days = [
        first + timedelta(days=n) for n in range(min((order.last - first).days, LONGEST_PROMISE_DAYS) + 1)
    ]
    return len(days) > LONGEST_PROMISE_DAYS or any(day in driving and takes[day.weekday()] for day in days)


def _class_taken(
    cells: ColumnCells,
    at: Ints,
    table: RoundTable,
    customers: Customers,
    number: int,
    grade: str | None,
) -> None:
    if grade and not customers.takes[number, table.classes.index(grade)]:
        takes = [c for c, one in zip(table.classes, customers.takes[number], strict=True) if one]
        said = message(
            "rows.takes_classes", "the customer takes {classes}; correct this, or their classes",
            classes=Listed(tuple(map(Own, takes)), " or "),
        )  # fmt: skip
        cells.fault("class", message("rows.no_such_class", "a class the customer does not take"), at, said)


def check_published(
    cells: ColumnCells, stops: Sequence[PublishedStop], table: RoundTable, customers: Customers
) -> None:
    """Add the faults of stops that contradict each other, and warn of runs that carry too much."""
    places = Counter((stop.day, stop.tanker, stop.trip, stop.position) for stop in stops)
    loads: Counter[tuple[date, str, int]] = Counter()
    carries = {tanker.name: tanker.carries_kg for tanker in table.tankers}
    out = {(tanker.name, day) for tanker in table.tankers for day in tanker.out_of_service}
    seen: set[tuple[date, str, int, int]] = set()
    for i, stop in enumerate(stops):
        place = (stop.day, stop.tanker, stop.trip, stop.position)
        if places[place] > 1 and place in seen:
            said = message(
                "rows.position_twice", "{tanker} has another stop at position {position} of this run",
                tanker=Own(stop.tanker), position=Own(str(stop.position)),
            )  # fmt: skip
            cells.fault(
                "position", message("rows.same_position", "the same position twice"), np.array([i]), said
            )
        seen.add(place)
        if (stop.tanker, stop.day) in out:
            said = message(
                "rows.tanker_out",
                "{tanker} is out of service on {day}; plan anew, or take the day out there",
                tanker=Own(stop.tanker), day=Own(str(stop.day)),
            )  # fmt: skip
            cells.fault("tanker", message("rows.out", "out of service"), np.array([i]), said, warning=True)
        number = customers.number_of.get(stop.customer)
        if number is not None:
            _class_taken(cells, np.array([i]), table, customers, number, stop.grade)
        before = loads[place[:3]]
        loads[place[:3]] += 0 if np.isnan(stop.kg) else round(stop.kg)
        most = carries.get(stop.tanker, np.inf)
        if before <= most < loads[place[:3]]:
            said = message(
                "rows.run_too_heavy", "with this stop the run carries more than the tanker's {most}",
                most=Quantity.written(most / 1000, "t", "g"),
            )  # fmt: skip
            cells.fault(
                "kg", message("rows.too_heavy", "more than the tanker carries"), np.array([i]), said,
                warning=True,
            )  # fmt: skip


def check_wishes(cells: ColumnCells, wishes: Sequence[Wish], table: RoundTable, customers: Customers) -> None:
    """Add the faults of wishes that contradict each other, and warn of those that cannot be kept."""
    reach = reach_of(table, customers)
    tankers = [tanker.name for tanker in table.tankers]
    driving = DrivingDays(table)
    forbidden = {(w.customer, w.day, w.tanker) for w in wishes if w.wish == "forbid"}
    for i, wish in enumerate(wishes):
        at, number = np.array([i]), customers.number_of.get(wish.customer)
        if wish.wish == "forbid" or number is None:
            continue
        clashes = {(wish.customer, d, t) for d in (wish.day, None) for t in (wish.tanker, None)}
        if clashes & forbidden:
            said = message("rows.forbidden_too", "another row forbids the same; keep one of them")
            cells.fault("wish", message("rows.wished_and_forbidden", "wished and forbidden"), at, said)
        if wish.day is not None and wish.day not in driving:
            said = message("rows.no_tanker_on", "no tanker drives on {day}", day=Own(str(wish.day)))
            cells.fault(
                "date", message("rows.no_driving_day", "a day that no tanker drives"), at, said, warning=True
            )
        if wish.tanker in tankers and not reach.ok[number, tankers.index(wish.tanker)]:
            reasons = reach.reasons(number, tankers.index(wish.tanker))
            said = message(
                "rows.cannot_serve", "{tanker} cannot serve this customer ({reasons})",
                tanker=Own(wish.tanker), reasons=Listed(tuple(REASON_WORDS[one] for one in reasons), ", "),
            )  # fmt: skip
            cells.fault(
                "tanker", message("rows.no_tanker", "a tanker that cannot serve"), at, said, warning=True
            )
