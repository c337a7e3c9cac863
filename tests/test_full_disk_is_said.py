"""On a full disk a person reads what of his own was not saved, and never the name of an inner file."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.records.folder.new_folder import FolderError, new_folder
from fuelplan.records.folder.text_files import NotWritten
from fuelplan.records.round import open_round
from tests.round_folders import make_round
from tests.site_folders import make_site
from tests.test_faults_of_the_disk import contents, full_from

DAY = date(2020, 12, 24)
NO_ROOM = "not saved: there is no room left on the disk; free some, and do it again"
OPEN_ORDER = "ordered_on,ordered\n2020-12-01,2 t\n"


def site(folder: Path) -> Path:
    """A house with an open order."""
    return make_site(folder, mean_c=[3.0] * 30, deliveries=OPEN_ORDER)


def reading(folder: Path) -> None:
    """A level reading."""
    answers.record_reading(folder, DAY, "2.6 t", how="by eye")


def delivery(folder: Path) -> None:
    """A delivery."""
    answers.record_delivery(folder, DAY, "2 t")


def order(folder: Path) -> None:
    """An order."""
    answers.record_order(folder, DAY, "2 t")


def settings(folder: Path) -> None:
    """Another reserve."""
    answers.change_settings(folder, answers.site_text(folder), {"store.reserve": "400 kg"})


def wish(folder: Path) -> None:
    """A customer's day."""
    answers.record_wish(open_round(folder), "K-04", "pin", day=date(2026, 1, 15), tanker="T1")


def happening(folder: Path) -> None:
    """A tanker that is out of service."""
    answers.record_happening(open_round(folder), "tanker out", date(2026, 1, 13), tanker="T1")


def take_back(folder: Path) -> None:
    """The last change of the house."""
    answers.undo_change(folder, answers.last_change(folder))


ENTRIES = (
    (site, reading, "your reading was"), (site, delivery, "your delivery was"),
    (site, order, "your order was"), (site, settings, "your settings were"),
    (make_round, wish, "your wish was"), (make_round, happening, "what happened was"),
)  # fmt: skip


@pytest.mark.parametrize(("made", "enter", "what"), ENTRIES)
def test_what_was_entered_is_named(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    made: Callable[[Path], Path],
    enter: Callable[[Path], None],
    what: str,
) -> None:
    """Full at whatever step: the same sentence, nothing changed; once there is room the entry goes in."""
    folder = made(tmp_path / "folder")
    before = contents(folder)
    for step in range(1, 60):
        with full_from(step, monkeypatch):
            try:
                enter(folder)
            except NotWritten as error:
                assert str(error) == f"{what} {NO_ROOM}"
            else:
                break
        if contents(folder) != before:  # only the order to keep the new name came too late
            break
    assert step > 3
    assert contents(folder) != before


def test_an_undo_on_a_full_disk_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What could not be taken back is no file but the earlier state."""
    folder = site(tmp_path / "folder")
    reading(folder)
    with full_from(1, monkeypatch), pytest.raises(NotWritten) as refused:
        take_back(folder)
    assert str(refused.value) == f"the earlier state was {NO_ROOM}"


def test_a_lock_without_room_is_named_as_the_entry(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where not even the lock can be made for want of room, it is still the reading that was not saved."""
    folder = site(tmp_path / "folder")
    really = os.open

    def full(path: Any, *given: Any, **more: Any) -> int:
        if str(path).endswith(".fuelplan.lock"):
            raise OSError(28, "No space left on device")
        return really(path, *given, **more)

    monkeypatch.setattr(os, "open", full)
    with pytest.raises(NotWritten) as refused:
        reading(folder)
    assert str(refused.value) == f"your reading was {NO_ROOM}"


def test_a_new_house_on_a_full_disk_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The house was not saved: no file of it is named, and nothing of it stays."""
    with full_from(3, monkeypatch), pytest.raises(FolderError) as refused:
        new_folder(tmp_path, "My house", {"site.toml": b"format = 1\n", "readings.csv": b"date\n"})
    assert str(refused.value) == f"your house was {NO_ROOM}"
    assert list(tmp_path.iterdir()) == []
