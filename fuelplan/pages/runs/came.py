"""Did these drops come? Published stops of past days without a weigh note, and the answer to each."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from fuelplan import answers, units
from fuelplan.answers.round import CHOICES, ToConfirm
from fuelplan.answers.which_runs import RunsAnswer, presented
from fuelplan.messages import as_text
from fuelplan.pages.parts import pieces
from fuelplan.pages.parts.folders import Chosen
from fuelplan.pages.runs import words as runs_words
from fuelplan.pages.runs.record import FieldFault, done, key_now, written
from fuelplan.pages.texts import runs as words


def show(found: RunsAnswer, round_: answers.Round, chosen: Chosen) -> None:
    """Ask about each drop, and write the answer down; a demo is only looked at."""
    if not found.to_confirm:
        return
    listing = presented.to_confirm(found)
    st.subheader(as_text(listing.title), anchor=False)
    pieces.small(words.CAME_LEAD)
    pieces.table(listing.head, runs_words.shown(listing.rows), stack=True)
    if not chosen.demo:
        _ask(found.to_confirm, round_)


def _ask(asked: Sequence[ToConfirm], round_: answers.Round) -> None:
    with st.form("did-it-come", border=False):
        which = st.selectbox(
            as_text(words.CAME_WHICH),
            range(len(asked)),
            format_func=lambda n: as_text(asked[n].said),
            key=key_now("came-which"),
        )
        answer = st.radio(
            as_text(words.CAME_ANSWER),
            list(dict(CHOICES)),
            format_func=pieces.named(dict(CHOICES)),
            key=key_now("came-answer"),
        )
        amount = str(
            st.text_input(
                as_text(words.CAME_KG),
                max_chars=20,
                help=as_text(words.CAME_KG_HELP),
                key=key_now("came-kg"),
            )
        )
        pressed = st.form_submit_button(as_text(words.CAME_SAVE), type="primary")
    if not pressed:
        return
    stop = asked[int(which)]

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
