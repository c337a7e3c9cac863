"""A round folder is read into arrays, and every fault is named at its row and column."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from fuelplan.records.round import Order, check_round, is_round, open_round
from fuelplan.records.tables import Fault, RoundFaults, counted, fault_lines
from tests.round_folders import CUSTOMERS, DELIVERIES, ROUND, make_round
from tests.site_folders import make_site


def faults_at(faults: Sequence[Fault], file: str, line: int | None, key: str) -> list[str]:
    """Return the sentences of the faults at one place."""
    return [f.message for f in faults if (f.file, f.line, f.key) == (file, line, key)]


def test_a_sound_round_has_no_fault_and_reads_as_written(tmp_path: Path) -> None:
    """The folder the other tests damage is sound, and its cells become what they say."""
    folder = make_round(tmp_path / "round")
    assert check_round(folder) == []
    found = open_round(folder)
    customers = found.customers
    assert (found.name, len(customers), found.table.classes) == ("Test round", 12, ("A1", "A2"))
    school = customers.number_of["K-04"]
    assert customers.store_kg[school] == 12000 and customers.reserve_kg[school] == 1500
    assert customers.takes[school].tolist() == [True, True]
    assert customers.weekdays[school].tolist() == [True, False, False, True, True, False, False]
    assert (customers.from_h[school], customers.to_h[school]) == (7.0, 11.5)
    assert customers.hot_water_share[school] == pytest.approx(0.10)
    farm, shared = customers.number_of["K-06"], customers.number_of["K-02"]
    assert found.areas[customers.area[farm]].name == "upland"
    assert found.areas[customers.area[farm]].table.weather.file == "weather_upland.csv"
    assert found.areas[0].table.weather.file == "weather.csv"
    assert customers.depot[farm] == -1 and customers.id[customers.split_with[shared]] == "K-03"
    assert customers.max_weight_kg[customers.number_of["K-05"]] == 18000


def test_what_is_left_out_takes_the_rules(tmp_path: Path) -> None:
    """An empty reserve, smallest drop, contract, window and limit are those of the rules or none at all."""
    customers = open_round(make_round(tmp_path / "round")).customers
    mill, new = customers.number_of["K-02"], customers.number_of["K-11"]
    assert customers.reserve_kg[mill] == pytest.approx(700) and customers.smallest_drop_kg[mill] == 1500
    assert np.isnan(customers.kg_per_year[new]) and np.isinf(customers.max_width_m[new])
    assert (customers.from_h[new], customers.to_h[new]) == (0, 24) and customers.trailer_ok[new]
    assert customers.weekdays[new].all() and not customers.top_up[new]


def test_history_names_its_customers_by_number(tmp_path: Path) -> None:
    """Deliveries and readings carry the number of their customer; percents are of that customer's store."""
    found = open_round(make_round(tmp_path / "round"))
    rows = found.deliveries.customer == found.customers.number_of["K-01"]
    assert found.deliveries.kg[rows].tolist() == [3900, 4120]
    assert found.deliveries.day[rows].tolist() == [date(2024, 10, 14), date(2025, 10, 6)]
    school = found.readings.customer == found.customers.number_of["K-04"]
    assert found.readings.kg[school].tolist() == [4800] and found.readings.by_eye[school].all()


def test_orders_are_records(tmp_path: Path) -> None:
    """An order keeps its promise; "full" and an open first day are None."""
    orders = open_round(make_round(tmp_path / "round")).orders
    assert orders[0] == Order(
        "2026-0117", "K-03", 3000.0, "A1", date(2026, 1, 13), date(2026, 1, 16), 318.0, call_ahead=True, row=2
    )
    assert (orders[1].kg, orders[1].first, orders[1].last) == (None, None, date(2026, 1, 15))


def test_a_round_and_a_site_are_told_apart(tmp_path: Path) -> None:
    """Only a folder with `round.toml` is a round."""
    assert is_round(make_round(tmp_path / "round"))
    assert not is_round(make_site(tmp_path / "site")) and not is_round(tmp_path / "none")


TOML_FAULTS = [
    ('depot = "south"', 'depot = "west"', "tanker.1.depot", 'no depot "west"'),
    ('chambers = ["4 t", "3 t", "3 t"]', "chambers = []", "tanker.1.chambers", "at least 1"),
    ('payload = "9 t"', 'payload = "11 t"', "tanker.1", "no more than the chambers hold (10 t)"),
    ('blow_rate = "8 t/h"', 'blow_rate = "8 t"', "tanker.0.blow_rate", "is a mass"),
    ('opens = "06:00"', 'opens = "19:00"', "depot.0", "closes must be later"),
    ('opens = "06:00"', 'opens = "6 h"', "depot.0.opens", "time of day"),
    ('stock = { A1 = "120 t", A2', 'stock = { A1 = "120 t", B', "depot.0.stock.B", "not one of the classes"),
    ('class = "A1"\namount', 'class = "C"\namount', "depot.0.arriving.0.class", "not one of the classes"),
    ('A2 = "240 EUR/t"', 'A2 = "240 CHF/t"', "prices.A2", "one money"),
    ('cost_per_km = "0.90 EUR/km"', 'cost_per_km = "0.90 EUR"', "tanker.1.cost_per_km", "sum of money"),
    ('file = "weather_upland.csv"', 'file = "../w.csv"', "area.1.file", "outside"),
    ('file = "weather.csv"', 'file = "none.csv"', "weather.file", "no file"),
    ('source = "file"', 'source = "meteostat"\nfile2 = 1', "weather.file2", "unknown key"),
    ('name = "upland"', 'name = "valley"', "", 'two area entries are called "valley"'),
    ('name = "T2"', 'name = "T1"', "", 'two tanker entries are called "T1"'),
    ('country = "AT"', 'country = "XX"', "place.country", "XX"),
    ('time_zone = "Europe/Vienna"', 'time_zone = "Mars"', "place.time_zone", "not a valid time zone"),
    ("format = 2", "format = 3", "format", "Update fuelplan"),
    ('risk = "1 in 50"', 'risk = "80 %"', "rules.risk", "less than 0.5"),
    ("[rules]", '[distances]\nkind = "file"\n[rules]', "distances", "needs the key file"),
    ("[rules]", '[driver]\ndriving_before_break = "5 h"\n[rules]', "driver.driving_before_break", "4.5"),
    ('width = "2.3 m"', 'width = "2.3 m"\naboard = { A1 = "10 t" }', "tanker.1.aboard", "carries (9 t)"),
    ('laden_weight = "18 t"', 'laden_weight = "8 t"', "tanker.1", "more than the load"),
    ("latitude = 47.10\nlongitude = 11.45", "latitude = 0\nlongitude = 0", "depot.1.latitude", "ocean"),
]


@pytest.mark.parametrize(("old", "new", "key", "words"), TOML_FAULTS)
def test_each_fault_of_round_toml_is_named_at_its_key(
    tmp_path: Path, old: str, new: str, key: str, words: str
) -> None:
    """One damaged key gives a fault with its key, its line and a hint."""
    folder = make_round(tmp_path / "round", changes=[("round.toml", old, new)])
    faults = [f for f in check_round(folder) if not f.warning]
    assert [f for f in faults if f.key == key and words in f.message], [str(f) for f in faults]
    if key:
        assert all(f.line is not None for f in faults if f.file == "round.toml")
    with pytest.raises(RoundFaults):
        open_round(folder, sound_only=True)


def test_a_nested_table_has_its_own_line(tmp_path: Path) -> None:
    """A fault in the second of two nested tables is told at the line of that very key."""
    second = '[[depot.arriving]]\non = 2026-01-20\nclass = "A1"\namount = "2 kWh"\n[[depot]]\nname = "south"'
    folder = make_round(tmp_path / "round", changes=[("round.toml", '[[depot]]\nname = "south"', second)])
    (fault,) = [f for f in check_round(folder) if "amount" in f.key]
    lines = (folder / "round.toml").read_text(encoding="utf-8").splitlines()
    assert fault.line is not None and lines[fault.line - 1] == 'amount = "2 kWh"'


CELL_FAULTS = [
    ("customers.csv", "K-12,New house", "K-01,New house", 13, "customer", "stands in row 2 already"),
    ("customers.csv", "K-12,New house", ",New house", 13, "customer", "nothing is written"),
    ("customers.csv", "K-12,New house,valley", "K-12,New house,vale", 13, "area", '"vale" is no area'),
    ("customers.csv", "K-12,New house,valley,", "K-12,New house,valley,west", 13, "depot", "no depot"),
    ("customers.csv", "47.200,11.430", "47.200,", 13, "longitude", "nothing is written"),
    ("customers.csv", "47.200,11.430", "147.2,11.430", 13, "latitude", "-90 to 90"),
    ("customers.csv", "620,A1,4000", "620,A7,4000", 13, "classes", '"A7" is no class'),
    ("customers.csv", "620,A1,4000,400", "620,A1,4 stere,400", 13, "store_kg", "unit"),
    ("customers.csv", "620,A1,4000,400", "620,A1,1e4,400", 13, "store_kg", "powers of ten"),
    ("customers.csv", "620,A1,4000,400", "x,A1,4000,400", 13, "elevation_m", "number"),
    ("customers.csv", "620,A1,4000,400", '620,A1,"4,5",400', 13, "store_kg", "decimal point"),
    ("customers.csv", "620,A1,4000,400", "620,A1,4,1", 13, "store_kg", "from 50 to"),
    ("customers.csv", "4000,400,top-up", "4000,400,vendor", 13, "contract", '"top-up", "on request"'),
    ("customers.csv", "Mon;Tue;Wed", "Mon;Day", 3, "weekdays", "Mon;Tue"),
    ("customers.csv", "07:00,11:30", "7 Uhr,11:30", 5, "from", "22:30"),
    ("customers.csv", "15 %", "150 %", 2, "hot_water_share", "whole"),
    ("customers.csv", ",K-03", ",K-02", 3, "split_with", "with itself"),
    ("customers.csv", ",,yes,,555 0103", ",,ja,,555 0103", 4, "call_ahead", "yes or no"),
    ("orders.csv", "2026-0118,K-07", "2026-0118,K-99", 3, "customer", 'no customer "K-99"'),
    ("deliveries.csv", "K-11,2025-10-01", "K-11,01.10.2025", 14, "date", "2025-10-01"),
    ("deliveries.csv", "K-11,2025-10-01,3900", "K-11,2025-10-01,3.9", 14, "kg", "from 20 to"),
    ("readings.csv", "2026-01-09,,40", "2026-01-09,,140", 3, "percent", "from 0 to 100"),
    ("readings.csv", "2026-01-09,,40", "2026-01-09,4000,40", 3, "percent", "both written"),
    ("readings.csv", "2026-01-09,,40", "2026-01-09,,", 3, "kg", "neither"),
    ("orders.csv", "2026-01-13,2026-01-16", "2026-01-17,2026-01-16", 2, "to", "lies before"),
    ("orders.csv", "2026-0118,", "2026-0117,", 3, "order", "stands in row 2"),
    ("orders.csv", "K-07,full", "K-07,half", 3, "kg", "number"),
]


@pytest.mark.parametrize(("file", "old", "new", "row", "column", "words"), CELL_FAULTS)
def test_each_bad_cell_is_named_at_its_row(
    tmp_path: Path, file: str, old: str, new: str, row: int, column: str, words: str
) -> None:
    """One damaged cell gives one fault at its row and column, with what to write."""
    folder = make_round(tmp_path / "round", changes=[(file, old, new)])
    faults = [f for f in check_round(folder) if not f.warning]
    said = faults_at(faults, file, row, column)
    assert len(said) == 1 and words in said[0], [str(f) for f in faults]
    with pytest.raises(RoundFaults) as error:
        open_round(folder)
    assert error.value.faults == tuple(faults)


def test_every_fault_of_every_file_is_told_at_once(tmp_path: Path) -> None:
    """Faults of several files and rows are found in one go, sorted by file and row."""
    folder = make_round(
        tmp_path / "round",
        changes=[
            ("customers.csv", "620,A1,4000", "620,A9,4000"),
            ("customers.csv", "5000,,on request,10,2.4", "5000,,perhaps,10,2.4"),
            ("deliveries.csv", "K-11,2025-10-01", "K-77,yesterday"),
            ("readings.csv", "K-12,2026-01-10,2600", "K-12,2026-13-10,2600"),
            ("orders.csv", "K-03,3000", "K-98,3000"),
        ],
    )
    assert [(f.file, f.line, f.key) for f in check_round(folder)] == [
        ("customers.csv", 6, "contract"),
        ("customers.csv", 13, "classes"),
        ("deliveries.csv", 14, "customer"),
        ("deliveries.csv", 14, "date"),
        ("orders.csv", 2, "customer"),
        ("readings.csv", 4, "date"),
    ]


def test_sound_rows_on_request(tmp_path: Path) -> None:
    """With the sound rows alone the others are left out and told of; numbers still fit the customers."""
    folder = make_round(
        tmp_path / "round",
        changes=[
            ("customers.csv", "K-01,Hofer,valley", "K-01,Hofer,vale"),
            ("readings.csv", "K-12,2026-01-10", "K-12,2026-13-10"),
        ],
    )
    with pytest.raises(RoundFaults):
        open_round(folder)
    found = open_round(folder, sound_only=True)
    assert [(f.file, f.line) for f in found.left_out] == [("customers.csv", 2), ("readings.csv", 4)]
    assert len(found.customers) == 11 and "K-01" not in found.customers.number_of
    assert len(found.deliveries) == 11  # two were K-01's
    ids = found.customers.id[found.deliveries.customer]
    assert ids.tolist()[:3] == ["K-02", "K-02", "K-03"]
    assert found.customers.id[found.customers.split_with[found.customers.number_of["K-02"]]] == "K-03"
    assert found.customers.id[found.readings.customer].tolist() == ["K-04"]


def test_no_sound_customer_is_no_round(tmp_path: Path) -> None:
    """A file without customers, and one with faulty ones alone, are refused in both ways of opening."""
    header = CUSTOMERS.splitlines()[0] + "\n"
    empty = {"customers.csv": header, "deliveries.csv": None, "readings.csv": None, "orders.csv": None}
    folder = make_round(tmp_path / "round", files=empty)
    with pytest.raises(RoundFaults, match="no customer yet"):
        open_round(folder, sound_only=True)
    (folder / "customers.csv").write_text(header + "K-1" + "," * 25 + "\n", encoding="utf-8")
    with pytest.raises(RoundFaults, match="nothing is written"):
        open_round(folder, sound_only=True)


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize(
    ("mark", "start"), [(",", ""), (";", ""), (";", "\ufeff"), ("\t", ""), (";", "sep=;\n")]
)
def test_files_as_spreadsheets_write_them(tmp_path: Path, mark: str, start: str, ending: str) -> None:
    """Any line end, a byte order mark, semicolons or tabs with decimal commas give the same arrays."""
    folder = make_round(tmp_path / "round")
    usual = open_round(folder)
    frame = pd.read_csv(folder / "customers.csv", dtype=str, keep_default_na=False)
    if mark != ",":
        for name in ("latitude", "longitude", "max_width_m"):
            frame[name] = frame[name].str.replace(".", ",")
    text = start + frame.to_csv(index=False, sep=mark)
    (folder / "customers.csv").write_bytes(text.replace("\n", ending).encode())
    found = open_round(folder)
    for name in ("latitude", "longitude", "max_width_m", "store_kg", "takes", "weekdays"):
        np.testing.assert_array_equal(getattr(found.customers, name), getattr(usual.customers, name), name)
    assert found.customers.id.tolist() == usual.customers.id.tolist()
    first = 3 if start.startswith("sep") else 2
    assert found.customers.row.tolist() == list(range(first, first + 12))


def test_a_long_file_with_old_line_ends_is_no_single_line(tmp_path: Path) -> None:
    """Rows parted by carriage returns alone count as lines, however long the file is."""
    rows = "".join(
        f"K-01,{2000 + n // 300}-{n % 12 + 1:02d}-{n % 25 + 1:02d},{2000 + n}\r" for n in range(900)
    )
    folder = make_round(tmp_path / "round")
    (folder / "deliveries.csv").write_bytes(b"customer,date,kg\r" + rows.encode())
    assert check_round(folder) == [] and len(open_round(folder).deliveries) == 900


def test_a_point_with_two_readings_is_refused(tmp_path: Path) -> None:
    """In a file with decimal commas "1.050" may be a thousand and fifty or one: it is asked for."""
    text = "customer;latitude;longitude;store_kg;elevation_m\nK-01;47,2;11,4;5200;1.050\n"
    folder = make_round(tmp_path / "round", files={"customers.csv": text, "orders.csv": None})
    said = faults_at(check_round(folder), "customers.csv", 2, "elevation_m")
    assert said and '"1050" or "1,050"' in said[0]


def test_rows_count_as_a_spreadsheet_shows_them(tmp_path: Path) -> None:
    """Blank rows and a cell with a line break in it do not shift the row of a fault."""
    text = DELIVERIES.replace("K-02,2025-03-03", "\n,,,,,\nK-02,2025-03-03", 1)
    text = text.replace("K-02,2025-11-10,5200,A1,T1,yes", 'K-02,2025-11-10,5200,A1,"T\n1",yes')
    text = text.replace("K-11,2025-10-01", "K-11,2025-10-99")
    folder = make_round(tmp_path / "round", files={"deliveries.csv": text})
    assert [(f.line, f.key) for f in check_round(folder)] == [(16, "date")]
    assert len(open_round(folder, sound_only=True).deliveries) == 12


def test_a_row_that_is_too_long_does_not_hide_the_others(tmp_path: Path) -> None:
    """A row with more cells than columns is a fault of its own; the rest is read and checked."""
    folder = make_round(
        tmp_path / "round",
        changes=[
            ("deliveries.csv", "K-02,2025-03-03,4800", "K-02,2025-03-03,4,800"),
            ("deliveries.csv", "K-11,2025-10-01", "K-11,2025-10-99"),
        ],
    )
    faults = check_round(folder)
    assert [(f.line, f.key) for f in faults] == [(4, ""), (14, "date")]
    assert "7 cells, but the header names 6 columns" in faults[0].message
    found = open_round(folder, sound_only=True).deliveries
    assert len(found) == 11 and found.filled_full.all()


def test_short_rows_and_empty_columns_at_the_end_are_sound(tmp_path: Path) -> None:
    """Cells left out at the end of a row are empty; columns without a name and cell do not matter."""
    folder = make_round(
        tmp_path / "round",
        files={"readings.csv": "customer,date,kg,percent,,\nK-01,2026-01-04,2400\nK-04,2026-01-09,,40,,\n"},
    )
    assert check_round(folder) == []
    assert open_round(folder).readings.kg.tolist() == [2400, 4800]


HEADER_FAULTS = [
    ("customer,date,kg,percent", "customer,date,kilos,percent", "kilos", "unknown column"),
    ("customer,date,kg,percent", "customer,dat,kg,percent", "dat", 'did you mean "date"'),
    ("customer,date,kg,percent", "customer,date,kg,kg", "kg", "named twice"),
    ("customer,date,kg,percent", "date,x_customer,kg,percent", "customer", "missing"),
]


@pytest.mark.parametrize(("old", "new", "key", "words"), HEADER_FAULTS)
def test_columns_are_named_rightly(tmp_path: Path, old: str, new: str, key: str, words: str) -> None:
    """An unknown, doubled or missing column is a fault of the first row."""
    folder = make_round(tmp_path / "round", changes=[("readings.csv", old, new)])
    said = faults_at(check_round(folder), "readings.csv", 1, key)
    assert said and any(words in one for one in said)


def test_ids_are_text(tmp_path: Path) -> None:
    """Zeros in front, letters of any script and cells like formulas are ids; an odd one is refused."""
    rows = ["0042", "Ünal", "'=1+2", "客户"]
    text = "customer,latitude,longitude,store_kg\n" + "".join(f"{i},47.2,11.4,5000\n" for i in rows)
    none = {"deliveries.csv": None, "readings.csv": None, "orders.csv": None}
    toml = re.sub(r"\[\[area\]\].*?(?=\[\[depot\]\])", "", ROUND, flags=re.DOTALL)
    folder = make_round(tmp_path / "round", files={"customers.csv": text, "round.toml": toml, **none})
    assert open_round(folder).customers.id.tolist() == ["0042", "Ünal", "=1+2", "客户"]
    bad = text + "x" * 81 + ',47.2,11.4,5000\n"a\x07b",47.2,11.4,5000\n'
    (folder / "customers.csv").write_text(bad, encoding="utf-8")
    assert [(f.line, str(f.rule)) for f in check_round(folder)] == [
        (6, "too long"),
        (7, "control characters"),
    ]


def test_units_behind_a_number_are_read(tmp_path: Path) -> None:
    """A column's own unit may be left out; another may be written."""
    folder = make_round(
        tmp_path / "round",
        changes=[("customers.csv", "A1,5200,500,top-up,25", "A1,5.2 t,0.5 t,top-up,2500 cm"),
                 ("customers.csv", "on request,10,2.4,18", "on request,10,240 cm,18000 kg")],
    )  # fmt: skip
    customers = open_round(folder).customers
    assert (customers.store_kg[0], customers.reserve_kg[0], customers.hose_m[0]) == (5200, 500, 25)
    assert customers.max_weight_kg[4] == 18000 and customers.max_width_m[4] == pytest.approx(2.4)


def test_many_bad_cells_do_not_spoil_the_good_ones(tmp_path: Path) -> None:
    """After hundreds of cells that are no numbers, one with a unit behind it is still read."""
    rows = "".join(f"K-01,2024-01-01,{n} barrels\n" for n in range(600))
    text = f"customer,date,kg\n{rows}K-01,2024-05-01,4.1 t\n"
    found = open_round(make_round(tmp_path / "round", files={"deliveries.csv": text}), sound_only=True)
    assert found.deliveries.kg.tolist() == [4100] and len(found.left_out) == 600


def test_a_hundred_thousand_faults_are_all_there_and_shown_by_kind(tmp_path: Path) -> None:
    """Every one of very many faults is kept; what a person sees is the first 200 and a count of each kind."""
    n = 100_000
    lines = ["customer,date,kg", *(f"K-{i % 20 + 1:02d},2025-13-{i % 28 + 1:02d},{i}x" for i in range(n))]
    folder = make_round(tmp_path / "round", files={"deliveries.csv": "\n".join(lines) + "\n"})
    faults = check_round(folder)
    assert len(faults) == n + n + 8  # a day and an amount in each row, and eight customers nobody knows
    assert faults[-1].line == n + 1
    file, key, rule, number = counted(faults)[0]
    assert (file, key, str(rule), number) == ("deliveries.csv", "date", "not a date", n)
    text = [str(line) for line in fault_lines(faults)]
    assert len(text) == 200 + 1 + 3
    assert text[200] == f"… and {len(faults) - 200:,} more. In all:"
    assert "  8 × deliveries.csv: customer: unknown customer" in text
    error = RoundFaults(faults)
    assert len(error.faults) == len(faults) and len(str(error)) < 1000


@pytest.mark.parametrize(
    ("file", "data", "words"),
    [
        ("customers.csv", b"", "empty"),
        ("customers.csv", b"\x00\x01", "binary"),
        ("customers.csv", "customer;näme".encode("latin-1"), "UTF-8"),
        ("orders.csv", b'order,customer,kg,to\n"7,K-01,3000,2026-01-20\n', "CSV"),
        ("round.toml", b"", "empty"),
        ("round.toml", b"name = ", "not TOML"),
    ],
)
def test_a_file_that_cannot_be_read_says_why(tmp_path: Path, file: str, data: bytes, words: str) -> None:
    """A broken file is one fault among the others, never a traceback."""
    folder = make_round(tmp_path / "round")
    (folder / file).write_bytes(data)
    assert any(f.file == file and words in f.message for f in check_round(folder))


def test_a_folder_that_is_none(tmp_path: Path) -> None:
    """No folder, a file, and a folder without customers are told in one sentence."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert "no such folder" in check_round(tmp_path / "none")[0].message
    assert "this is a file" in check_round(tmp_path / "file")[0].message
    folder = make_round(tmp_path / "round", files={"customers.csv": None})
    assert any("no customers.csv" in f.message for f in check_round(folder))
