"""Programs killed while they write, the short profile of `python -m tests.campaigns.kill_during_write`."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

from fuelplan.records.folder import text_files
from tests.campaigns import writers
from tests.campaigns.kill_during_write import kill_at_every_step, kill_at_random


def test_no_step_of_writing_loses_a_row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed at every line that holds a file, and half way through its bytes: acknowledged rows are there,
    the files are sound, and the next row clears away what was left half written.
    """
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    found = kill_at_every_step(["plain reading"], tmp_path / "a", quick=True)
    found |= kill_at_every_step(["round wish"], tmp_path / "b", quick=True, every=4)
    for kind, (kills, tally) in found.items():
        assert kills > 8, kind
        assert tally.left_behind >= 3, f"{kind}: no kill fell on a half-written file"
        assert tally.acknowledged > kills / 5
        assert tally.wrong == [], kind


def test_kills_at_random_moments_lose_no_row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed at random moments, at times one of two programs that write into one folder."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    tally = kill_at_random(10, 3, tmp_path)
    assert tally.acknowledged >= 10
    assert tally.killed_writing > 3
    assert tally.wrong == []


def test_the_campaign_sees_a_file_that_is_written_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Were files written over instead of being replaced, the same kills would show rows that are lost."""

    def over_it(path: Path, content: bytes, sync: bool, last_look: Callable[[], None] | None) -> None:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), "wb") as stream:
            stream.write(content)

    monkeypatch.setattr(text_files, "_put_beside", over_it)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    _, tally = kill_at_every_step(["plain reading"], tmp_path, quick=True)["plain reading"]
    assert any("is lost" in said for said in tally.wrong)


def test_the_campaign_sees_a_lost_and_a_doubled_row(tmp_path: Path) -> None:
    """The look at the disk names an acknowledged row that is not there, and one that is there twice."""
    books = writers.new_books(tmp_path)
    token = writers.token_of("plain reading", 7)
    assert writers.wrong_with(books, whole=False) == []
    books.begun["plain reading"] = {token}
    books.done["plain reading"] = {token}
    assert writers.wrong_with(books, whole=False) == [f"plain reading: acknowledged {token} is lost"]
    for _ in range(2):
        writers.WRITERS["plain reading"](books, 7, token)
    assert writers.wrong_with(books, whole=False) == [f"plain reading: {token} is there twice"]
