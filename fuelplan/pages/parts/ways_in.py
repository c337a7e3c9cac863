"""The ways in, one per person and question; only what exists is offered."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import streamlit as st
from streamlit.navigation.page import Page

from fuelplan.messages import Message, Said, as_text
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import learn as learn_texts
from fuelplan.pages.texts import my_house as my_house_texts
from fuelplan.pages.texts import new_house as new_house_texts
from fuelplan.pages.texts import runs as runs_texts
from fuelplan.pages.texts import size as size_texts

FOLDER = Path(__file__).parent.parent / "questions"


@dataclass(frozen=True)
class WayIn:
    """One question: the thin file with its page, who asks it, the question, and what the answer holds."""

    file: str
    person: Said
    question: Said
    promise: Said
    link: Said = texts.FRONT_OPEN
    in_short: bool = True  # whether the front page answers it at once; some answers take too long for that


WAYS_IN: tuple[WayIn, ...] = (
    WayIn("when_to_order", texts.HOUSEHOLDER, texts.ORDER_QUESTION, texts.ORDER_PROMISE),
    WayIn(
        "what_we_burn",
        learn_texts.PERSON,
        learn_texts.QUESTION,
        learn_texts.PROMISE,
        learn_texts.OPEN,
        in_short=False,
    ),
    WayIn(
        "how_big",
        size_texts.INSTALLER,
        size_texts.QUESTION,
        size_texts.PROMISE,
        size_texts.OPEN,
        in_short=False,
    ),
    WayIn(
        "which_runs",
        runs_texts.PERSON,
        runs_texts.QUESTION,
        runs_texts.PROMISE,
        runs_texts.OPEN,
        in_short=False,
    ),
)


@dataclass(frozen=True)
class SidePage:
    """A page that answers no question: thin file, title, and whether the line at the top leads to it."""

    file: str
    title: Message
    at_the_top: bool = False


SIDE_PAGES: tuple[SidePage, ...] = (
    SidePage("my_house", my_house_texts.TITLE, at_the_top=True),
    SidePage("new_house", new_house_texts.TITLE),
    SidePage("spreadsheet", my_house_texts.SHEET_TITLE),
)


def page_of(file: str, title: Said, default: bool = False) -> Page:
    """Return the page of a thin file; its address is the file's name with hyphens."""
    return st.Page(
        FOLDER / f"{file}.py", title=as_text(title), url_path=file.replace("_", "-"), default=default
    )
