"""Drafts of houses: a visit that was closed leaves none for longer than a day."""

from __future__ import annotations

import os
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from fuelplan.pages.parts import houses

DAY_S = 24 * 3600.0


@pytest.fixture
def drafts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A place for temporary files of the test's own, and no thread that sweeps it."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(threading.Thread, "start", lambda _: None)
    houses._drafts.cache_clear()
    yield tmp_path
    houses._drafts.cache_clear()


def test_drafts_of_closed_visits_go_within_a_day(drafts: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One of a visit that is open stays however old, one closed an hour ago, too; the other goes whole."""
    still_open, closed, young = (houses.room_for_draft() for _ in range(3))
    for made in (still_open, closed, young):
        (made / "house").mkdir()
        (made / "house" / "site.toml").write_text("x")
    monkeypatch.setattr(houses, "_is_open", lambda made: made == still_open)
    now = young.stat().st_mtime + DAY_S
    os.utime(young, (now - 3600, now - 3600))
    houses.sweep_drafts(now)
    assert (still_open / "house" / "site.toml").exists() and young.exists() and not closed.exists()
    assert houses.DRAFT_LIVES_S + houses.LOOK_S < DAY_S
    monkeypatch.setattr(houses, "_is_open", lambda _: False)
    houses.sweep_drafts(now + 3600)
    assert still_open.exists(), "its day begins when it is closed"
    houses.sweep_drafts(now + DAY_S)
    assert not still_open.exists()


def test_what_a_killed_program_left_goes_too(drafts: Path) -> None:
    """A place for drafts of a program that ended without clearing up: what is a day old goes, and no file of
    anybody else."""
    left = drafts / f"{houses.DRAFTS_PREFIX}abc"
    (left / "draft-x" / "house").mkdir(parents=True)
    other = drafts / "fuelplan-of-mine"
    (other / "draft-y").mkdir(parents=True)
    linked = drafts / f"{houses.DRAFTS_PREFIX}link"
    linked.symlink_to(other)
    now = left.stat().st_mtime + DAY_S
    houses.sweep_drafts(now)
    assert not left.exists() and (other / "draft-y").exists() and houses._drafts().exists()


def test_a_visit_that_nobody_has_open_is_closed(drafts: Path) -> None:
    """Without a server, or a visit of its own, a draft belongs to nobody who has it open."""
    assert not houses._is_open(houses.room_for_draft())
