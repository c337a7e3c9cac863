"""A folder's faults: all at once, each with its file, line, key and what to write; nothing is lost."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from fuelplan.answers import check_weather
from fuelplan.records.site.checks import check_folder
from fuelplan.records.tables import Fault
from tests.site_folders import make_site


def faults_of(folder: Path) -> list[Fault]:
    """Faults of a folder."""
    return check_folder(folder)[1]


def test_a_sound_folder_has_no_fault(tmp_path: Path) -> None:
    """The folder that the other tests damage is itself sound."""
    assert faults_of(make_site(tmp_path / "site")) == []


TOML_FAULTS = [
    ('capacity = "6 t"', 'capacity = "6 kWh"', "store.capacity", "is an energy"),
    ('capacity = "6 t"', 'capacity = "6,5 t"', "store.capacity", "decimal point"),
    ('capacity = "6 t"', "capacity = 6", "store.capacity", "unit"),
    ('capacity = "6 t"', 'capacity = "6 ton"', "store.capacity", "short_ton"),
    ('capacity = "6 t"', 'kapacity = "6 t"', "store.kapacity", 'did you mean "capacity"'),
    ('capacity = "6 t"', 'capacity = "9**9**9 t"', "store.capacity", "9**9**9"),
    ('reserve = "300 kg"', "", "store.reserve", "missing"),
    ('reserve = "300 kg"', 'reserve = "7 t"', "store.reserve", "no less than what the store can give"),
    ('smallest_drop = "1.5 t"', 'smallest_drop = "5.9 t"', "supply.smallest_drop", "never fits"),
    ('lead_time = "4 to 10 working days"', 'lead_time = "10 to 4 working days"', "supply.lead_time", "10"),
    ('country = "DE"', 'country = "XX"', "place.country", "XX"),
    ('time_zone = "Europe/Berlin"', 'time_zone = "Europe/Bärlin"', "place.time_zone", "not a valid time"),
    ('file = "weather.csv"', 'file = "../weather.csv"', "weather.file", "outside"),
    ('file = "weather.csv"', 'file = "wether.csv"', "weather.file", "no file"),
    ('source = "file"', 'source = "meteostat"', "place.latitude", "latitude"),
    ('pellets_a_year = "4 t"', 'pellets_a_year = "4 t"\ngas_a_year = "9 MWh"', "building", "keep the one"),
    ("format = 1", "format = 99", "format", "Update fuelplan"),
    ("format = 1", "format = -1", "format", "a whole number such as 1"),
    ("format = 1", 'format = "1"', "format", "a whole number such as 1"),
    ('price = "300 EUR/t"', 'price = "300"', "supply.price", "EUR"),
    ("format = 1", 'format = 1\ncurrency = "CHF"', "supply.price", "one money"),
    ('"4 t"\nindoor', '"0 t"\nindoor', "building.pellets_a_year", "more than 0"),
    ('"4 to 10 working days"', '"4 to 400 working days"', "supply.lead_time", "120 is the most"),
    (
        'smallest_drop = "1.5 t"',
        'smallest_drop = "1.5 t"\nstep = "50 t"',
        "supply.step",
        "more than the store holds",
    ),
    (
        'price = "300 EUR/t"',
        'price = "300 EUR/t"\nprice_history = "../prices.csv"',
        "supply.price_history",
        "outside",
    ),
    (
        'price = "300 EUR/t"',
        'price = "300 EUR/t"\nprice_history = "/prices.csv"',
        "supply.price_history",
        "outside",
    ),
    (
        'price = "300 EUR/t"',
        'price = "300 EUR/t"\nprice_history = "prices.csv"',
        "supply.price_history",
        "no file",
    ),
]


@pytest.mark.parametrize(("old", "new", "key", "words"), TOML_FAULTS)
def test_each_fault_of_site_toml_is_named_at_its_key(
    tmp_path: Path, old: str, new: str, key: str, words: str
) -> None:
    """One damaged key gives one fault, with its key and a hint."""
    folder = make_site(tmp_path / "site", changes=[(old, new)])
    before = (folder / "site.toml").read_bytes()
    found = faults_of(folder)
    assert [f.key for f in found] == [key], found
    assert words in found[0].message
    assert (folder / "site.toml").read_bytes() == before


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('reserve = "300 kg"', 'reserve = "7 t"'),
        ('smallest_drop = "1.5 t"', 'smallest_drop = "5.9 t"'),
        ('file = "weather.csv"', 'file = "wether.csv"'),
        ('country = "DE"', 'country = "XX"'),
    ],
)
def test_what_does_not_fit_together_is_named_at_its_line(tmp_path: Path, old: str, new: str) -> None:
    """Faults found only when the tables are held against each other carry the line of their key, too."""
    folder = make_site(tmp_path / "site", changes=[(old, new)])
    lines = (folder / "site.toml").read_text(encoding="utf-8").splitlines()
    assert [f.line for f in faults_of(folder)] == [lines.index(new) + 1]


def test_a_house_warmer_while_nobody_is_there(tmp_path: Path) -> None:
    """An absence kept warmer than usual is a mistake, named at its own line of the second table."""
    away = '[[away]]\nfrom = 2026-02-01\nto = 2026-02-08\nindoor = "{} degC"\n'
    folder = make_site(tmp_path / "site")
    with (folder / "site.toml").open("a", encoding="utf-8") as file:
        file.write("\n" + away.format(12) + away.format(31))
    found = faults_of(folder)
    assert [f.key for f in found] == ["away.1.indoor"]
    lines = (folder / "site.toml").read_text(encoding="utf-8").splitlines()
    assert found[0].line == lines.index('indoor = "31 degC"') + 1


def test_faults_carry_the_line_they_stand_in(tmp_path: Path) -> None:
    """Three faults in three tables come together, in the order of their lines."""
    folder = make_site(
        tmp_path / "site",
        changes=[
            ('name = "Test house"', "name = 7"),
            ('capacity = "6 t"', 'capacity = "6 kW"'),
            ('energy = "4.8 kWh/kg"', "ash = 3"),
        ],
    )
    lines = (folder / "site.toml").read_text(encoding="utf-8").splitlines()
    found = sorted(faults_of(folder), key=lambda f: f.line or 0)
    assert [lines[(f.line or 0) - 1].split(" ")[0] for f in found] == ["name", "ash", "capacity"]
    assert str(found[2]).startswith(f"site.toml:{found[2].line}: store.capacity: ")


READING_FAULTS = [
    ("2020-11-01,4 t,measured\n2020-10-01,3 t,\n", "sort the rows"),
    ("2020-11-01,-4 t,\n", "below 0"),
    ("2020-11-01,40 t,\n", "more than the store holds"),
    ("2020-11-01,130 %,\n", "full store"),
    ("2020-11-01,3,5 t,\n", "decimal comma"),
    ("2020-11-01,4 t,\n2020-11-01,4 t,\n", "the same reading stands in line 2"),
    ("2020-11-31,4 t,\n", "2020-11-31"),
    ("1.11.2020,4 t,\n", "2020-11-01"),
    ("2020-11-01,,\n", "the reading is missing"),
    (",4 t,\n", "the date is missing"),
    ("2020-11-01,4 t,guess\n", '"guess" is not known'),
    ("2020-11-01,120 cm from top,\n", "only a capacity is known"),
    ("2020-11-01,=cmd|'/c calc'!A0,\n", "number"),
    ('2020-11-01,"4 t\n', "CSV"),
]


@pytest.mark.parametrize(("rows", "words"), READING_FAULTS)
def test_faulty_readings_are_named_at_their_line(tmp_path: Path, rows: str, words: str) -> None:
    """A damaged row gives one fault in readings.csv, at a line of the file."""
    folder = make_site(tmp_path / "site", readings="date,reading,how\n" + rows)
    found = [f for f in faults_of(folder) if f.file == "readings.csv"]
    assert len(found) == 1, found
    assert words in found[0].message
    assert found[0].line is not None and found[0].line >= 2


DELIVERY_HEADER = "ordered_on,due_from,due_to,ordered,delivered_on,delivered,weighed,outcome\n"
DELIVERY_FAULTS = [
    ("2020-10-01,,,3 t,2020-09-20,3 t,yes,\n", "delivered_on", "before the order"),
    ("2020-10-01,,,3 t,2020-10-20,,yes,\n", "delivered", "amount is missing"),
    ("2020-10-01,,,,,,,\n", "ordered", "needs its amount"),
    (",,,,,3 t,,\n", "ordered_on", "no date"),
    ("2020-10-01,2020-10-09,2020-10-05,3 t,,,,\n", "due_to", "before due_from"),
    ("2020-10-01,,,3 t,2020-10-20,30 t,yes,\n", "delivered", "cannot fit"),
    ("2020-10-01,,,3 t,2020-10-20,-3 t,yes,\n", "delivered", "below 0"),
    ("2020-10-01,,,3 t,2020-10-20,3 cord,yes,\n", "delivered", "not in cubic metres"),
    ("2020-10-01,,,3 t,2020-10-20,3 t,perhaps,\n", "weighed", "yes or no"),
    ("2020-10-01,,,3 t,2020-10-20,3 t,yes,failed\n", "outcome", "failed"),
    ("2020-10-01,,,3 t,,,,\n2020-09-01,,,3 t,2020-09-08,3 t,yes,\n", "ordered_on", "sort the rows"),
]


@pytest.mark.parametrize(("rows", "column", "words"), DELIVERY_FAULTS)
def test_faulty_deliveries_are_named_at_their_column(
    tmp_path: Path, rows: str, column: str, words: str
) -> None:
    """A damaged row gives a fault in deliveries.csv, at its column."""
    found = [
        f
        for f in faults_of(make_site(tmp_path / "site", deliveries=DELIVERY_HEADER + rows))
        if f.file == "deliveries.csv"
    ]
    assert [f.key for f in found][:1] == [column], found
    assert words in found[0].message


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "the file is empty"),
        (b"PK\x03\x04\x00\x00binary", "binary file"),
        ("date,reading,how\n2020-11-01,4 t,\xe4ußerst\n".encode("latin-1"), "UTF-8"),
        (b"date;reading;how\n2020-11-01;4 t;\n", "semicolons"),
        (b"date,reeding,how\n2020-11-01,4 t,\n", 'did you mean "reading"'),
        (b"date,reading,reading\n2020-11-01,4 t,3 t\n", "named twice"),
        (b"reading,how\n4 t,\n", "missing"),
    ],
)
def test_files_that_are_no_table(tmp_path: Path, content: bytes, words: str) -> None:
    """A file that cannot be read at all is said so once, and left as it is."""
    folder = make_site(tmp_path / "site")
    (folder / "readings.csv").write_bytes(content)
    found = [f for f in faults_of(folder) if f.file == "readings.csv"]
    assert any(words in f.message for f in found), found
    assert (folder / "readings.csv").read_bytes() == content


def test_a_line_of_fifty_megabytes_is_refused_in_words(tmp_path: Path) -> None:
    """Nobody waits for a file that is no table: the size and the line are named."""
    folder = make_site(tmp_path / "site")
    with (folder / "readings.csv").open("w") as stream:
        stream.write("date,reading,how\n2020-11-01," + "9" * 50_000_000 + ",\n")
    found = faults_of(folder)
    assert len(found) == 1
    assert "50,0" in found[0].message
    with (folder / "readings.csv").open("w") as stream:
        stream.write("date,reading,how\n2020-11-01," + "9" * 2_000_000 + ",\n")
    found = faults_of(folder)
    assert [(f.file, f.line) for f in found] == [("readings.csv", 2)]
    assert "characters" in found[0].message


def test_faults_of_all_files_come_together(tmp_path: Path) -> None:
    """Nobody mends a folder one run at a time."""
    folder = make_site(
        tmp_path / "site",
        changes=[('reserve = "300 kg"', 'reserve = "300 m"')],
        readings="date,reading,how\n2020-11-01,4 blobs,\n",
        deliveries=DELIVERY_HEADER + "2020-10-01,,,x,,,,\n",
    )
    assert {f.file for f in faults_of(folder)} == {"site.toml", "readings.csv", "deliveries.csv"}


def test_a_folder_that_is_none(tmp_path: Path) -> None:
    """A missing folder, and a file in its place, are each said."""
    assert "no such folder" in faults_of(tmp_path / "nowhere")[0].message
    (tmp_path / "file").write_text("x")
    assert "this is a file" in faults_of(tmp_path / "file")[0].message


def test_a_blank_folder_says_what_is_needed(tmp_path: Path) -> None:
    """Neither reading nor delivery: what to add is shown."""
    folder = make_site(tmp_path / "site", readings="date,reading,how\n")
    assert ["neither a reading nor a delivery" in f.message for f in faults_of(folder)] == [True]


def marks(found: Sequence[Fault]) -> list[int | None]:
    """Lines of faults."""
    return [f.line for f in found]


def test_own_columns_and_blank_lines_are_kept_out_of_the_way(tmp_path: Path) -> None:
    """Columns that begin with x_ are a person's own; lines count as an editor counts them."""
    rows = "date,reading,how,x_weather\n\n2020-11-01,4 t,,sunny\n\n2020-12-01,oops,,rain\n"
    found = faults_of(make_site(tmp_path / "site", readings=rows))
    assert marks(found) == [5]


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    """Nothing outside the folder is opened, neither by its path nor through a link, and nothing of it is
    shown.
    """
    secret = tmp_path / "secret.txt"
    secret.write_text("very,secret\n1,2\n")
    linked = make_site(tmp_path / "a")
    (linked / "weather.csv").unlink()
    (linked / "weather.csv").symlink_to(secret)
    outside = make_site(tmp_path / "b", changes=[('file = "weather.csv"', 'file = "../secret.txt"')])
    for folder in (linked, outside):
        site, found = check_folder(folder)
        assert site is not None
        found = [*found, *check_weather(site)]
        assert [f.key for f in found] == ["weather.file"]
        assert "secret," not in str(found)
