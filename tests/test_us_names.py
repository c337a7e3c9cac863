"""A name that looks like a quantity stays as its person wrote it, on every face and for every reader."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import streamlit as st

from fuelplan.cli.main import main
from fuelplan.cli.size import answer_for
from fuelplan.papers.document import document_of
from fuelplan.units import Reader, written_for
from tests.papers.test_us_report import METRIC, texts_of
from tests.ui_pages import copy_of, opened, words

NAMES = {
    "House by the lime tree": "House of 12 t",
    "Quellmark fuel yard": "Yard 40 kg to 50 kg",
    "Upper mill co-operative": "Mill 10 W",
    "Invented weather of the invented valley of Quellmark": "Weather of Station 5 K",
}
US = Reader("us", "month first")


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """The demo house, its suppliers and its weather with names that look like quantities."""
    made = copy_of("family_house", tmp_path / "house")
    text = (made / "site.toml").read_text(encoding="utf-8")
    for old, new in NAMES.items():
        assert old in text
        text = text.replace(old, new)
    (made / "site.toml").write_text(text, encoding="utf-8")
    return made


def without_names(text: str) -> str:
    """A text without the names of this house."""
    for name in NAMES.values():
        text = text.replace(name, "")
    return text


@pytest.mark.parametrize(
    ("verb", "shown"),
    [
        (["order", "--since", "2026-01-02"], NAMES.values()),
        (["size"], ["House of 12 t", "Weather of Station 5 K"]),
    ],
)
def test_the_command_line_leaves_names_alone(
    house: Path, capsys: pytest.CaptureFixture[str], verb: list[str], shown: list[str]
) -> None:
    """ "Mill 10 W" stays "Mill 10 W" with --us, and all else is in US units."""
    asked = [verb[0], str(house), "--as-of", "2026-01-15", *verb[1:], "--us"]
    with pytest.raises(SystemExit, match="0"):
        main(asked)
    said = re.sub(r"\s+", " ", capsys.readouterr().out)
    assert [name for name in shown if name not in said] == []
    assert METRIC.findall(without_names(said)) == []


def test_the_report_leaves_names_alone(house: Path) -> None:
    """Names stay in every text of the printed page."""
    with written_for(US):
        texts = " ".join(texts_of(document_of(answer_for(str(house), "2026-01-15", 1, None))))
    assert "House of 12 t" in texts and "Weather of Station 5 K" in texts
    assert METRIC.findall(without_names(texts)) == []


@pytest.mark.parametrize(("page", "shown"), [("when_to_order", "Mill 10 W"), ("how_big", "House of 12 t")])
def test_a_page_in_the_us_leaves_names_alone(
    house: Path, monkeypatch: pytest.MonkeyPatch, page: str, shown: str
) -> None:
    """The page of a house in the US shows a supplier's name in the bill, and a house's, as they are."""
    st.cache_resource.clear()
    text = (house / "site.toml").read_text(encoding="utf-8")
    (house / "site.toml").write_text(text.replace('country = "AT"', 'country = "US"'), encoding="utf-8")
    said = words(opened(page, house, monkeypatch))
    assert shown in said
    assert not [turned for turned in ("34 BTU/h", "26,000 lb", "88 to 110 lb") if turned in said]
