"""Questions back to the person, each with its buttons: an answer is written into the row it is about."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import streamlit as st

from fuelplan import answers
from fuelplan.answers.when_to_order import OrderAnswer
from fuelplan.messages import as_text, said_by
from fuelplan.pages.parts import pieces, reading
from fuelplan.pages.parts.flash import flash
from fuelplan.pages.parts.folders import Chosen
from fuelplan.pages.texts import order_asked as words

LONGEST_AMOUNT = 40
A_WEEK = timedelta(days=7)


def show(found: OrderAnswer, chosen: Chosen) -> None:
    """Show each question with the ways to answer it."""
    for number, question in enumerate(found.questions):
        if not question.choices:
            continue
        with st.container(key=f"asked-{number}", border=True):
            pieces.say(question.headline)
            if chosen.demo:
                pieces.small(words.DEMO)
            elif question.code == "order_overdue":
                _overdue(question, chosen, number)
            else:
                _choices(question, chosen, number)


def the_entries_set_aside(found: OrderAnswer) -> None:
    """Show the entries that did not move the answer, each with the reason."""
    if not found.set_aside:
        return
    with st.expander(as_text(words.aside_title(len(found.set_aside)))):
        pieces.table(words.ASIDE_HEAD, [(entry.text, entry.reason) for entry in found.set_aside], stack=True)


def _choices(question: answers.Question, chosen: Chosen, number: int) -> None:
    for choice, column in zip(question.choices, st.columns(len(question.choices)), strict=True):
        with column:
            if st.button(as_text(choice.label), key=f"asked-{number}-{choice.code}"):
                _settle(lambda code=choice.code: _write(question, chosen, code))  # type: ignore[misc]


def _overdue(question: answers.Question, chosen: Chosen, number: int) -> None:
    """Ask for what came and when, or by when it should come now."""
    form = reading.date_field(chosen.country)
    with st.form(f"asked-{number}-came", border=False):
        left, right = st.columns(2)
        with left:
            amount = str(
                st.text_input(
                    as_text(words.CAME_AMOUNT), max_chars=LONGEST_AMOUNT, key=f"asked-{number}-amount"
                )
            )
        with right:
            day: date = st.date_input(
                as_text(words.CAME_ON), chosen.as_of, format=form, key=f"asked-{number}-day"
            )
        if st.form_submit_button(as_text(words.CAME)):
            _settle(lambda: _write(question, chosen, "came", amount=amount, day=day))
    left, right = st.columns(2)
    with left:
        until: date = st.date_input(
            as_text(words.UNTIL), chosen.as_of + A_WEEK, format=form, key=f"asked-{number}-until"
        )
        if st.button(as_text(words.NOT_YET), key=f"asked-{number}-not_yet"):
            _settle(lambda: _write(question, chosen, "not_yet", until=until))
    with right:
        if st.button(as_text(words.CANCELLED), key=f"asked-{number}-cancelled"):
            _settle(lambda: _write(question, chosen, "cancelled"))


def _write(
    question: answers.Question,
    chosen: Chosen,
    code: str,
    *,
    amount: str = "",
    day: date | None = None,
    until: date | None = None,
) -> None:
    answers.settle(chosen.path, question, code, as_of=chosen.as_of, amount=amount, day=day, until=until)


def _settle(write: Callable[[], None]) -> None:
    try:
        write()
    except answers.SiteFaults as problem:
        for fault in problem.faults:
            pieces.field_fault(fault.said)
        return
    except (ValueError, OSError) as problem:
        pieces.field_fault(said_by(problem))
        return
    flash(words.SETTLED)
    st.rerun()
