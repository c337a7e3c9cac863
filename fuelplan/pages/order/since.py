"""What changed since the person last looked, or since another day: sooner or later, and why."""

from __future__ import annotations

from datetime import date, timedelta

import streamlit as st

from fuelplan import answers
from fuelplan.answers.when_to_order import OrderAnswer
from fuelplan.messages import as_text
from fuelplan.pages.parts import load, long_work, pieces, reading
from fuelplan.pages.parts.folders import Chosen
from fuelplan.pages.parts.trouble import or_trouble, report_our_mistakes
from fuelplan.pages.texts import order as texts

AGO_DAYS = 7


def show(found: OrderAnswer, chosen: Chosen) -> None:
    """Show the changes since the last look, and compare with another day on a click."""
    earlier = [day for day in answers.looked_on(chosen.path) if day < found.as_of]
    if not chosen.demo:
        answers.remember_look(chosen.path, found.as_of)
    if earlier:
        st.subheader(as_text(texts.SINCE_TITLE), anchor=False)
        pieces.small(texts.since_lead(earlier[-1]))
        the_changes(chosen, earlier[-1])
    with st.expander(as_text(texts.SINCE_OTHER)):
        st.fragment(lambda: report_our_mistakes(lambda: _other_day(found, chosen)))()


def the_changes(chosen: Chosen, since: date) -> None:
    """Show what is different, the last safe day first, then why."""
    changed = or_trouble(
        lambda: long_work.shown(
            f"since-{since}-{chosen}", lambda: load.changes(chosen.path, chosen.as_of, since)
        )
    )
    if changed is None:
        return
    pieces.say(changed.sentences[0])
    pieces.small_list(changed.sentences[1:])


def _other_day(found: OrderAnswer, chosen: Chosen) -> None:
    reading.again()
    with st.form("since", border=False):
        day = st.date_input(
            as_text(texts.SINCE_DAY),
            found.as_of - timedelta(days=AGO_DAYS),
            help=as_text(texts.SINCE_DAY_HELP),
            format=reading.date_field(chosen.country),
            key="since-day",
        )
        pressed = st.form_submit_button(as_text(texts.SINCE_BUTTON))
    if not pressed:
        return
    if day is None or day >= found.as_of:
        pieces.field_fault(texts.since_later(found.as_of))
        return
    the_changes(chosen, day)
