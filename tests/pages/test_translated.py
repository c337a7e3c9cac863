"""The pages in a language that nobody speaks: what a person reads went through the catalogue, but for what
persons wrote themselves, and nothing made a text of a message before it was known for whom.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from contextvars import ContextVar
from html import unescape
from pathlib import Path
from typing import Any

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from fuelplan import answers
from fuelplan.messages import spoken, strict
from fuelplan.pages.parts import reading
from fuelplan.units import Reader, written_for
from tests.page_texts import common
from tests.pseudo_language import PSEUDO, outside, speak_pseudo
from tests.ui_pages import UI, copy_of, opened

READ = {"label", "body", "help", "placeholder", "options", "content", "captions", "alt"}
"""Fields of what Streamlit sends to the browser that a person reads or hears."""

WORD = re.compile(r"[^\W\d_]{3,}")
OWN = (
    *(
        "House by the lime tree",
        "linden",
        "family_house",
        "village_school",
        "family house",
        "farmhouse",
        "village school",
    ),
    *("quellmark", "Heron", "Stork", "Wren", "customer since this month"),
)
"""What persons called their houses, folders and tankers, and noted of a customer."""

UNITS = {"EUR", "kWh", "kg"}


@pytest.fixture
def pseudo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Reader]:
    """A browser whose person reads the pseudo-language, units and dates as in its country."""
    reader = speak_pseudo(monkeypatch, tmp_path / "catalogues")
    # One page alone is opened without the script around all pages, which begins with the browser's language.
    monkeypatch.setattr(sys.modules["fuelplan.units.reader"], "_reader", ContextVar("reader", default=reader))
    monkeypatch.setattr(type(st.context), "locale", "xx")
    st.cache_resource.clear()
    yield reader
    st.cache_resource.clear()


def read_on(page: AppTest) -> Iterator[str]:
    """Every text of a page: labels, help texts, options, and what stands in our own pieces."""
    assert not page.exception, page.exception
    for node in _nodes(page._tree):
        for name, text in _strings(getattr(node, "proto", None)):
            if name in READ:
                yield from _texts(text)


def _nodes(node: Any) -> Iterator[Any]:
    yield node
    for child in getattr(node, "children", {}).values():
        yield from _nodes(child)


def _strings(proto: Any) -> Iterator[tuple[str, str]]:
    for field, value in proto.ListFields() if hasattr(proto, "ListFields") else ():
        values = value if field.is_repeated else [value]
        for one in values if field.type in (field.TYPE_STRING, field.TYPE_MESSAGE) else ():
            if isinstance(one, str):
                yield field.name, one
            else:
                yield from _strings(one)


def _texts(body: str) -> Iterator[str]:
    """The texts of a piece of HTML, those in its attributes, too; a style sheet has none."""
    if body.startswith("<style"):
        return
    yield from (unescape(text) for text in re.findall(r'(?:alt|data-head)="([^"]*)"', body))
    yield from (unescape(text) for text in re.split(r"<[^>]*>", body))


def untranslated(page: AppTest, *own: str) -> list[str]:
    """Texts of a page with words that did not come through the catalogue."""
    found = []
    texts = list(dict.fromkeys(read_on(page)))
    assert not any(common.OUR_MISTAKE in text for text in texts), "the page broke"
    for text in texts:
        left = outside(text.replace("\\", ""))
        for name in sorted(own, key=len, reverse=True):
            left = left.replace(name, "")
        if any(word not in UNITS for word in WORD.findall(left)):
            found.append(left)
    return found


def test_the_front_page_is_translated(
    pseudo: Reader, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Name, ways in, questions, promises, the answer in short and the line at the foot."""
    monkeypatch.setattr(sys, "argv", ["page.py", str(copy_of("family_house", tmp_path / "linden"))])
    with strict():
        page = AppTest.from_file(str(UI / "page.py"), default_timeout=120).run()
    assert sum("⟦" in text for text in read_on(page)) > 25
    assert untranslated(page, "fuelplan", *OWN) == []


def test_the_order_page_is_translated(
    pseudo: Reader, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Answer, facts, tables, sliders, forms and cautions of a house."""
    folder = copy_of("family_house", tmp_path / "linden")
    with strict():
        page = opened("when_to_order", folder, monkeypatch)
    assert sum("⟦" in text for text in read_on(page)) > 100
    assert untranslated(page, *OWN) == []


@pytest.mark.parametrize(
    ("name", "house", "least"),
    [
        ("what_we_burn", "family_house", 60),
        ("how_big", "village_school", 200),
        ("my_house", "family_house", 50),
        ("spreadsheet", "family_house", 10),
        ("which_runs", "round_quellmark", 500),
    ],
)
def test_the_other_pages_are_translated(
    name: str, house: str, least: int, pseudo: Reader, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a house burns, how big a store, a house's own page, a table brought in, and a supplier's runs."""
    folder = copy_of(house, tmp_path / house.replace("round_quellmark", "quellmark"))
    with strict():
        page = opened(name, folder, monkeypatch)
    assert sum("⟦" in text for text in read_on(page)) > least
    assert untranslated(page, *OWN) == []


def test_the_form_of_a_new_house_is_translated(pseudo: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every field with what it is for."""
    with strict():
        page = opened("new_house", None, monkeypatch)
    assert sum("⟦" in text for text in read_on(page)) > 60
    assert untranslated(page, *answers.country_names().values(), *answers.burned_in_bulk()) == []


def test_the_browser_says_the_language(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A language with a catalogue is spoken, with its land or without; all others read English."""
    assert spoken("xx") == "en"
    speak_pseudo(monkeypatch, tmp_path)
    assert (spoken("xx"), spoken("xx-AT")) == ("xx", "xx_AT")
    assert (spoken("de-DE"), spoken("en-GB"), spoken(None)) == ("en", "en", "en")
    assert PSEUDO.language == "xx"


def test_countries_have_the_names_of_the_language() -> None:
    """In German the list of countries is German, and sorted by its names; English needs no other package."""
    english = answers.country_names()
    assert reading.country_names(english) is english
    with written_for(Reader(language="de")):
        german = reading.country_names(english)
    assert (german["AT"], set(german)) == ("Österreich", set(english))
    assert list(german.values()).index("Österreich") < list(german.values()).index("Polen")
