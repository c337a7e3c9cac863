"""Undo takes back what was shown and nothing else: two people at one folder, on pages and command line."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
import streamlit as st

from fuelplan import answers
from fuelplan.cli.main import main
from fuelplan.records.round import open_round
from tests.page_texts import my_house as my_house_texts
from tests.round_folders import make_round
from tests.site_folders import make_site
from tests.ui_pages import click, copy_of, field_faults, opened, words

WISHES = """\
customer,wish,date,tanker,by,why
K-01,pin,2026-01-14,,Anna,hose
K-02,forbid,,T1,,
K-01,move,2026-01-15,T2,,
"""


def test_what_another_session_saved_since_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One saves A, another saves B, the first clicks Undo under A: both stay, and B is named."""
    house = copy_of("family_house", tmp_path / "house")
    st.cache_resource.clear()
    answers.record_reading(house, date(2026, 1, 14), "1.9 t", note="mine")
    first = opened("my_house", house, monkeypatch)
    assert "mine" in words(first)
    answers.record_reading(house, date(2026, 1, 15), "1.8 t", note="theirs")
    before = (house / "readings.csv").read_bytes()
    click(first, my_house_texts.UNDO)
    assert (house / "readings.csv").read_bytes() == before
    (said,) = field_faults(first)
    assert "theirs" in said and "nothing was undone" in said
    click(first, my_house_texts.UNDO)  # what stands above the button now is the other's
    text = (house / "readings.csv").read_text()
    assert "theirs" not in text and "mine" in text


def test_a_change_that_another_session_undid_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two look at the same last change, and both click Undo: the second is told, the change before stays."""
    house = copy_of("family_house", tmp_path / "house")
    st.cache_resource.clear()
    only = (house / "readings.csv").read_bytes()
    answers.record_reading(house, date(2026, 1, 15), "1.8 t", note="once")
    page = opened("my_house", house, monkeypatch)
    answers.undo_change(house, answers.last_change(house))
    click(page, my_house_texts.UNDO)
    assert (house / "readings.csv").read_bytes() == only
    assert any("no change to undo" in fault for fault in field_faults(page))


def test_an_undo_is_refused_with_what_followed(tmp_path: Path) -> None:
    """In the library: a change of another file, too, is what followed; undone first, the one before goes."""
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    answers.record_reading(folder, date(2020, 11, 20), "3.5 t")
    shown = answers.last_change(folder)
    answers.record_order(folder, date(2020, 11, 21), "2 t")
    answers.record_order(folder, date(2020, 11, 22), "3 t")
    with pytest.raises(answers.UndoError, match=r"2020-11-22.*and 1 more.*nothing was undone"):
        answers.undo_change(folder, shown)
    for _ in range(2):
        answers.undo_change(folder, answers.last_change(folder))
    assert answers.undo_change(folder, shown).what == shown.what
    with pytest.raises(answers.UndoError, match="no change"):
        answers.undo_change(folder, shown)
    answers.record_reading(folder, date(2020, 11, 25), "3 t")
    with pytest.raises(answers.UndoError, match="undone already"):
        answers.undo_change(folder, shown)


def test_a_name_means_the_line_it_was_listed_for(tmp_path: Path) -> None:
    """Somebody takes the line above out: the name means its own line; one that has gone is none."""
    folder = make_round(tmp_path / "round", files={"wishes.csv": WISHES})
    pin, forbid, move = (entry.name for entry in answers.noted(open_round(folder)))
    answers.take_out(open_round(folder), answers.noted_by_name(open_round(folder), [pin]))
    with pytest.raises(ValueError, match="forbid K-02"):
        answers.noted_by_name(open_round(folder), [pin])
    answers.take_out(open_round(folder), answers.noted_by_name(open_round(folder), [forbid]))
    assert [w.wish for w in open_round(folder).wishes] == ["move"]
    assert answers.noted(open_round(folder))[0].name != move, "its row is another, its mark the same"
    text = (folder / "wishes.csv").read_text()
    (folder / "wishes.csv").write_text(text.replace("2026-01-15,T2,,", "2026-01-15,T2,,gate"))
    with pytest.raises(ValueError, match="gate"):
        answers.noted_by_name(open_round(folder), [move])


def test_a_row_alone_is_no_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`--take-back "wish 2"` could mean what came there since: refused with what stands there."""
    folder = make_round(tmp_path / "round", files={"wishes.csv": WISHES})
    (name, *_) = (entry.name for entry in answers.noted(open_round(folder)))
    with pytest.raises(SystemExit) as left:
        main(["runs", str(folder), "--days", "3", "--moves", "50", "--take-back", "wish 2"])
    said = " ".join(capsys.readouterr().err.split())
    assert left.value.code == 2 and name in said and "pin K-01" in said
    assert (folder / "wishes.csv").read_text() == WISHES
