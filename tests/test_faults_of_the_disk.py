"""A full disk, a folder without rights, a clock that jumps, others at the same file.

Each time a clear error, and no byte of a person's data is lost.
"""

from __future__ import annotations

import errno
import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from fuelplan.messages import render
from fuelplan.records.folder import lock, text_files, undo
from fuelplan.records.folder.text_files import EditError, NotWritten, write_bytes
from fuelplan.records.round import add_reading, open_round, write_published
from fuelplan.records.site import edit
from fuelplan.records.site.tables import read_readings
from fuelplan.records.tables import reading as reading_files
from fuelplan.records.tables.reading import read_text
from tests.round_folders import make_round
from tests.site_folders import make_site
from tests.torn_files import torn

NO_ROOM = OSError(errno.ENOSPC, "No space left on device")


@contextmanager
def full_from(step: int, monkeypatch: pytest.MonkeyPatch, trouble: OSError = NO_ROOM) -> Iterator[list[int]]:
    """Let the disk be full from the `step`-th thing on that is asked of it; yield how many were asked."""
    asked = [0]

    def asking() -> None:
        asked[0] += 1
        if asked[0] >= step:
            raise OSError(trouble.errno, trouble.strerror)

    def wrapped(really: Callable[..., Any]) -> Callable[..., Any]:
        def call(*given: Any, **more: Any) -> Any:
            asking()
            return really(*given, **more)

        return call

    with monkeypatch.context() as patch:
        for name in ("fsync", "chmod", "replace"):
            patch.setattr(os, name, wrapped(getattr(os, name)))
        patch.setattr(text_files.tempfile, "mkstemp", wrapped(text_files.tempfile.mkstemp))
        patch.setattr(os, "fdopen", torn(os.fdopen, asking))
        yield asked


def contents(folder: Path) -> dict[str, bytes]:
    """The files of a folder that are a person's, by name, and what is half written."""
    return {
        f.name: f.read_bytes() for f in folder.iterdir() if not f.name.startswith(".fuelplan") and f.is_file()
    }


def _site(folder: Path) -> Callable[[], None]:
    make_site(folder, mean_c=[3.0] * 30)
    return lambda: edit.house_books(folder).append(
        "readings", [{"date": "2020-12-24", "reading": "2.6 t", "how": "by eye"}]
    )


def _take_back(folder: Path) -> Callable[[], None]:
    _site(folder)()
    return lambda: edit.house_books(folder).take_back(undo.last_change(folder)) and None


def _round_reading(folder: Path) -> Callable[[], None]:
    known = open_round(make_round(folder, weather_days=10))
    return lambda: add_reading(folder, "K-02", date(2026, 1, 11), kg=1500, known=known)


@pytest.mark.parametrize("made", [_site, _take_back, _round_reading])
def test_a_disk_that_is_full_at_any_step_leaves_the_old_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: Callable[[Path], Callable[[], None]]
) -> None:
    """Full at the first thing asked of the disk, the second, …: the error says so, every file is the old one,
    nothing half written stays, and once there is room the same change goes through.
    """
    folder = tmp_path / "folder"
    change = made(folder)
    before = contents(folder)
    for step in range(1, 60):
        with full_from(step, monkeypatch) as asked:
            try:
                change()
            except NotWritten as error:
                assert "no room left on the disk" in str(error)
            else:
                break
        if contents(folder) != before:  # only the order to the disk to keep the new name came too late
            assert step == asked[0] and step > 4
            break
    assert step > 4
    assert contents(folder) != before
    assert not list(folder.glob(".*.part"))


def test_the_same_change_goes_through_once_there_is_room(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A refused reading is not half there: given again, it stands in the file once."""
    add = _site(tmp_path / "house")
    with full_from(3, monkeypatch), pytest.raises(NotWritten):
        add()
    add()
    rows, faults = read_readings(edit.house_books(tmp_path / "house"))
    assert not faults
    assert [row.day for row in rows] == [date(2020, 11, 1), date(2020, 12, 24)]


@pytest.mark.parametrize("number", [errno.EROFS, errno.EACCES])
def test_a_folder_that_may_not_be_written_to_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """On a disk that is read only, or without the rights, the sentence says where to look."""
    add = _site(tmp_path / "house")
    before = contents(tmp_path / "house")
    trouble = OSError(number, os.strerror(number))
    with full_from(1, monkeypatch, trouble), pytest.raises(EditError, match="may not be written to"):
        add()
    assert contents(tmp_path / "house") == before


def test_a_lock_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    """Where not even the lock can be made, nothing is tried."""
    add = _site(tmp_path / "house")
    (tmp_path / "house" / lock.LOCK_FILE).unlink(missing_ok=True)
    (tmp_path / "house" / lock.LOCK_FILE).mkdir()
    with pytest.raises(EditError, match="nothing can be written in house"):
        add()


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.ENOSYS, errno.ENOTSUP])
def test_a_disk_that_knows_no_locks_is_not_written_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """Two writers could lose each other's rows: it is said, and no mark is left that stops the next."""
    import fcntl

    add = _site(tmp_path / "house")
    add()
    before = contents(tmp_path / "house")

    def flock(*_: Any) -> None:
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as patch, pytest.raises(NotWritten, match="nothing can be written in house"):
        patch.setattr(fcntl, "flock", flock)
        add()
    assert contents(tmp_path / "house") == before
    add()


def test_a_program_started_while_the_folder_is_held_does_not_hold_it_on(tmp_path: Path) -> None:
    """What a holder starts outlives it: the folder is free as soon as the holder lets go."""
    add = _site(tmp_path / "house")
    with lock.locked(tmp_path / "house"):
        child = os.fork()
        if child == 0:
            signal.pause()
    try:
        add()
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def test_a_disk_without_sync_for_folders_is_written_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some network disks cannot sync a folder: that is no reason to refuse a file that is whole."""
    really = os.fsync

    def fsync(handle: int) -> None:
        if os.path.isdir(f"/proc/self/fd/{handle}"):
            raise OSError(errno.EINVAL, "Invalid argument")
        really(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    write_bytes(tmp_path / "a.csv", b"x")
    assert (tmp_path / "a.csv").read_bytes() == b"x"


def test_a_program_that_holds_the_folder_for_ever_is_told_of(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Waiting for the lock has an end, with a sentence; nothing is written."""
    add = _site(tmp_path / "house")
    before = contents(tmp_path / "house")
    monkeypatch.setattr(lock, "LONGEST_WAIT_S", 0.05)
    with lock.locked(tmp_path / "house"), pytest.raises(EditError, match="another program has been writing"):
        add()
    assert contents(tmp_path / "house") == before
    add()


def test_a_file_changed_between_reading_and_writing_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An editor that saves the file just before ours is put in its place loses nothing: ours is refused."""
    add = _site(tmp_path / "house")
    path = tmp_path / "house" / "readings.csv"
    theirs = path.read_bytes() + b"2020-11-20,3.5 t,measured\n"
    really = os.chmod  # the last thing before the file is put in its place

    def chmod(*given: Any) -> None:
        if Path(given[0]).name.startswith(".readings.csv."):
            path.write_bytes(theirs)
        really(*given)

    monkeypatch.setattr(os, "chmod", chmod)
    with pytest.raises(EditError, match="changed meanwhile by another program"):
        add()
    assert path.read_bytes() == theirs


def test_a_file_that_is_half_written_by_an_editor_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that grows while it is read is read again; what comes is the whole of it."""
    path = tmp_path / "readings.csv"
    path.write_text("date,reading\n2020-11-0")
    whole = "date,reading\n2020-11-01,4 t\n2020-12-01,3 t\n"
    really, looks = os.stat, [0]

    def stat(at: Any, **more: Any) -> os.stat_result:
        looks[0] += 1
        if looks[0] == 1:  # the look after the first reading
            path.write_text(whole)
        return really(at, **more)

    monkeypatch.setattr(os, "stat", stat)
    monkeypatch.setattr(reading_files, "BETWEEN_LOOKS_S", 0.0)
    assert read_text(path) == (whole, [])
    assert looks[0] > 1


def test_a_file_that_never_rests_is_told_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After a few looks the sentence says that the file changes, and no half of it is taken."""
    path = tmp_path / "readings.csv"
    path.write_text("date,reading\n")
    really = os.fstat

    def fstat(handle: int) -> os.stat_result:
        found = really(handle)
        with path.open("a") as stream:
            stream.write("2020-11-01,4 t\n")
        return found

    monkeypatch.setattr(os, "fstat", fstat)
    monkeypatch.setattr(reading_files, "BETWEEN_LOOKS_S", 0.0)
    text, faults = read_text(path)
    assert text is None
    assert "changes while it is read" in faults[0].message


def test_leftovers_of_killed_programs_are_cleared_and_nothing_else(tmp_path: Path) -> None:
    """The next row removes half-written files of ours; files of a person with such an ending stay."""
    add = _site(tmp_path / "house")
    ours = [".readings.csv.a1b2c3d4.part", "..fuelplan.undo.json.a1b2c3d4.part"]
    theirs = [".my.part", "readings.csv.part", ".letter.txt.a1b2c3d4.part", ".readings.csv.of_last_year.part"]
    for name in [*ours, *theirs]:
        (tmp_path / "house" / name).write_text("x")
    add()
    assert [name for name in ours if (tmp_path / "house" / name).exists()] == []
    assert [name for name in theirs if not (tmp_path / "house" / name).exists()] == []


def test_the_mark_of_a_file_in_utf_8_stays(tmp_path: Path) -> None:
    """Without it a spreadsheet program shows "Ã¶" for "ö" the next time: rows are added, the mark stays."""
    mark = "\ufeff".encode()
    site = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    path = site / "readings.csv"
    path.write_bytes(mark + "date,reading,note\n2020-11-01,4 t,schön\n".encode())
    edit.house_books(site).append("readings", [{"date": "2020-12-24", "reading": "2.6 t"}])
    assert path.read_bytes() == mark + "date,reading,note\n2020-11-01,4 t,schön\n2020-12-24,2.6 t,\n".encode()
    edit.house_books(site).take_back(undo.last_change(site))
    assert path.read_bytes() == mark + "date,reading,note\n2020-11-01,4 t,schön\n".encode()
    folder = make_round(tmp_path / "round", weather_days=10)
    orders = folder / "published.csv"
    orders.write_bytes(mark + b"date,tanker,trip,position,customer,class,kg,arrive\n")
    write_published(folder, [])
    assert orders.read_bytes().startswith(mark + b"date,")


def test_two_who_book_one_order_do_not_overwrite_each_other(tmp_path: Path) -> None:
    """The row is found again where rows before it were added; booked by somebody else, it is left alone."""
    text = "ordered_on,ordered,delivered_on,delivered,outcome\n2020-12-01,2 t,,,\n2020-12-02,3 t,,,\n"
    folder = make_site(tmp_path / "house", deliveries=text, mean_c=[3.0] * 30)
    still_open = {"ordered_on": "2020-12-02", "delivered_on": "", "delivered": "", "outcome": ""}
    edit.house_books(folder).append(
        "deliveries", [{"ordered_on": "2020-11-01", "ordered": "1 t"}]
    )  # line 3 is now line 4
    came = {"delivered_on": "2020-12-10", "delivered": "2.9 t"}
    edit.house_books(folder).change("deliveries", 3, still_open, came)
    rows = (folder / "deliveries.csv").read_text().splitlines()
    assert rows[3:] == ["2020-12-02,3 t,2020-12-10,2.9 t,"]
    assert rows[2] == "2020-12-01,2 t,,,"
    with pytest.raises(EditError, match="changed meanwhile in line 4"):
        edit.house_books(folder).change(
            "deliveries", 4, still_open, {"delivered_on": "2020-12-11", "delivered": "1 t"}
        )


def test_a_clock_that_jumps_back_keeps_the_order_of_changes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is taken back is what was done last, whatever the clock said then."""
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    hours = iter([10, 9, 2])

    class Clock(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> Clock:
            return cls(2026, 1, 5) + timedelta(hours=next(hours))

    monkeypatch.setattr(undo, "datetime", Clock)
    for reading in ("3 t", "2 t", "1 t"):
        edit.house_books(folder).append("readings", [{"date": "2020-12-01", "reading": reading}])
    undone = [render(edit.house_books(folder).take_back(undo.last_change(folder)).what) for _ in range(3)]
    assert [said.split(",")[1] for said in undone] == ["1 t", "2 t", "3 t"]


@pytest.mark.parametrize("text", ['[{"what": 1}]', '[{"file": 5}]', "[" * 5000, '{"a": 1}', "null", "\x00"])
def test_a_memory_of_changes_that_is_rubbish_counts_as_none(tmp_path: Path, text: str) -> None:
    """What was spoilt by hand, or by a stranger, neither stops the next row nor changes a file."""
    add = _site(tmp_path / "house")
    (tmp_path / "house" / undo.UNDO_FILE).write_text(text)
    assert undo.last_change(tmp_path / "house") is None
    add()
    assert "2020-12-24" in (tmp_path / "house" / "readings.csv").read_text()


def test_a_change_that_is_not_of_texts_is_not_taken_back(tmp_path: Path) -> None:
    """A memory whose `before` is a number would break the file: it counts as none."""
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    (folder / undo.UNDO_FILE).write_text(
        '[{"what": "a", "when": "b", "file": "readings.csv", "before": 5, "after_mark": "c"}]'
    )
    assert undo.last_change(folder) is None
