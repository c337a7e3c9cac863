"""A round's folder as the checker reads it: TOML and CSV, by the reference page of the folder alone."""

from __future__ import annotations

import csv
import io
import math
import tomllib
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from tests.plan_checker import quantities as q

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
Row = dict[str, str]


@dataclass(frozen=True)
class Depot:
    """A place where tankers load; `stock_kg` is None where there is always enough."""

    name: str
    place: tuple[float, float]
    opens_h: float
    closes_h: float
    stock_kg: dict[str, float] | None
    arriving: tuple[tuple[date, str, float], ...]


@dataclass(frozen=True)
class Tanker:
    """A tanker, with the defaults that the reference page names."""

    name: str
    depot: str
    chambers_kg: tuple[float, ...]
    payload_kg: float
    classes: frozenset[str]
    hose_m: float
    width_m: float
    laden_kg: float
    trailer: bool
    per_km: float
    per_hour: float
    blow_kg_h: float
    set_up_h: float
    hose_h_per_m: float
    hose_included_m: float
    reload_h: float
    out_of_service: frozenset[date]

    def work_h(self, hose_m: float, kg: float) -> float:
        """Return how long a stop takes: couplings, hose beyond what is included, blowing. [h]"""
        return (
            self.set_up_h + max(0.0, hose_m - self.hose_included_m) * self.hose_h_per_m + kg / self.blow_kg_h
        )


@dataclass(frozen=True)
class Customer:
    """A customer, with the defaults that the reference page names."""

    id: str
    name: str
    place: tuple[float, float]
    depot: str
    classes: tuple[str, ...]
    store_kg: float
    reserve_kg: float
    top_up: bool
    hose_m: float
    max_width_m: float
    max_weight_kg: float
    trailer_ok: bool
    weekdays: frozenset[int]
    from_h: float
    to_h: float
    smallest_drop_kg: float
    kg_per_year: float | None
    credit_stop: bool
    left_on: date | None
    told_window_h: float


@dataclass(frozen=True)
class Order:
    """An open order; `kg` is None for as much as fits."""

    order: str
    customer: str
    kg: float | None
    grade: str
    first: date
    last: date
    credit_stop: bool
    lifted_by: str
    already_empty: bool
    split_with: str


@dataclass(frozen=True)
class Folder:
    """What of a round's folder a plan is held against."""

    path: Path
    toml: dict[str, Any]
    classes: tuple[str, ...]
    depots: dict[str, Depot]
    tankers: dict[str, Tanker]
    customers: dict[str, Customer]
    orders: tuple[Order, ...]
    published: tuple[Row, ...]
    wishes: tuple[Row, ...]
    happenings: tuple[Row, ...]
    readings: tuple[Row, ...]
    deliveries: tuple[Row, ...]
    odometer: tuple[Row, ...]

    @property
    def rules(self) -> dict[str, Any]:
        """The keys of `[rules]`."""
        return dict(self.toml.get("rules", {}))

    @property
    def driver(self) -> dict[str, Any]:
        """The keys of `[driver]`."""
        return dict(self.toml.get("driver", {}))


def read_folder(path: Path | str) -> Folder:
    """Return a round's folder."""
    path = Path(path)
    toml = tomllib.loads((path / "round.toml").read_text(encoding="utf-8-sig"))
    classes = tuple(toml.get("classes", ["A1"]))
    tables = {
        name: tuple(read_csv(path / f"{name}.csv"))
        for name in ("customers", "orders", "published", "wishes", "happenings", "readings", "deliveries",
                     "odometer")
    }  # fmt: skip
    customers = {row["customer"]: _customer(row, toml, classes) for row in tables["customers"]}
    return Folder(
        path,
        toml,
        classes,
        {d["name"]: _depot(d) for d in toml["depot"]},
        {k["name"]: _tanker(k, classes) for k in toml["tanker"]},
        customers,
        tuple(_order(row, customers) for row in tables["orders"] if row["customer"] in customers),
        *(tables[n] for n in ("published", "wishes", "happenings", "readings", "deliveries", "odometer")),
    )


def read_csv(path: Path) -> list[Row]:
    """Return the rows of a table by the names of the columns; empty where there is no such file."""
    if not path.exists():
        return []
    text = path.read_text(encoding="utf-8-sig")
    head = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=head.count)
    rows = csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter)
    names = [str(name).strip().lower() for name in rows.fieldnames or ()]
    rows.fieldnames = names
    out = []
    for row in rows:
        cells = {k: _own(str(v or "")) for k, v in row.items() if k is not None}
        if any(cells.values()):
            out.append(cells)
    return out


def _own(cell: str) -> str:
    """Return a cell as a person wrote it: the apostrophe before =, +, - or @ is not counted."""
    cell = cell.strip()
    return cell[1:] if len(cell) > 1 and cell[0] == "'" and cell[1] in "=+-@" else cell


def words(cell: str) -> list[str]:
    """Return the words of a cell with several."""
    return [w.strip() for w in cell.replace("|", ";").split(";") if w.strip()]


def _depot(table: dict[str, Any]) -> Depot:
    stock = table.get("stock")
    return Depot(
        table["name"],
        (table["latitude"], table["longitude"]),
        q.clock(table.get("opens", "06:00")),
        q.clock(table.get("closes", "18:00")),
        None if stock is None else {k: q.kg(v) for k, v in stock.items()},
        tuple((q.day(a["on"]), a["class"], q.kg(a["amount"])) for a in table.get("arriving", ())),
    )


def _tanker(table: dict[str, Any], classes: tuple[str, ...]) -> Tanker:
    chambers = tuple(q.kg(c) for c in table["chambers"])
    return Tanker(
        name=table["name"],
        depot=table["depot"],
        chambers_kg=chambers,
        payload_kg=q.kg(table["payload"]) if "payload" in table else sum(chambers),
        classes=frozenset(table.get("classes") or classes),
        hose_m=q.metres(table.get("hose", 30.0)),
        width_m=q.metres(table.get("width", 2.55)),
        laden_kg=q.kg(table.get("laden_weight", 0.0)),
        trailer=bool(table.get("trailer", False)),
        per_km=q.price(table["cost_per_km"]),
        per_hour=q.price(table["cost_per_hour"]),
        blow_kg_h=q.kg_per_hour(table.get("blow_rate", 8000.0)),
        set_up_h=q.hours(table.get("set_up", "18 min")),
        hose_h_per_m=q.hours(table.get("hose_time", "2 min")) / 10,
        hose_included_m=q.metres(table.get("hose_included", 20.0)),
        reload_h=q.hours(table.get("reload", "35 min")),
        out_of_service=frozenset(q.day(d) for d in table.get("out_of_service", ())),
    )


def _customer(row: Row, toml: dict[str, Any], classes: tuple[str, ...]) -> Customer:
    rules = toml.get("rules", {})

    def number(name: str, usual: float, unit: float = 1.0) -> float:
        cell = row.get(name, "")
        return q.kg(cell) * unit if cell else usual

    store = q.kg(row["store_kg"])
    return Customer(
        id=row["customer"],
        name=row.get("name", ""),
        place=(number("latitude", 0.0), number("longitude", 0.0)),
        depot=row.get("depot", ""),
        classes=tuple(words(row.get("classes", ""))) or classes[:1],
        store_kg=store,
        reserve_kg=number("reserve_kg", q.share(rules.get("reserve", 0.1)) * store),
        top_up=row.get("contract", "") in ("top-up", "managed"),
        hose_m=q.metres(row.get("hose_m") or 0.0),
        max_width_m=q.metres(row.get("max_width_m") or math.inf),
        max_weight_kg=number("max_weight_t", math.inf, 1000.0),
        trailer_ok=row.get("trailer_ok", "") != "no",
        weekdays=_weekdays(row.get("weekdays", "")),
        from_h=q.clock(row.get("from") or "00:00"),
        to_h=q.clock(row.get("to") or "24:00"),
        smallest_drop_kg=number("smallest_drop_kg", q.kg(rules.get("smallest_drop", 1500.0))),
        kg_per_year=number("kg_per_year", -1.0) if row.get("kg_per_year") else None,
        credit_stop=row.get("credit_stop", "") == "yes",
        left_on=q.day(row["left_on"]) if row.get("left_on") else None,
        told_window_h=q.hours(row.get("told_window_h") or 2.0),
    )


def _weekdays(cell: str) -> frozenset[int]:
    named = [w.lower() for w in words(cell)]
    found = {i for i, name in enumerate(WEEKDAYS) for w in named if name.startswith(w)}
    return frozenset(found or range(7))


def _order(row: Row, customers: dict[str, Customer]) -> Order:
    return Order(
        order=row["order"],
        customer=row["customer"],
        kg=None if row["kg"] == "full" else q.kg(row["kg"]),
        grade=row.get("class", "") or customers[row["customer"]].classes[0],
        first=q.day(row["from"]) if row.get("from") else date.min,
        last=q.day(row["to"]),
        credit_stop=row.get("credit_stop", "") == "yes",
        lifted_by=row.get("lifted_by", ""),
        already_empty=row.get("already_empty", "") == "yes",
        split_with=row.get("split_with", ""),
    )
