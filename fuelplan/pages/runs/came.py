"""Did these drops come? Published stops of past days without a weigh note, and the answer to each."""

from __future__ import annotations

import streamlit as st

from fuelplan import answers, units
from fuelplan.answers.round import ToConfirm
from fuelplan.answers.which_runs import RunsAnswer
from fuelplan.pages.parts import pieces
from fuelplan.pages.parts.folders import Chosen
from fuelplan.pages.runs import words as runs_words
from fuelplan.pages.runs.record import FieldFault, done, key_now, written
from fuelplan.pages.texts import runs as words
from fuelplan.papers import dated


def show(found: RunsAnswer, round_: answers.Round, chosen: Chosen) -> None:
    """Ask about each drop, and write the answer down; a demo is only looked at."""
    if not found.to_confirm:
        return
    st.subheader(words.CAME_TITLE, anchor=False)
    pieces.small(words.CAME_LEAD)
    pieces.table(words.CAME_HEAD, runs_words.came_rows(found), stack=True)
    if not chosen.demo:
        _ask({stop.text: stop for stop in found.to_confirm}, round_)


def _ask(asked: dict[str, ToConfirm], round_: answers.Round) -> None:
    with st.form("did-it-come", border=False):
        which = st.selectbox(
            words.CAME_WHICH, list(asked), format_func=lambda t: dated(str(t)), key=key_now("came-which")
        )
        answer = st.radio(
            words.CAME_ANSWER,
            list(words.CAME_ANSWERS),
            format_func=lambda a: words.CAME_ANSWERS[str(a)],
            key=key_now("came-answer"),
        )
        amount = str(
            st.text_input(words.CAME_KG, max_chars=20, help=words.CAME_KG_HELP, key=key_now("came-kg"))
        )
        pressed = st.form_submit_button(words.CAME_SAVE, type="primary")
    if not pressed:
        return
    stop = asked[str(which)]

    def write() -> bool:
        kg = _kg(amount) if answer == "other_amount" else None
        what = "failed drop" if answer == "did_not_come" else "came"
        reason = "other" if answer == "did_not_come" else ""
        answers.record_happening(round_, what, stop.day, customer=stop.customer, kg=kg, reason=reason)
        return True

    if written(write):
        done(words.SAVED)


def _kg(text: str) -> float:
    """Return an amount; a bare number is kilograms."""
    if not text.strip():
        raise FieldFault(words.CAME_KG_MISSING)
    plain = text.strip().replace(",", ".")
    return units.parse(f"{plain} kg" if plain.replace(".", "").isdigit() else text, "mass")
