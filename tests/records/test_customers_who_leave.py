"""A customer who leaves: a last day, rows of those who are gone, and faults in cells that may be empty."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.messages import render
from fuelplan.records.round import (
    PublishedStop,
    Wish,
    add_delivery,
    add_reading,
    add_wish,
    check_round,
    open_round,
    write_published,
)
from fuelplan.records.tables import RoundFaults
from tests.round_folders import CUSTOMERS, ORDERS, make_round
from tests.runs_planned import TODAY, planned

DEMO = Path(__file__).parents[2] / "demo_sites" / "round_quellmark"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for this module's rounds."""
    return tmp_path_factory.mktemp("rounds")


def leaving(customer: str, day: str) -> str:
    """The customers' file with a last day for one of them."""
    first, *rows = CUSTOMERS.splitlines()
    return "\n".join(
        [f"{first},left_on", *(f"{row},{day if row.startswith(customer) else ''}" for row in rows), ""]
    )


def without(folder: Path, customer: str) -> Path:
    """Take a customer's row out of a folder."""
    file = folder / "customers.csv"
    kept = [r for r in file.read_text(encoding="utf-8").splitlines() if not r.startswith(f"{customer},")]
    file.write_text("\n".join(kept) + "\n", encoding="utf-8")
    return folder


def test_a_customer_who_left_is_served_no_more(place: Path) -> None:
    """On no run, not due, not to be rung and in no tonnes from the day after; an order says why it waits."""
    low = "customer,date,kg,percent\nK-08,2026-01-12,,3\nK-10,2026-01-12,,3\n"
    files = {"readings.csv": low, "customers.csv": leaving("K-08", "2026-01-12"), "orders.csv": None}
    round_, answer = planned(make_round(place / "left", files=files), days=4)
    assert "K-08" not in {s.customer for r in answer.runs for s in r.stops}
    assert "K-08" not in {d.customer for d in answer.due} | {x.customer for x in answer.not_served}
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    ahead = answers.outlook(round_, weather, TODAY, 1)
    row = round_.customers.number_of["K-08"]
    table = ahead.customers
    assert table.left[row] and np.isnat(table.deliver_by[row]) and not table.overdue[row]
    assert np.isnat(table.run_out[row]).all() and row not in ahead.due
    stays = answers.open_round(make_round(place / "stays", files={**files, "customers.csv": CUSTOMERS}))
    more = answers.outlook(stays, weather, TODAY, 1)
    assert row in more.due
    assert more.weekly_burned_t.p50[0] > ahead.weekly_burned_t.p50[0]
    assert more.weekly_t.p90[0] > ahead.weekly_t.p90[0]
    files["orders.csv"] = ORDERS.splitlines()[0] + "\nL1,K-08,2000,A1,2026-01-13,2026-01-20,,no,no,no,\n"
    _, answer = planned(make_round(place / "ordered", files=files), days=4)
    assert [(x.order, render(x.reason)) for x in answer.not_served if x.customer == "K-08"] == [
        ("L1", "the customer left on 12 January")
    ]


def test_a_customer_is_served_until_the_last_day(place: Path) -> None:
    """Who leaves on Thursday, nearly empty, is served up to and with Thursday; an on-request one is rung."""
    low = "customer,date,kg,percent\nK-08,2026-01-12,,3\n"
    files = {"readings.csv": low, "customers.csv": leaving("K-08", "2026-01-15"), "orders.csv": None}
    _, answer = planned(make_round(place / "until", files=files), days=6)
    days = [r.day for r in answer.runs for s in r.stops if s.customer == "K-08"]
    assert days and max(days) <= date(2026, 1, 15)
    head = ORDERS.splitlines()[0]
    order = f"{head}\nL1,K-08,2000,A1,2026-01-13,2026-01-23,,no,no,no,\n"
    files = {"orders.csv": order, "customers.csv": leaving("K-08", "2026-01-14")}
    _, answer = planned(make_round(place / "order until", files=files), days=6)
    days = [r.day for r in answer.runs for s in r.stops if s.order == "L1"]
    assert days and max(days) <= date(2026, 1, 14)


def test_the_row_of_one_who_left_may_go(tmp_path: Path) -> None:
    """Of the demo round, with its books: the round goes on, and remarks say how many rows of whom."""
    folder = tmp_path / "round"
    shutil.copytree(DEMO, folder)
    rows = {
        name: sum(row.startswith("Q011,") for row in (folder / name).read_text(encoding="utf-8").splitlines())
        for name in ("deliveries.csv", "readings.csv")
    }
    assert rows["deliveries.csv"] > 5
    before = open_round(folder)
    found = open_round(without(folder, "Q011"))
    assert len(found.customers) == 119
    assert len(found.deliveries) == len(before.deliveries) - rows["deliveries.csv"]
    told = [f for f in check_round(folder) if str(f.rule) == "unknown customer"]
    assert told and all(f.warning for f in told)
    assert {f.file for f in told} == {name for name, n in rows.items() if n}
    for fault in told:
        n = rows[fault.file]
        assert fault.message.startswith(f'{n} row{"" if n == 1 else "s"} of "Q011"')
    weather = answers.weather_for_round(found)
    ahead = answers.outlook(found, weather, date(2026, 1, 15), 1)
    assert any("Q011" in render(note) for note in ahead.notes)
    ids = found.customers.id[found.deliveries.customer]
    assert "Q011" not in ids and (ids == before.customers.id[before.deliveries.customer][
        before.customers.id[before.deliveries.customer] != "Q011"]).all()  # fmt: skip


def test_past_runs_and_wishes_of_one_who_left_stay_in_the_file(tmp_path: Path) -> None:
    """They are remarked, not used, and publishing again loses none of them; what lies ahead is a fault."""
    folder = make_round(tmp_path / "round", files={"orders.csv": None})
    past = PublishedStop(date(2026, 1, 8), "T2", 1, 1, "K-10", "A1", 2000.0)
    write_published(folder, [past], known=open_round(folder))
    add_wish(folder, Wish("K-10", "forbid", None, "T1"))
    without(folder, "K-10")
    round_ = open_round(folder)
    assert round_.published == () and round_.wishes == ()
    assert {f.file for f in round_.warnings if str(f.rule) == "unknown customer"} >= {
        "published.csv", "wishes.csv", "deliveries.csv",
    }  # fmt: skip
    write_published(
        folder, [PublishedStop(date(2026, 1, 14), "T2", 1, 1, "K-08", "A1", 2000.0)], known=round_
    )
    assert "K-10" in (folder / "published.csv").read_text(encoding="utf-8")
    with (folder / "wishes.csv").open("a", encoding="utf-8") as file:
        file.write("K-10,pin,2026-01-14,,,\n")
    with pytest.raises(RoundFaults, match='no customer "K-10"'):
        open_round(folder)


def test_a_new_row_of_somebody_unknown_is_refused(tmp_path: Path) -> None:
    """What is entered now names somebody who is there: a slip of the pen must not become a remark."""
    folder = make_round(tmp_path / "round")
    for add in (
        lambda: add_reading(folder, "K-99", TODAY, kg=900),
        lambda: add_delivery(folder, "K-99", TODAY, 900),
    ):
        with pytest.raises(RoundFaults, match='no customer "K-99"'):
            add()


def test_the_neighbour_of_one_who_left_shares_no_more(tmp_path: Path) -> None:
    """`split_with` naming somebody who is gone is a remark, in customers and orders alike."""
    order = ORDERS.splitlines()[0] + "\nN1,K-02,2000,A1,2026-01-13,2026-01-20,,no,no,no,K-03\n"
    folder = without(make_round(tmp_path / "round", files={"orders.csv": order}), "K-03")
    round_ = open_round(folder)
    assert round_.orders[0].split_with is None
    assert round_.customers.split_with[round_.customers.number_of["K-02"]] == -1
    told = {(f.file, f.key) for f in round_.warnings}
    assert {("customers.csv", "split_with"), ("orders.csv", "split_with")} <= told


FAULTY = (
    ("reserve_kg", "K-01,Hofer,valley,north,47.252,11.391,575,A1,5200,500", "many", 520.0),
    ("reserve_kg", "K-01,Hofer,valley,north,47.252,11.391,575,A1,5200,500", "6000", 520.0),
    ("hose_m", "top-up,25,,,,,08:00,16:00,2000,6100", "400", 0.0),
    ("kg_per_year", "top-up,25,,,,,08:00,16:00,2000,6100", "lots", None),
    ("smallest_drop_kg", "top-up,25,,,,,08:00,16:00,2000,6100", "9000", 1500.0),
    ("elevation_m", "K-01,Hofer,valley,north,47.252,11.391,575", "high", None),
    ("depot", "K-01,Hofer,valley,north", "nowhere", -1),
    ("left_on", "", "2026-13-01", None),
    ("to_h", "top-up,25,,,,,08:00,16:00", "07:00", 24.0),
    ("weekdays", "top-up,25,,,,,08:00", "Someday", True),
)


@pytest.mark.parametrize(("column", "where", "text", "empty"), FAULTY)
def test_a_faulty_cell_that_may_be_empty_is_read_as_empty(
    tmp_path: Path, column: str, where: str, text: str, empty: float | bool | None
) -> None:
    """With sound rows asked for, the customer stays, the cell counts as empty, and a remark names it; else
    the folder is refused as before.
    """
    head, row, *rest = CUSTOMERS.splitlines()
    names, cells = [*head.split(","), "left_on"], row.split(",")
    cells += [""] * (len(names) - len(cells))
    name = {"to_h": "to"}.get(column, column)
    cells[names.index(name)] = text
    body = [",".join(names), ",".join(cells), *(f"{r}," for r in rest), ""]
    folder = make_round(tmp_path / "round", files={"customers.csv": "\n".join(body)})
    with pytest.raises(RoundFaults):
        open_round(folder)
    found = open_round(folder, sound_only=True)
    assert len(found.customers) == 12 and found.customers.id[0] == "K-01"
    assert found.left_out == () and [(f.line, f.key) for f in found.emptied] == [(2, name)]
    value = getattr(found.customers, column)[0]
    if empty is None:
        assert np.isnat(value) if column == "left_on" else np.isnan(value)
    elif column == "weekdays":
        assert value.all()
    else:
        assert value == empty
    assert len(found.deliveries) == len(open_round(make_round(tmp_path / "sound")).deliveries)


def test_faulty_cells_of_orders_and_deliveries_keep_their_rows(tmp_path: Path) -> None:
    """A class that cannot be read, a first day that is none: both rows stay; the outlook says how many cells
    count as empty.
    """
    files = {"orders.csv": ORDERS.replace("2026-01-13", "soon", 1)}
    folder = make_round(
        tmp_path / "round", files=files,
        changes=[("deliveries.csv", "K-01,2024-10-14,3900,A1", "K-01,2024-10-14,3900,Z9")],
    )  # fmt: skip
    found = open_round(folder, sound_only=True)
    assert len(found.deliveries) == 13 and found.deliveries.grade[0] == -1
    first = next(o for o in found.orders if o.order == "2026-0117")
    assert first.first is None
    assert {(f.file, f.key) for f in found.emptied} == {("orders.csv", "from"), ("deliveries.csv", "class")}
    weather = answers.weather_for_round(found, TODAY, lambda _: None)
    ahead = answers.outlook(found, weather, TODAY, 1)
    assert any(render(note).startswith("2 faulty cells are read as empty, such as") for note in ahead.notes)
