"""A supplier's own spreadsheet becomes a table of the round, by a mapping of columns, units and words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from fuelplan import answers
from fuelplan.records.folder.text_files import EditError
from fuelplan.records.importing import import_table, write_import
from fuelplan.records.round import check_round, open_round
from fuelplan.records.tables import RoundFaults
from fuelplan.records.tables.reading import read_bytes
from tests.round_folders import DELIVERIES, make_round
from tests.xlsx_files import xlsx

OWN_CUSTOMERS = """\
Kundennr;Ort;Breite;Länge;Silo (t);Schlauch;Vertrag;Anhänger
0017;Hof am Berg;47,1601;11,3002;9,5;25;Betreuung;N
0018;Mühle;47,2400;11,4100;1.200,5;18;Abruf;J
"""
CUSTOMER_MAP = {
    "Kundennr": "customer",
    "Ort": "name",
    "Breite": "latitude",
    "Länge": "longitude",
    "Silo (t)": "store_kg [t]",
    "Schlauch": "hose_m",
    "Vertrag": "contract [Betreuung=top-up; Abruf=on request]",
    "Anhänger": "trailer_ok [J=yes; N=no]",
}
OWN_DELIVERIES = """\
Kunde,Datum,Menge,Sorte,Fahrer
K-01,06.10.2025,4.12,A1,Max
K-02,3.11.2025,5.1,A1,Eva
K-12,30.02.2025,2.2,A1,Eva
K-77,01.12.2025,2.2,A1,Eva
K-05,02.12.2025,viel,A1,Eva
"""
DELIVERY_MAP = {"Kunde": "customer", "Datum": "date [%d.%m.%Y]", "Menge": "kg [t]", "Sorte": "class"}


def written(folder: Path, text: str) -> Path:
    """Write a supplier's own file."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "own.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_columns_units_and_words_are_ours_afterwards(tmp_path: Path) -> None:
    """Tonnes become kilograms, decimal commas points, own words ours; ids keep their zeros."""
    frame, faults = import_table(written(tmp_path, OWN_CUSTOMERS), CUSTOMER_MAP, "customers")
    assert frame.loc[2].to_dict() == {
        "customer": "0017", "name": "Hof am Berg", "latitude": "47.1601", "longitude": "11.3002",
        "store_kg": "9500", "contract": "top-up", "hose_m": "25", "trailer_ok": "no",
    }  # fmt: skip
    assert frame.loc[3, "store_kg"] == "1200500" and frame.loc[3, "trailer_ok"] == "yes"
    assert [(f.line, f.key, str(f.rule)) for f in faults] == [(3, "store_kg", "cannot be meant")]


def test_faults_stand_at_the_rows_of_the_source(tmp_path: Path) -> None:
    """A date that is none and a word for a number are told at their row; what can be read is read."""
    frame, faults = import_table(written(tmp_path, OWN_DELIVERIES), DELIVERY_MAP, "deliveries")
    assert [(f.file, f.line, f.key) for f in faults] == [("own.csv", 4, "date"), ("own.csv", 6, "kg")]
    assert "30.02.2025" in faults[0].message and "viel" in faults[1].message
    assert frame.loc[3].tolist() == ["K-02", "2025-11-03", "5100", "A1"]
    assert frame.index.tolist() == [2, 3, 4, 5, 6]


def test_an_import_joins_the_folder_once(tmp_path: Path) -> None:
    """Sound rows are added, those that stand there already are not; doing it again adds nothing."""
    folder = make_round(tmp_path / "round")
    frame, faults = import_table(written(tmp_path, OWN_DELIVERIES), DELIVERY_MAP, "deliveries")
    sound = frame.drop(index=[f.line for f in faults])
    with pytest.raises(RoundFaults, match="K-77"):  # whom the round does not know
        write_import(folder, sound, "deliveries")
    assert (folder / "deliveries.csv").read_text(encoding="utf-8") == DELIVERIES
    sound = sound[sound["customer"] != "K-77"]
    assert write_import(folder, sound, "deliveries") == (1, 1)  # K-01's stands there with 4120 kg
    text = (folder / "deliveries.csv").read_text(encoding="utf-8")
    assert text == DELIVERIES + "K-02,2025-11-03,5100,A1,,\n"
    assert write_import(folder, sound, "deliveries") == (0, 2)
    assert (folder / "deliveries.csv").read_text(encoding="utf-8") == text
    assert check_round(folder) == []


def test_an_import_can_take_the_place_of_a_file(tmp_path: Path) -> None:
    """The old file is kept beside the new one."""
    folder = make_round(tmp_path / "round")
    frame, _ = import_table(written(tmp_path, OWN_DELIVERIES), DELIVERY_MAP, "deliveries")
    assert write_import(folder, frame.loc[[2, 3]], "deliveries", instead=True) == (2, 0)
    assert (folder / "deliveries.before_import.csv").read_text(encoding="utf-8") == DELIVERIES
    assert open_round(folder).deliveries.kg.tolist() == [4120, 5100]


def test_a_new_folder_begins_with_an_import(tmp_path: Path) -> None:
    """Where there are no customers yet, the imported ones are the file; a formula is text in it."""
    none = {"customers.csv": None, "deliveries.csv": None, "readings.csv": None, "orders.csv": None}
    folder = make_round(tmp_path / "round", files=none)
    own = OWN_CUSTOMERS.replace("Mühle", "=cmd|x").replace("1.200,5", "4,5")
    frame, faults = import_table(written(tmp_path, own), CUSTOMER_MAP, "customers")
    assert faults == [] and write_import(folder, frame.assign(area="valley"), "customers") == (2, 0)
    assert "'=cmd|x" in (folder / "customers.csv").read_text(encoding="utf-8")
    customers = open_round(folder).customers
    assert customers.id.tolist() == ["0017", "0018"] and customers.name[1] == "=cmd|x"
    assert customers.top_up.tolist() == [True, False] and customers.store_kg.tolist() == [9500, 4500]


def test_a_semicolon_file_is_joined_in_its_own_way(tmp_path: Path) -> None:
    """Rows added to a file with semicolons and decimal commas are written so, and found again."""
    text = "customer;date;kg;class\nK-01;2025-10-06;4120,0;A1\n"
    folder = make_round(tmp_path / "round", files={"deliveries.csv": text})
    own = "Kunde,Datum,Menge,Sorte\nK-01,06.10.2025,4.12,A1\nK-02,03.11.2025,5.1005,A1\n"
    frame, _ = import_table(written(tmp_path, own), DELIVERY_MAP, "deliveries")
    assert write_import(folder, frame, "deliveries") == (1, 1)
    assert (folder / "deliveries.csv").read_text(encoding="utf-8") == text + "K-02;2025-11-03;5100,5;A1\n"


def test_percent_and_full_orders(tmp_path: Path) -> None:
    """Shares keep their per cent, and "full" is an amount of an order."""
    own = written(tmp_path, "Nr,Wann,Stand\nK-01,2026-01-04,0.4\n")
    mapping = {"Nr": "customer", "Wann": "date", "Stand": "percent [%]"}
    frame, faults = import_table(own, mapping, "readings")
    assert frame.loc[2, "percent"] == "0.4" and faults == []
    own = written(tmp_path, "Nr,K,Menge,bis\n9,K-01,full,2026-01-20\n10,K-01,halb,2026-01-20\n")
    mapping = {"Nr": "order", "K": "customer", "Menge": "kg", "bis": "to"}
    frame, faults = import_table(own, mapping, "orders")
    assert [(f.line, f.key) for f in faults] == [(3, "kg")] and frame.loc[2, "kg"] == "full"


MAPPINGS = [
    ({**DELIVERY_MAP, "Liter": "note"}, "Liter", "no such column; it has Kunde, Datum"),
    ({**DELIVERY_MAP, "Fahrer": "driver"}, "Fahrer", '"driver" names no column of deliveries'),
    ({**DELIVERY_MAP, "Menge": "kg [m3]"}, "Menge", "is a volume"),
    ({**DELIVERY_MAP, "Datum": "date [dmy]"}, "Datum", "not a valid form of a date"),
    ({**DELIVERY_MAP, "Sorte": "class [A1]"}, "Sorte", "not a valid list of words"),
    ({**DELIVERY_MAP, "Fahrer": "customer"}, "customer", "two own columns"),
    ({"Kunde": "customer", "Menge": "kg [t]"}, "date", "no own column becomes date"),
]


@pytest.mark.parametrize(("mapping", "key", "words"), MAPPINGS)
def test_a_mapping_that_cannot_be_is_refused(
    tmp_path: Path, mapping: dict[str, str], key: str, words: str
) -> None:
    """Every fault of the mapping is told by the column it concerns."""
    with pytest.raises(RoundFaults) as error:
        import_table(written(tmp_path, OWN_DELIVERIES), mapping, "deliveries")
    assert any(f.key == key and words in f.message for f in error.value.faults), str(error.value)


def test_what_cannot_be_imported_says_why(tmp_path: Path) -> None:
    """No file, an empty one, and a kind of table that is not imported."""
    for path, words in ((tmp_path / "none.csv", "no file"), (written(tmp_path, ""), "empty")):
        with pytest.raises(RoundFaults, match=words):
            import_table(path, {}, "customers")
    with pytest.raises(RoundFaults, match="cannot be imported"):
        import_table(written(tmp_path, OWN_DELIVERIES), {}, "wishes")


def test_customers_in_parquet_are_not_shadowed(tmp_path: Path) -> None:
    """A CSV file beside customers.parquet would contradict it: refused. So are columns the file lacks."""
    folder = make_round(tmp_path / "round")
    frame = pd.DataFrame({"customer": ["K-1"], "hose_m": ["3"]})
    (folder / "customers.csv").write_text("customer,latitude,longitude,store_kg\n", encoding="utf-8")
    with pytest.raises(EditError, match="no column hose_m"):
        write_import(folder, frame, "customers")
    (folder / "customers.parquet").write_bytes(b"")
    with pytest.raises(EditError, match=r"customers\.parquet"):
        write_import(folder, frame, "customers")


def spreadsheet(folder: Path, *rows: tuple[str | float, ...]) -> Path:
    """Write an .xlsx file of these rows, the first of them on line 3."""
    cells = [
        "".join(
            f"<c><v>{cell}</v></c>"
            if isinstance(cell, float | int)
            else f'<c t="inlineStr"><is><t>{cell}</t></is></c>'
            for cell in row
        )
        for row in rows
    ]
    path = folder / "own.XLSX"
    path.write_bytes(xlsx("".join(f'<row r="{3 + i}">{row}</row>' for i, row in enumerate(cells))))
    return path


def test_a_spreadsheet_file_is_taken_as_it_is_saved(tmp_path: Path) -> None:
    """Days as numbers, amounts with decimals, ids as text; faults at the rows of the spreadsheet."""
    own = spreadsheet(
        tmp_path,
        ("Kunde", "Datum", "Menge", "Sorte"),
        ("K-01", 45936, 4.12, "A1"),
        ("K-02", "3.11.2025", 5.1, "A1"),
        ("K-05", 45993, "viel", "A1"),
    )
    frame, faults = import_table(own, DELIVERY_MAP, "deliveries")
    assert frame.loc[4].to_dict() == {"customer": "K-01", "date": "2025-10-06", "class": "A1", "kg": "4120"}
    assert frame.loc[5, "date"] == "2025-11-03"
    assert [(fault.file, fault.line, fault.key) for fault in faults] == [("own.XLSX", 6, "kg")]
    plain = {**DELIVERY_MAP, "Datum": "date"}
    assert import_table(own, plain, "deliveries")[0]["date"].tolist() == [
        "2025-10-06", "3.11.2025", "2025-12-02",
    ]  # fmt: skip
    with pytest.raises(RoundFaults) as missing:
        import_table(own, {**DELIVERY_MAP, "Kundin": "note"}, "deliveries")
    assert [(fault.line, fault.key) for fault in missing.value.faults] == [(3, "Kundin")]


def test_a_number_of_a_csv_file_is_no_day(tmp_path: Path) -> None:
    """Only spreadsheet files keep days as numbers."""
    own = written(tmp_path, "customer,date,kg\nK-01,45936,4000\n")
    for how in ("date", "date [%d.%m.%Y]"):
        frame, faults = import_table(own, {"customer": "customer", "date": how, "kg": "kg"}, "deliveries")
        assert frame["date"].tolist() == ["45936"] and [fault.key for fault in faults] == ["date"]


def test_percentages_as_spreadsheets_keep_them(tmp_path: Path) -> None:
    """0.35 is 35 % where the person says so."""
    own = spreadsheet(tmp_path, ("Kunde", "Datum", "voll"), ("K-01", 45936, 0.35))
    mapping = {"Kunde": "customer", "Datum": "date", "voll": "percent [share]"}
    frame, faults = import_table(own, mapping, "readings")
    assert frame["percent"].tolist() == ["35"] and faults == []


def test_a_broken_spreadsheet_file_is_one_fault(tmp_path: Path) -> None:
    """It says what to hand in instead."""
    path = tmp_path / "own.xlsx"
    path.write_bytes(b"PK\x03\x04 no archive")
    with pytest.raises(RoundFaults) as broken:
        import_table(path, DELIVERY_MAP, "deliveries")
    assert "save the sheet as CSV" in broken.value.faults[0].message


def test_an_import_reads_its_file_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The names of the columns and the cells are those of one moment, and a large file is parsed once."""
    read = []

    def counted(path: Path, **more: Any) -> object:
        read.append(path.name)
        return read_bytes(path, **more)

    monkeypatch.setattr("fuelplan.records.importing.rows.read_bytes", counted)
    look = answers.look_at_import(
        make_round(tmp_path / "round"), written(tmp_path, OWN_DELIVERIES), "deliveries", DELIVERY_MAP
    )
    assert look.rows == 5 and read == ["own.csv"]


def test_a_table_may_begin_with_places_in_the_west(tmp_path: Path) -> None:
    """A number below nothing is no formula: what is put in the place of the customers is read as it was."""
    folder = make_round(tmp_path / "round")
    text = (folder / "customers.csv").read_text(encoding="utf-8")
    names = text.splitlines()[0].split(",")
    west = [
        "-" + cell if name == "longitude" else cell
        for name, cell in zip(names, text.splitlines()[1].split(","), strict=True)
    ]
    own = written(tmp_path / "own", "\n".join([",".join(names), ",".join(west)]) + "\n")
    frame, faults = import_table(own, {name: name for name in names}, "customers")
    assert faults == [] and write_import(folder, frame, "customers", instead=True) == (1, 0)
    assert float(open_round(folder, sound_only=True).customers.longitude[0]) < 0
