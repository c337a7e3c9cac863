"""Something has happened: a reading, an order, a delivery become lines in the folder's files."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import streamlit as st

from fuelplan import answers
from fuelplan.answers.order_answer import OrderAnswer
from fuelplan.ui import pieces, texts
from fuelplan.ui.folders import Chosen
from fuelplan.ui.order_words import amount
from fuelplan.ui.pieces import plain_label

LONGEST_NOTE = 200


def show(found: OrderAnswer, chosen: Chosen) -> None:
    """Show the three forms, one at a time."""
    st.subheader(texts.RECORD_TITLE, anchor=False)
    if chosen.demo:
        pieces.small(texts.RECORD_DEMO)
        return
    pieces.small(texts.RECORD_LEAD)
    kinds = {
        texts.RECORD_READING: _reading,
        texts.RECORD_ORDER: _order,
        texts.RECORD_DELIVERY: _delivery,
    }
    kind = st.segmented_control(
        texts.RECORD_TITLE,
        list(kinds),
        default=texts.RECORD_READING,
        required=True,
        label_visibility="collapsed",
    )
    kinds[str(kind)](found, chosen)


def _reading(found: OrderAnswer, chosen: Chosen) -> None:
    with st.form("record-reading", border=False):
        day = st.date_input(texts.READ_ON, chosen.as_of, format="YYYY-MM-DD")
        text = st.text_input(texts.READ_AMOUNT, help=texts.READ_AMOUNT_HELP, max_chars=40)
        note = st.text_input(texts.NOTE, max_chars=LONGEST_NOTE)
        _save(text, lambda: answers.record_reading(chosen.path, day, text, note=note))


def _order(found: OrderAnswer, chosen: Chosen) -> None:
    proposed = found.order
    first = proposed.deliver_from if proposed else chosen.as_of + timedelta(days=7)
    last = proposed.deliver_to if proposed else chosen.as_of + timedelta(days=14)
    with st.form("record-order", border=False):
        day = st.date_input(texts.ORDERED_ON, chosen.as_of, format="YYYY-MM-DD")
        text = st.text_input(
            texts.ORDERED_AMOUNT,
            amount(proposed.amount_kg) if proposed else "",
            help=texts.ORDERED_AMOUNT_HELP,
            max_chars=40,
        )
        left, right = st.columns(2)
        due_from = left.date_input(texts.DUE_FROM, first, format="YYYY-MM-DD")
        due_to = right.date_input(texts.DUE_TO, last, format="YYYY-MM-DD")
        _save(text, lambda: answers.record_order(chosen.path, day, text, due_from, due_to))


def _delivery(found: OrderAnswer, chosen: Chosen) -> None:
    placed = found.placed[0] if found.placed else None
    with st.form("record-delivery", border=False):
        left, right = st.columns(2)
        ordered = left.date_input(
            texts.ORDERED_ON, placed.ordered_on if placed else chosen.as_of, format="YYYY-MM-DD"
        )
        day = right.date_input(texts.DELIVERED_ON, chosen.as_of, format="YYYY-MM-DD")
        text = st.text_input(
            texts.DELIVERED_AMOUNT,
            amount(placed.amount_kg) if placed else "",
            help=texts.DELIVERED_AMOUNT_HELP,
            max_chars=40,
        )
        _save(text, lambda: answers.record_delivery(chosen.path, ordered, day, text))


def _save(text: str, write: Callable[[], object]) -> None:
    """Show the button of a form; on a click write, or say at the form why not."""
    if not st.form_submit_button(texts.SAVE, type="primary"):
        return
    if not text.strip():
        st.error(texts.AMOUNT_MISSING)
        return
    try:
        write()
    except (ValueError, OSError) as problem:
        st.error(plain_label(str(problem)))
        return
    st.toast(texts.SAVED)
    st.rerun()
