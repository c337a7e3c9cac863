"""The front page: each person's question, with its answer in one sentence where there is a folder to ask."""

from __future__ import annotations

import streamlit as st

from fuelplan import answers
from fuelplan.answers.when_to_order import headline
from fuelplan.messages import Said, as_text
from fuelplan.pages.parts import folders, load, pieces
from fuelplan.pages.parts.ways_in import WAYS_IN, page_of
from fuelplan.pages.runs import rounds
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import new_house as new_house_texts
from fuelplan.pages.texts import runs as runs_texts

LED_KEY = "led-to-the-runs"


def show() -> None:
    """Show the questions that can be asked; who began with a round is led to its runs at first."""
    if rounds.given_round() is not None and not st.session_state.get(LED_KEY):
        st.session_state[LED_KEY] = True
        st.switch_page(page_of("which_runs", runs_texts.QUESTION))
    pieces.answer(texts.FRONT_TITLE)
    pieces.say(texts.FRONT_LEAD)
    chosen = folders.choose()
    if chosen is None:
        st.page_link(page_of("new_house", new_house_texts.TITLE), label=as_text(new_house_texts.LINK))
        pieces.notes([(texts.NO_FOLDER, "")], "warn")
        return
    with st.container(key="new-house-link"):
        pieces.small(new_house_texts.FRONT_LEAD)
        st.page_link(page_of("new_house", new_house_texts.TITLE), label=as_text(new_house_texts.LINK))
    pieces.kicker(texts.house_and_day(folders.name_of(chosen), chosen.as_of))
    for way in WAYS_IN:
        with st.container(key=f"way-{way.file}"):
            pieces.kicker(way.person)
            st.subheader(as_text(way.question), anchor=False)
            if way.in_short:
                pieces.short_answer(_in_short(chosen))
            pieces.small(way.promise)
            st.page_link(page_of(way.file, way.question), label=as_text(way.link))


def _in_short(chosen: folders.Chosen) -> Said:
    try:
        found = load.order_answer(chosen.path, chosen.as_of)
    except (ValueError, answers.WeatherUnavailable):
        return texts.FRONT_FOLDER_FAULTY
    return headline(found)
