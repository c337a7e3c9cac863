"""What every way of keeping books must do: the same tests for a house, a round, and books in memory."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from fuelplan.messages import Own, as_message
from fuelplan.records.folder import EditError, RecordBooks, UndoError
from fuelplan.records.round import open_books
from fuelplan.records.site import HOUSE, house_books
from tests.memory_books import Kept, MemoryBooks
from tests.round_folders import make_round
from tests.site_folders import make_site

Opening = Callable[[], RecordBooks]

ROWS = {
    "house": (
        "readings",
        [{"date": f"2020-12-0{n}", "reading": f"{n} t", "note": "=x"} for n in range(1, 6)],
    ),
    "round": (
        "wishes",
        [{"customer": f"K-0{n}", "wish": "pin", "date": "2026-01-14", "why": "-"} for n in range(1, 6)],
    ),
    "memory": ("readings", [{"date": f"2020-12-0{n}", "reading": f"{n} t"} for n in range(1, 6)]),
}


@pytest.fixture(params=list(ROWS))
def kind(request: pytest.FixtureRequest) -> str:
    """One way of keeping books after the other."""
    return str(request.param)


@pytest.fixture
def opening(kind: str, tmp_path: Path) -> Opening:
    """Open the same books once more, as another program would."""
    if kind == "memory":
        kept = Kept("readings", "deliveries")
        return lambda: MemoryBooks(kept, HOUSE)
    folder = make_site(tmp_path / "house") if kind == "house" else make_round(tmp_path / "round")
    (folder / f"{ROWS[kind][0]}.csv").unlink(missing_ok=True)
    return lambda: open_books(folder)


def cells_of(books: RecordBooks, table: str) -> list[dict[str, str]]:
    """What is written in each row of a table."""
    return [{n: cell for n, cell in row.cells.items() if cell} for row in books.rows(table)]


def test_what_is_appended_is_there_for_everybody(kind: str, opening: Opening) -> None:
    """A row reads as it was written, whoever opens the books; a new table has none."""
    table, rows = ROWS[kind]
    assert opening().rows(table) == ()
    opening().append(table, rows[:1])
    opening().append(table, rows[1:3])
    assert cells_of(opening(), table) == rows[:3]
    assert len({row.number for row in opening().rows(table)}) == 3


def test_a_row_is_changed_or_taken_out(kind: str, opening: Opening) -> None:
    """By its number and what it must still read; the others stay as they are."""
    table, rows = ROWS[kind]
    books = opening()
    books.append(table, rows[:3])
    second = books.rows(table)[1]
    last = list(rows[0])[-1]
    books.change(table, second.number, rows[1], {last: "other"})
    assert cells_of(opening(), table) == [rows[0], {**rows[1], last: "other"}, rows[2]]
    with pytest.raises(EditError, match="changed meanwhile"):
        books.change(table, second.number, rows[1], {last: "again"})
    books.change(table, second.number, {last: "other"}, None)
    assert cells_of(opening(), table) == [rows[0], rows[2]]


def test_a_row_that_has_moved_is_still_found(kind: str, opening: Opening) -> None:
    """Somebody took out the row before it: the one row that reads as expected is meant."""
    table, rows = ROWS[kind]
    opening().append(table, rows[:3])
    first, _, third = opening().rows(table)
    opening().change(table, first.number, rows[0], None)
    opening().change(table, third.number, rows[2], None)
    assert cells_of(opening(), table) == [rows[1]]


def test_of_two_rows_alike_none_is_guessed(kind: str, opening: Opening) -> None:
    """Where the number is of neither, it is anybody's guess which is meant: nothing changes."""
    table, rows = ROWS[kind]
    opening().append(table, rows[:3])
    first = list(rows[0])[1]  # alike in all rows of a round
    same = {n: v for n, v in rows[0].items() if rows[1].get(n) == v} or {"fuel": ""}
    with pytest.raises(EditError):
        opening().change(table, 99, same, {first: "other"})
    assert cells_of(opening(), table) == rows[:3]


def test_every_change_moves_the_version_and_is_told(kind: str, opening: Opening) -> None:
    """The same books have the same version; what came since one is said once, in its order."""
    table, rows = ROWS[kind]
    books = opening()
    versions = [books.version()]
    assert opening().version() == versions[0] and books.changes_since(versions[0]) == ()
    books.append(table, rows[:1])
    versions.append(books.version())
    books.append(table, rows[1:3])
    versions.append(books.version())
    books.change(table, books.rows(table)[0].number, rows[0], None)
    versions.append(books.version())
    assert len(set(versions)) == 4
    told = opening().changes_since(versions[0])
    assert len(told) == 3 and len(set(told)) == 3
    assert opening().changes_since(versions[1]) == told[1:]
    assert opening().changes_since(versions[3]) == ()


def test_the_change_that_was_shown_is_taken_back(kind: str, opening: Opening) -> None:
    """All rows of one change together; not where another followed it, and not twice."""
    table, rows = ROWS[kind]
    opening().append(table, rows[:1])
    shown = opening().last_change()
    opening().append(table, rows[1:3])
    with pytest.raises(UndoError):
        opening().take_back(shown)
    assert cells_of(opening(), table) == rows[:3]
    latest = opening().last_change()
    assert opening().take_back(latest) == latest
    assert cells_of(opening(), table) == rows[:1]
    with pytest.raises(UndoError):
        opening().take_back(latest)
    assert opening().take_back(opening().last_change()) == shown
    assert opening().rows(table) == ()


def test_settings_are_changed_in_one_step_and_move_the_version(opening: Opening) -> None:
    """Told and taken back as any change; refused where somebody else has changed them since."""
    seen, before = opening().settings(), opening().version()
    changed = seen.replace('name = "', 'name = "Old ', 1)
    assert changed != seen
    renamed = as_message("the name was changed")
    opening().change_settings(seen, changed, renamed)
    assert opening().settings() == changed and opening().version() != before
    assert opening().changes_since(before) == (renamed,)
    with pytest.raises(EditError, match="changed meanwhile"):
        opening().change_settings(seen, seen + "# mine\n", as_message("a remark"))
    opening().take_back(opening().last_change())
    assert opening().settings() == seen


def test_a_change_of_settings_and_one_of_rows_are_told_in_their_order(kind: str, opening: Opening) -> None:
    """The journal is one for all."""
    table, rows = ROWS[kind]
    before, seen = opening().version(), opening().settings()
    opening().change_settings(seen, seen + "# first\n", as_message("a remark"))
    opening().append(table, rows[:1])
    opening().change_settings(seen + "# first\n", seen + "# second\n", as_message("another"))
    told = opening().changes_since(before)
    assert len(told) == 3 and (told[0], told[2]) == (as_message("a remark"), as_message("another"))


def test_two_writers_lose_no_row(kind: str, opening: Opening) -> None:
    """Rows that several add at once are all there, each once."""
    table, rows = ROWS[kind]
    with ThreadPoolExecutor(4) as pool:
        for done in [pool.submit(lambda row=row: opening().append(table, [row])) for row in rows]:
            done.result()
    assert sorted(map(str, cells_of(opening(), table))) == sorted(map(str, rows))


def test_rows_are_replaced_by_what_is_made_of_them(kind: str, opening: Opening) -> None:
    """Whoever publishes sees the rows as they are, and where making them fails nothing is written."""
    table, rows = ROWS[kind]
    opening().append(table, rows[:3])
    seen: list[int] = []
    count = opening().publish(table, lambda now: seen.append(len(now)) or [row.cells for row in now[1:]])
    assert (count, seen) == (2, [3]) and cells_of(opening(), table) == rows[1:3]
    before = opening().version()

    def fails(_: object) -> list[dict[str, str]]:
        raise RuntimeError("no")

    with pytest.raises(RuntimeError):
        opening().publish(table, fails)
    assert opening().version() == before


def test_a_table_that_is_none_is_refused(opening: Opening) -> None:
    """No path leads out of the books by a table's name."""
    for name in ("../house/readings", "site", ""):
        with pytest.raises(EditError, match="no table"):
            opening().rows(name)


def test_a_hand_in_the_folder_is_told_as_such(tmp_path: Path) -> None:
    """A text editor says nothing of what it did: the table is named, and so is what came after."""
    folder = make_site(tmp_path / "house", readings="date,reading\n2020-11-01,4 t\n")
    books = house_books(folder)
    before = books.version()
    (folder / "readings.csv").write_text("date,reading\n2020-11-01,3 t\n")
    assert [said.code for said in books.changes_since(before)] == ["change.by_another"]
    between = books.version()
    books.append("deliveries", [{"ordered_on": "2020-12-01", "ordered": "2 t"}])
    told = books.changes_since(before)
    assert [one.code for one in told] == ["change.by_another", "change.row_added"]
    assert told[0].value("file") == Own("readings.csv") and "2020-12-01" in str(told[1])
    assert books.changes_since(between) == told[1:]
    books.append("readings", [{"date": "2020-12-01", "reading": "2 t"}])
    (folder / "readings.csv").write_text("date,reading\n2020-11-01,1 t\n")
    assert "change.by_another" in [said.code for said in books.changes_since(between)]


def test_no_folder_is_said(tmp_path: Path) -> None:
    """Books are opened where they lie."""
    with pytest.raises(EditError, match="no such folder"):
        open_books(tmp_path / "nowhere")
