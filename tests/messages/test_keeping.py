"""Messages that wait in a file until somebody reads them."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.messages import (
    Day,
    Listed,
    Message,
    Own,
    Quantity,
    counted_message,
    kept,
    message,
    render,
    said_again,
)
from fuelplan.records.folder import undo
from tests.pseudo_language import outside, speak_pseudo
from tests.site_folders import make_site


def _day(day: int) -> date:
    return date(2020, 11, day)


INNER = message("test.inner", "line {line} of {file}", line=Own("12"), file=Own("{n}.csv"))
SAID = (
    message("test.plain", "nothing"),
    message("test.nested", "{what} was changed", what=INNER),
    counted_message(
        "test.counted", "{n} row in {files}", "{n} rows in {files}", 3, files=Listed((Own("a"), 2))
    ),
    message("test.listed", "{names}", names=Listed((Own("a"), INNER), ", ")),
)


@pytest.mark.parametrize("said", SAID, ids=lambda said: said.code)
def test_a_message_comes_back_from_a_file_as_it_was(said: Message) -> None:
    """Code, words for one and for many, and every value with its type."""
    assert said_again(json.loads(json.dumps(kept(said)))) == said


@pytest.mark.parametrize("value", [Quantity(2.0, "mass"), Day(date(2026, 1, 1))])
def test_what_is_converted_for_a_reader_is_not_kept(value: Quantity | Day) -> None:
    """A quantity would lose its unit in a file without a word."""
    with pytest.raises(TypeError):
        kept(message("test.amount", "{amount}", amount=value))


@pytest.mark.parametrize(
    "data",
    [
        None,
        "text",
        {"code": "a", "template": "{file} is gone", "many": None, "values": {}},
        {"code": "a", "template": "one", "many": "{n}", "values": {"n": "3"}},
        {"code": "a", "template": "one", "many": 3, "values": {}},
        {"code": "a", "template": "{x}", "many": None, "values": {"x": 1.5}},
        {"code": "a", "template": "{x}", "many": None, "values": {"x": True}},
        {"code": "a", "template": "{x}", "many": None, "values": {"x": {"items": [None], "joint": "and"}}},
    ],
)
def test_a_file_that_was_meddled_with_gives_no_message(data: Any) -> None:
    """What could not be rendered later is refused when it is read."""
    with pytest.raises(ValueError):
        said_again(data)


def test_the_last_change_is_said_in_the_language_of_who_looks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It was noted in English and is read in another language, also what followed a change."""
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    answers.record_reading(folder, _day(20), "3.5 t")
    first = answers.last_change(folder)
    answers.record_order(folder, _day(21), "2 t")
    text = answers.site_text(folder)
    answers.change_settings(folder, text, {"name": "Mill"})
    last = answers.last_change(folder)
    pseudo = speak_pseudo(monkeypatch, tmp_path / "catalogues")
    assert first is not None and last is not None
    assert outside(render(first.what, pseudo)) == outside(render(last.what, pseudo)) == ""
    assert "3.5 t" in render(first.what, pseudo) and "name" in render(last.what, pseudo)
    with pytest.raises(answers.UndoError) as refused:
        answers.undo_change(folder, first)
    assert outside(render(refused.value.said, pseudo)) == ""


def test_a_journal_of_texts_is_still_read(tmp_path: Path) -> None:
    """A folder whose last change was noted as a sentence shows that sentence, and it can be undone."""
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    answers.record_reading(folder, _day(20), "3.5 t")
    journal = folder / undo.UNDO_FILE
    entries = json.loads(journal.read_text())
    journal.write_text(json.dumps([{**entries[-1], "what": "a line was added {by hand}"}]))
    last = answers.last_change(folder)
    assert last is not None and str(last.what) == "a line was added {by hand}"
    assert answers.undo_change(folder, last) == last
