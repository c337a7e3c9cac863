"""Writing into a folder: the row and nothing else, in one step, by one program at a time."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.records.folder.text_files import EditError
from fuelplan.records.site import edit
from fuelplan.records.site.tables import read_deliveries, read_readings
from fuelplan.records.tables import SiteFaults
from tests.site_folders import make_site

ODD = (
    "date,reading,how,fuel,note,x_mine\r\n"
    "# not a row that anyone could read,,,\r\n"
    "2020-11-01, 4 t ,measured,,\"said: \"\"full\"\", nearly\",7\r\n"
    "\r\n"
    "2020-12-01,3 t,by eye,,,"
)  # fmt: skip


def test_adding_a_row_keeps_every_other_byte(tmp_path: Path) -> None:
    """Odd spacing, quotes, blank lines, unreadable rows and line ends of Windows all stay."""
    path = tmp_path / "readings.csv"
    path.write_bytes(ODD.encode())
    edit.house_books(tmp_path).append(
        "readings", [{"date": "2020-12-24", "reading": "2.6 t", "how": "by eye"}]
    )
    assert path.read_bytes().decode() == ODD + "\r\n2020-12-24,2.6 t,by eye,,,\r\n"


def test_a_row_goes_to_its_date(tmp_path: Path) -> None:
    """An earlier reading is put before later ones, so that the file stays in order."""
    folder = make_site(tmp_path / "a", readings="date,reading,how\n2020-11-01,4 t,\n2020-12-01,3 t,\n")
    edit.house_books(folder).append("readings", [{"date": "2020-11-15", "reading": "3.6 t"}])
    rows, faults = read_readings(edit.house_books(folder))
    assert not faults
    assert [row.day.isoformat() for row in rows] == ["2020-11-01", "2020-11-15", "2020-12-01"]


def test_ordering_and_booking_the_delivery(tmp_path: Path) -> None:
    """One row tells an order's whole story; its other cells and the file's other rows stay."""
    folder = make_site(tmp_path / "a")
    answers.record_order(
        folder,
        date(2020, 12, 1),
        "2.5 t",
        due_from=date(2020, 12, 7),
        due_to=date(2020, 12, 15),
        note="rang Anna",
    )
    assert answers.open_site(folder).on_order(date(2020, 12, 2))[0].note == "rang Anna"
    answers.record_delivery(folder, date(2020, 12, 10), "2.44 t", ordered_on=date(2020, 12, 1))
    rows, faults = read_deliveries(edit.house_books(folder))
    assert not faults
    assert len(rows) == 1
    assert (rows[0].ordered_on, rows[0].delivered_on, rows[0].note) == (
        date(2020, 12, 1),
        date(2020, 12, 10),
        "rang Anna",
    )
    assert rows[0].delivered is not None and rows[0].delivered.kg == pytest.approx(2440)
    site = answers.open_site(folder)
    assert site.on_order(date(2020, 12, 5)) == [rows[0]]  # as known then
    assert site.on_order(date(2020, 12, 11)) == []


def test_a_failed_order_is_booked_and_a_second_booking_refused(tmp_path: Path) -> None:
    """Failed orders are no longer on order; what is not open cannot be booked again."""
    folder = make_site(tmp_path / "a")
    answers.record_order(folder, date(2020, 12, 1), "2.5 t")
    answers.record_outcome(folder, date(2020, 12, 1), "failed", note="boiler was on")
    assert answers.open_site(folder).on_order(date(2020, 12, 2)) == []
    with pytest.raises(ValueError, match="no open order"):
        answers.record_delivery(folder, date(2020, 12, 10), "2.5 t", ordered_on=date(2020, 12, 1))


@pytest.mark.parametrize("reading", ["30 t", "-2 t", "3,5 t", "=1+1", "", "x" * 10_000, "🔥", "<b>4 t</b>"])
def test_a_wrong_reading_is_refused_before_anything_is_written(tmp_path: Path, reading: str) -> None:
    """The message says why; the folder stays byte for byte."""
    folder = make_site(tmp_path / "a")
    before = (folder / "readings.csv").read_bytes()
    with pytest.raises(SiteFaults) as refused:
        answers.record_reading(folder, date(2020, 12, 1), reading)
    assert len(refused.value.faults) >= 1
    assert (folder / "readings.csv").read_bytes() == before


def test_notes_never_become_formulas(tmp_path: Path) -> None:
    """A note that a spreadsheet would run is written as plain text."""
    folder = make_site(tmp_path / "a", readings="date,reading,how,fuel,note\n2020-11-01,4 t,,,\n")
    answers.record_reading(folder, date(2020, 12, 1), "3 t", note="=HYPERLINK(1)\nnext")
    assert (folder / "readings.csv").read_text().splitlines()[-1].endswith(",'=HYPERLINK(1) next")


def test_a_row_changed_by_somebody_else_is_not_overwritten(tmp_path: Path) -> None:
    """The line must still hold what was seen."""
    folder = make_site(
        tmp_path / "a", deliveries="ordered_on,ordered,delivered_on,delivered\n2020-12-01,2 t,,\n"
    )
    with pytest.raises(EditError, match="changed meanwhile"):
        edit.house_books(folder).change("deliveries", 2, {"ordered_on": "2020-11-30"}, {"delivered": "2 t"})
    assert "2020-12-01,2 t,," in (folder / "deliveries.csv").read_text()


def _add_many(folder: str, start: int) -> None:
    for i in range(25):
        edit.house_books(Path(folder)).append(
            "readings", [{"date": f"2020-{start:02d}-{i + 1:02d}", "reading": f"{start}.{i} t"}]
        )


def test_two_programs_at_once_lose_no_row(tmp_path: Path) -> None:
    """Four programs add 25 rows each; all hundred are there, and the file is sound."""
    context = multiprocessing.get_context("spawn")
    workers = [context.Process(target=_add_many, args=(str(tmp_path), month)) for month in (1, 2, 3, 4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
        assert worker.exitcode == 0
    rows, faults = read_readings(edit.house_books(tmp_path))
    assert not faults
    assert len(rows) == 100
    assert [row.day for row in rows] == sorted(row.day for row in rows)


def test_a_program_killed_while_writing_leaves_whole_files(tmp_path: Path) -> None:
    """Killed at a random moment, again and again: every row it had said was written is there."""
    code = (
        "import sys; from pathlib import Path; from fuelplan.records.site import edit\n"
        "for i in range(1000):\n"
        "    edit.house_books(Path(sys.argv[1])).append('readings', [{'date': f'2020-01-01', 'reading': "
        "f'{sys.argv[2]}.{i:04d} t'}])\n"
        "    print(f'{sys.argv[2]}.{i:04d}', flush=True)\n"
    )
    said: list[str] = []
    for round_ in range(8):
        worker = subprocess.Popen(
            [sys.executable, "-c", code, str(tmp_path), str(round_)], stdout=subprocess.PIPE, text=True
        )
        assert worker.stdout is not None
        said += [worker.stdout.readline().strip() for _ in range(2 + round_)]  # it has begun
        time.sleep(0.01 + 0.013 * round_)
        os.kill(worker.pid, signal.SIGKILL)
        said += [line.strip() for line in worker.stdout if line.endswith("\n")]
        worker.wait()
    rows, faults = read_readings(edit.house_books(tmp_path))
    assert not faults
    there = {f"{row.reading.value / 1000:.4f}" for row in rows if row.reading is not None}
    assert len(said) > 20
    assert set(said) <= there


def test_the_same_entry_twice_is_refused(tmp_path: Path) -> None:
    """A double click does not make the folder unusable: the second entry is sent back, and nothing is
    written.
    """
    folder = make_site(tmp_path / "a")
    answers.record_reading(folder, date(2020, 12, 1), "3 t", how="measured")
    answers.record_order(folder, date(2020, 12, 2), "2 t")
    before = [(folder / name).read_bytes() for name in ("readings.csv", "deliveries.csv")]
    with pytest.raises(SiteFaults, match="the same reading"):
        answers.record_reading(folder, date(2020, 12, 1), "3 t", how="measured")
    with pytest.raises(SiteFaults, match="the same delivery"):
        answers.record_order(folder, date(2020, 12, 2), "2 t")
    assert [(folder / name).read_bytes() for name in ("readings.csv", "deliveries.csv")] == before
    assert answers.open_site(folder).readings


def test_a_file_keeps_its_permissions(tmp_path: Path) -> None:
    """A folder that others may not read stays so after an entry."""
    folder = make_site(tmp_path / "a")
    (folder / "readings.csv").chmod(0o640)
    answers.record_reading(folder, date(2020, 12, 1), "3 t", how="measured")
    assert (folder / "readings.csv").stat().st_mode & 0o777 == 0o640
