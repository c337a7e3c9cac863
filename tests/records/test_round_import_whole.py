"""A supplier's table comes into a round whole: rows are counted, letters shown, nothing is swallowed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fuelplan.cli import main
from fuelplan.records.round import check_round, open_round
from tests.round_folders import DELIVERIES, make_round

HEAD = "Kunde;Datum;Menge;Notiz\n"
COLUMNS = ("customer=Kunde", "date=Datum [%d.%m.%Y]", "kg=Menge [t]")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound round."""
    return make_round(tmp_path / "round")


def take(
    capsys: pytest.CaptureFixture[str], folder: Path, content: str | bytes, *options: str,
    columns: tuple[str, ...] = COLUMNS, kind: str = "deliveries",
) -> tuple[int, dict[str, object]]:  # fmt: skip
    """Import a table; return the exit status and the JSON document."""
    file = folder.parent / "own.csv"
    file.write_bytes(content if isinstance(content, bytes) else content.encode())
    given = [part for column in columns for part in ("--column", column)]
    with pytest.raises(SystemExit) as left:
        main(["import", str(folder), str(file), "--as", kind, *given, *options, "--json"])
    return int(left.value.code or 0), json.loads(capsys.readouterr().out)


OPEN = [
    'K-01;06.10.2025;4,12;"on time\nK-02;03.11.2025;5,1;\nK-05;02.12.2025;2,2;\n',
    'K-01;06.10.2025;4,12;"on time\nK-02;03.11.2025;5,1;"\nK-05;02.12.2025;2,2;\n',
    'K-01;06.10.2025;4,12;"on time\nK-02;03.11.2025;5,1;"late"\nK-05;02.12.2025;2,2;\n',
]


@pytest.mark.parametrize("rows", OPEN)
@pytest.mark.parametrize("option", [(), ("--sound-only",)])
def test_an_open_quotation_mark_is_refused(
    folder: Path, capsys: pytest.CaptureFixture[str], rows: str, option: tuple[str, ...]
) -> None:
    """Rows behind it are not lost, also not where faulty rows are to be left out: nothing is written."""
    status, found = take(capsys, folder, HEAD + rows, *option)
    assert status == 2 and "quotation mark" in json.dumps(found["error"])
    assert (folder / "deliveries.csv").read_text() == DELIVERIES


def test_the_same_mark_in_a_table_of_the_round_is_a_fault(tmp_path: Path) -> None:
    """Written by hand into `orders.csv` or anywhere: `check` names the row."""
    text = 'customer,date,kg,class,x_note\nK-01,2025-10-06,4120,A1,"on time\nK-02,2025-11-03,5100,A1,"\n'
    folder = make_round(tmp_path / "round", files={"deliveries.csv": text})
    assert [(f.file, f.line) for f in check_round(folder) if "quotation mark" in f.message] == [
        ("deliveries.csv", 2)
    ]


def test_every_row_is_counted(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Rows of the file = added + there already + left out, rows that are too long among them."""
    rows = (
        "K-01;06.10.2025;4,12;A1\nK-02;03.11.2025;5,1;A1\nK-05;02.12.2025;2;2;x;y\nK-05;30.02.2025;2,2;A1\n\n"
        "K-05;02.12.2025;2,4;A1\n"
    )
    status, found = take(capsys, folder, HEAD + rows, "--sound-only", columns=(*COLUMNS, "class=Notiz"))
    assert status == 0
    assert (found["rows"], found["added"], found["already_there"], found["left_out"]) == (5, 2, 1, 2)


def test_what_has_not_come_yet_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A delivery of 2099 and a reading of tomorrow are faults of their rows; an order may be for later."""
    status, found = take(capsys, folder, HEAD + "K-01;06.10.2099;4,12;\n")
    assert status == 2 and "has not come yet" in json.dumps(found["error"])
    reading = "Kunde;Datum;Menge\nK-01;06.10.2099;2,1\n"
    status, found = take(capsys, folder, reading, kind="readings")
    assert status == 2 and "has not come yet" in json.dumps(found["error"])
    order = "order;customer;from;to;kg;class\nO-77;K-02;2099-10-06;2099-10-09;2000;A1\n"
    status, found = take(capsys, folder, order, kind="orders", columns=())
    assert status == 0 and found["added"] == 1


@pytest.mark.parametrize("sign", ["\x1b[2J", "\u202e"])
def test_signs_that_nobody_sees_are_refused(
    folder: Path, capsys: pytest.CaptureFixture[str], sign: str
) -> None:
    """In a name that is taken over; in a column that is not taken they do no harm."""
    text = f"Kundennr;Ort;Breite;Laenge;Silo;Notiz\nN-1;Hof{sign} am Berg;47.16;11.30;9.5;x\n"
    columns = ("customer=Kundennr", "name=Ort", "latitude=Breite", "longitude=Laenge", "store_kg=Silo [t]")
    before = (folder / "customers.csv").read_bytes()
    status, found = take(capsys, folder, text, "--sound-only", columns=columns, kind="customers")
    assert status == 0 and found["left_out"] == 1 and (folder / "customers.csv").read_bytes() == before
    assert "cannot be seen" in json.dumps(found["faults"])
    harmless = HEAD + f"K-02;03.11.2025;5,1;a{sign}b\n"
    status, found = take(capsys, folder, harmless)
    assert status == 0 and found["added"] == 1


POLISH = "Numer;Nazwa;lat;lon;silo;area\nN-1;Łódź, późno;47.16;11.30;9.5;valley\n"
GERMAN = "Numer;Nazwa;lat;lon;silo;area\nN-1;Müllers Gärtnerei;47.16;11.30;9.5;valley\n"


@pytest.mark.parametrize(
    ("text", "encoding"),
    [(POLISH, "cp1250"), (GERMAN, "cp1252"), (POLISH, "utf-16"), (POLISH, "utf-16-le"), (GERMAN, "utf-8")],
)
def test_letters_are_those_that_were_written(
    folder: Path, capsys: pytest.CaptureFixture[str], text: str, encoding: str
) -> None:
    """Letters of one byte are guessed and the guess shown; those of two bytes are read."""
    columns = ("customer=Numer", "name=Nazwa", "latitude=lat", "longitude=lon", "store_kg=silo [t]")
    status, found = take(capsys, folder, text.encode(encoding), columns=columns, kind="customers")
    assert status == 0 and found["encoding"] == encoding
    customers = open_round(folder).customers
    assert customers.name[customers.number_of["N-1"]] == text.splitlines()[1].split(";")[1]


def test_the_encoding_can_be_said(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A person's word decides; one that does not fit the file is refused; the text form shows the guess."""
    columns = ("customer=Numer", "name=Nazwa", "latitude=lat", "longitude=lon", "store_kg=silo [t]")
    czech = POLISH.replace("Łódź, późno", "Žďár, příští").encode("cp1250")
    status, found = take(
        capsys, folder, czech, "--encoding", "cp1250", "--preview", columns=columns, kind="customers"
    )
    assert status == 0 and found["first_rows"][0]["name"] == "Žďár, příští"  # type: ignore[index]
    status, found = take(
        capsys, folder, czech, "--encoding", "utf-8", "--preview", columns=columns, kind="customers"
    )
    assert status == 2 and "no text in utf-8" in json.dumps(found["error"])
    file = folder.parent / "own.csv"
    given = [part for column in columns for part in ("--column", column)]
    with pytest.raises(SystemExit):
        main(["import", str(folder), str(file), "--as", "customers", *given, "--preview"])
    said = capsys.readouterr().out
    assert "cp1252" in said and "Žïár" in said and "--encoding cp1250" in said
