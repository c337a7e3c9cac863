"""What tests of the dispatcher's page share: made-up plans, and a folder that may be changed."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers.which_runs.answer import RunsAnswer
from fuelplan.pages.parts import drawn
from fuelplan.pages.runs import load as runs_load
from tests.round_example import FOLDER, WEATHER, believed


@pytest.fixture(scope="session")
def ahead() -> answers.OutlookAnswer:
    """The demo round's outlook, worked out once."""
    from fuelplan.answers.who_is_due.outlook import answer_of

    return answer_of(believed())


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo round that a test may change: without its past and without drawings, for speed."""
    monkeypatch.setattr(drawn, "chart", lambda *_, **__: None)
    made = tmp_path / "own_round"
    shutil.copytree(FOLDER, made)
    for name in ("deliveries.csv", "readings.csv"):
        head, *_ = (made / name).read_text(encoding="utf-8").splitlines()
        (made / name).write_text(head + "\n", encoding="utf-8")
    return made


@pytest.fixture
def made_up(
    monkeypatch: pytest.MonkeyPatch, ahead: answers.OutlookAnswer
) -> Iterator[Callable[..., list[Path]]]:
    """Puts a made-up plan in the place of the computed one; returns the folders that were planned.

    None of them stays in the cache for the next test.
    """
    runs_load._shared.clear()
    planned: list[Path] = []

    def put(answer: RunsAnswer | Exception) -> list[Path]:
        def runs(round_: answers.Round, *_: object, **__: object) -> RunsAnswer:
            planned.append(round_.path)
            if isinstance(answer, Exception):
                raise answer
            return answer

        monkeypatch.setattr(answers, "weather_for_round", lambda *_: WEATHER)
        monkeypatch.setattr(answers, "outlook", lambda *_, **__: ahead)
        monkeypatch.setattr(answers, "runs", runs)
        return planned

    yield put
    runs_load._shared.clear()
