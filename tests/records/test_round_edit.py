"""What the dispatcher's tool writes into a round: in one step, escaped, and never losing a row."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fuelplan.answers import UndoError, last_change, undo_change
from fuelplan.records.folder.text_files import EditError
from fuelplan.records.round import (
    Happening,
    Order,
    PublishedStop,
    Wish,
    add_delivery,
    add_happening,
    add_order,
    add_reading,
    add_wish,
    check_round,
    open_round,
    remove_row,
    write_published,
)
from fuelplan.records.tables import RoundFaults
from tests.round_folders import DELIVERIES, READINGS, make_round

DAY = date(2026, 1, 13)
STOP = PublishedStop(DAY, "T1", 1, 1, "K-03", "A1", 3000.0, 10 + 40 / 60)
WISH = Wish("K-04", "pin", date(2026, 1, 15), "T1", "Anna", "exam week")
HAPPENING = Happening(DAY, "tanker out", date(2026, 1, 14), tanker="T2", reason="brakes")
ORDER = Order("7", "K-05", None, "A1", DAY, date(2026, 1, 20), 320.5, already_empty=True, split_with="K-04")


def test_what_is_added_reads_back(tmp_path: Path) -> None:
    """A reading, delivery, order, wish, happening and stop come back as they were given."""
    folder = make_round(tmp_path / "round")
    add_reading(folder, "K-02", date(2026, 1, 11), kg=1512.5)
    add_reading(folder, "K-03", date(2026, 1, 11), percent=30)
    add_delivery(folder, "K-05", date(2026, 1, 12), 2840, grade="A1", tanker="T2", filled_full=True)
    add_order(folder, ORDER)
    add_wish(folder, WISH)
    add_happening(folder, HAPPENING)
    write_published(folder, [STOP])
    assert check_round(folder) == []
    found = open_round(folder)
    assert found.readings.kg[-2:].tolist() == [1512.5, 0.3 * 4500]
    assert (found.deliveries.kg[-1], found.deliveries.filled_full[-1]) == (2840, True)
    assert found.orders[-1] == replace(ORDER, row=4)
    assert found.wishes == (replace(WISH, row=2),)
    assert found.happenings == (replace(HAPPENING, row=2),)
    (stop,) = found.published
    assert stop == replace(STOP, arrive_h=stop.arrive_h, row=2)
    assert stop.arrive_h == pytest.approx(STOP.arrive_h)


def test_every_other_byte_stays(tmp_path: Path) -> None:
    """Adding a row keeps own columns, line ends, a last line without one and bad rows as they are."""
    folder = make_round(tmp_path / "round")
    own = 'x_who,customer,date,percent,kg\r\nAnna,K-01,2026-01-04,,2400\r\n"B, b",K-99,yesterday,,?'
    (folder / "readings.csv").write_bytes(own.encode())
    add_reading(folder, "K-02", DAY, percent=45, known=open_round(folder, sound_only=True))
    assert (folder / "readings.csv").read_bytes().decode() == own + "\r\n,K-02,2026-01-13,45,\r\n"


def test_a_file_with_semicolons_is_added_to_in_its_own_way(tmp_path: Path) -> None:
    """Semicolons and decimal commas stay so."""
    folder = make_round(
        tmp_path / "round", files={"readings.csv": "customer;date;kg\nK-01;2026-01-04;2400,5\n"}
    )
    add_reading(folder, "K-02", date(2026, 1, 11), kg=1512.5)
    assert (folder / "readings.csv").read_text(encoding="utf-8").endswith("K-02;2026-01-11;1512,5\n")
    assert open_round(folder).readings.kg.tolist() == [2400.5, 1512.5]


@pytest.mark.parametrize(
    "text", ["=1+2", "+43 555", "-", "@me", "'=x", 'say "no", then; go', "a\nb", "'quoted'"]
)
def test_text_is_no_formula_and_comes_back(tmp_path: Path, text: str) -> None:
    """No cell that is written begins like a formula; read again it is what was given, on one line."""
    folder = make_round(tmp_path / "round")
    add_wish(folder, replace(WISH, why=text))
    last = (folder / "wishes.csv").read_text(encoding="utf-8").splitlines()[-1].split("Anna,", 1)[1]
    assert last.strip('"')[0] not in "=+-@"
    assert open_round(folder).wishes[0].why == " ".join(text.split())


REFUSED: list[tuple[str, Callable[[Path], None], str]] = [
    ("readings.csv", lambda f: add_reading(f, "K-99", DAY, kg=100), "no customer"),
    ("readings.csv", lambda f: add_reading(f, "K-01", DAY, kg=9000), "5200 kg holds"),
    ("readings.csv", lambda f: add_reading(f, "K-01", DAY), "neither"),
    ("readings.csv", lambda f: add_reading(f, "K-01", date(2026, 1, 4), kg=2400), "stands in row 2"),
    ("orders.csv", lambda f: add_order(f, replace(ORDER, order="2026-0117")), "stands in row 2"),
    ("orders.csv", lambda f: add_order(f, replace(ORDER, grade="A2")), "takes A1"),
    ("wishes.csv", lambda f: add_wish(f, replace(WISH, wish="want")), "pin"),
    ("wishes.csv", lambda f: add_wish(f, replace(WISH, tanker="T9")), "no tanker"),
    ("happenings.csv", lambda f: add_happening(f, replace(HAPPENING, tanker=None)), "needs the tanker"),
    ("published.csv", lambda f: write_published(f, [STOP, replace(STOP, customer="K-01")]), "position"),
    ("published.csv", lambda f: write_published(f, [replace(STOP, customer="K-99")]), "no customer"),
    ("deliveries.csv", lambda f: add_delivery(f, "K-01", DAY, 3.9), "from 20"),
]


@pytest.mark.parametrize(("file", "act", "words"), REFUSED)
def test_what_cannot_be_right_is_not_written(
    tmp_path: Path, file: str, act: Callable[[Path], None], words: str
) -> None:
    """A row with a fault is refused with the fault's sentence, and the file stays as it was."""
    folder = make_round(tmp_path / "round")
    before = (folder / file).read_bytes() if (folder / file).exists() else None
    with pytest.raises(RoundFaults) as error:
        act(folder)
    assert words in str(error.value)
    assert ((folder / file).read_bytes() if (folder / file).exists() else None) == before


def test_publishing_again_keeps_what_it_could_not_read(tmp_path: Path) -> None:
    """Sound stops are replaced; an unreadable row stays word for word, and a person's own cells stay."""
    text = (
        "date,tanker,trip,position,customer,class,kg,arrive,x_told\n"
        "2026-01-13,T1,1,1,K-03,A1,2500,09:00,by phone\n"
        "2026-01-13,T1,1,2,K-01,A1,2000,09:40,\n"
        "tomorrow?,T1,1,3,K-02,A1,some,,ask Mr B\n"
    )
    folder = make_round(tmp_path / "round", files={"published.csv": text})
    write_published(folder, [replace(STOP, position=2, customer="K-01"), STOP])
    assert (folder / "published.csv").read_text(encoding="utf-8") == (
        "date,tanker,trip,position,customer,class,kg,arrive,x_told\n"
        "2026-01-13,T1,1,1,K-03,A1,3000,10:40,by phone\n"
        "2026-01-13,T1,1,2,K-01,A1,3000,10:40,\n"
        "tomorrow?,T1,1,3,K-02,A1,some,,ask Mr B\n"
    )
    write_published(folder, [])
    assert (folder / "published.csv").read_text(encoding="utf-8").splitlines()[1:] == [
        "tomorrow?,T1,1,3,K-02,A1,some,,ask Mr B"
    ]


def test_a_row_is_taken_out_only_while_it_is_the_same(tmp_path: Path) -> None:
    """A delivered order is taken out of its file; one that was changed meanwhile is not."""
    folder = make_round(tmp_path / "round")
    order = open_round(folder).orders[0]
    remove_row(folder, "orders", order.row, {"order": order.order, "customer": "K-03"})
    assert [o.order for o in open_round(folder).orders] == ["2026-0118"]
    with pytest.raises(EditError, match="changed meanwhile"):
        remove_row(folder, "orders", order.row, {"order": order.order})
    with pytest.raises(EditError, match="only of orders"):
        remove_row(folder, "customers", 2, {})
    assert len(open_round(folder).orders) == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("customer,date\nK-01,2026-01-04\n", "its first line should read customer,date,kg"),
        ("date,kg\n2026-01-04,5\n", "has no column customer"),
        ('customer,date,kg\n"K-01,2026-01-04,3\n', "not CSV to its end"),
    ],
)
def test_a_file_that_cannot_be_added_to_says_why(tmp_path: Path, text: str, words: str) -> None:
    """A missing column or an open quote would swallow the row: nothing is written."""
    folder = make_round(tmp_path / "round")
    known = open_round(folder)
    (folder / "readings.csv").write_text(text, encoding="utf-8")
    with pytest.raises(EditError, match=words):
        add_reading(folder, "K-02", DAY, kg=900, known=known)
    assert (folder / "readings.csv").read_text(encoding="utf-8") == text


def test_two_at_once_lose_nothing(tmp_path: Path) -> None:
    """Rows added by several at the same time are all there."""
    folder = make_round(tmp_path / "round")
    known = open_round(folder)
    days = [date(2025, 12, n) for n in range(1, 25)]
    threads = [
        threading.Thread(target=add_reading, args=(folder, "K-02", day), kwargs={"kg": 900, "known": known})
        for day in days
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    lines = (folder / "readings.csv").read_text(encoding="utf-8").splitlines()
    assert lines[:4] == READINGS.splitlines()
    assert sorted(lines[4:]) == [f"K-02,{day},900," for day in days]


def test_a_crash_leaves_the_old_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the new file cannot be put in place, the old one stands and nothing is left beside it."""
    folder = make_round(tmp_path / "round")
    known = open_round(folder)

    def fails(*_: object) -> None:
        raise OSError("no space")

    monkeypatch.setattr("os.replace", fails)
    with pytest.raises(OSError, match="no space"):
        add_delivery(folder, "K-05", DAY, 2840, known=known)
    assert (folder / "deliveries.csv").read_text(encoding="utf-8") == DELIVERIES
    assert [p.name for p in folder.iterdir() if p.name.endswith(".part")] == []


def test_readings_are_added_beside_a_parquet_file(tmp_path: Path) -> None:
    """Where the past is kept as Parquet, what is added goes to a CSV file, and both count."""
    import pandas as pd

    folder = make_round(tmp_path / "round")
    frame = pd.read_csv(folder / "readings.csv")
    frame.to_parquet(folder / "readings.parquet", index=False)
    (folder / "readings.csv").unlink()
    add_reading(folder, "K-02", date(2026, 1, 11), kg=1500)
    assert open_round(folder).readings.kg.tolist() == [2400, 4800, 2600, 1500]


def test_the_last_change_of_a_short_list_is_taken_back(tmp_path: Path) -> None:
    """A wish, a happening and published stops go again one after the other, byte for byte; books stay."""
    folder = make_round(tmp_path / "round")
    known = open_round(folder)
    before = {p.name: p.read_bytes() for p in folder.glob("[!.]*")}
    add_wish(folder, WISH, known=known)
    add_happening(folder, HAPPENING, known=known)
    write_published(folder, [STOP], known=known)
    assert last_change(folder).file == "published.csv"
    for _ in range(3):
        undo_change(folder, last_change(folder))
    assert {p.name: p.read_bytes() for p in folder.glob("[!.]*")} == before
    add_reading(folder, "K-02", DAY, kg=900, known=known)
    with pytest.raises(UndoError, match="no change to undo"):
        undo_change(folder, last_change(folder))
