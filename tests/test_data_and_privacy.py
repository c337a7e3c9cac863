"""The page on data says what the program does: limits, files, and where things go."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import fuelplan
from fuelplan.pages.parts import houses
from fuelplan.pages.serve import SETTINGS
from fuelplan.records.folder import archive, lock, looked, undo
from fuelplan.records.tables import sheet

TEXT = (Path(fuelplan.__file__).parent / "docs" / "data_and_privacy.md").read_text(encoding="utf-8")
SAID = " ".join(TEXT.split())


def test_limits_are_those_of_the_program() -> None:
    """Sizes and counts in the text are the ones in force."""
    megabytes = tomllib.loads(SETTINGS.read_text())["server"]["maxUploadSize"]
    assert f"at most {megabytes} MB" in SAID
    assert megabytes * 1_000_000 == sheet.MOST_BYTES
    assert f"at most {archive.MOST_ENTRIES} files and {archive.MOST_BYTES // 1_000_000} MB unpacked" in SAID
    assert f"at most {sheet.MOST_ROWS:,} rows" in SAID
    assert undo.MOST_CHANGES == 20
    assert "The last twenty changes" in SAID or "the last twenty changes" in SAID


def test_every_file_of_the_program_is_named() -> None:
    """Lock, undo, looks, and where houses go."""
    for name in (
        undo.UNDO_FILE,
        looked.LOOKED_FILE,
        lock.LOCK_FILE,
        houses.PLACE_VARIABLE,
        houses.PLACE_NAME,
    ):
        assert f"`{name}`" in TEXT


def test_houses_are_kept_where_the_text_says(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The named folder first, then the one around the folder given; never among the demos."""
    demo = houses.demo_folder() / "family_house"
    monkeypatch.delenv(houses.PLACE_VARIABLE, raising=False)
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "site.toml").write_text("")
    for given, place in (
        (tmp_path / "mine", tmp_path),
        (tmp_path, tmp_path),
        (demo, Path.home() / houses.PLACE_NAME),
        (houses.demo_folder(), Path.home() / houses.PLACE_NAME),
    ):
        monkeypatch.setattr("sys.argv", ["page.py", str(given)])
        assert houses.place_for_houses() == place
    monkeypatch.setattr("sys.argv", ["page.py"])
    assert houses.place_for_houses() == Path.home() / houses.PLACE_NAME
    monkeypatch.setenv(houses.PLACE_VARIABLE, str(tmp_path / "named"))
    assert houses.place_for_houses() == tmp_path / "named"


def test_a_draft_is_readable_by_nobody_else() -> None:
    """The folder of a house that is not kept yet is closed to other users of the machine."""
    room = houses.room_for_draft()
    assert room.stat().st_mode & 0o077 == 0
    assert room.parent.stat().st_mode & 0o077 == 0
