"""The part of the householder's page about logs, and what is to be done in the year."""

from __future__ import annotations

import streamlit as st

from fuelplan.answers.when_to_order import (
    HEAT_TITLE,
    OrderAnswer,
    heat_head,
    heat_how,
    heat_rows,
    log_lines,
    log_rows,
    tonight_rows,
    upkeep_rows,
)
from fuelplan.messages import as_text
from fuelplan.messages.cautions import DEFER, undeferred
from fuelplan.pages.parts import pieces
from fuelplan.pages.parts.pieces import Fact
from fuelplan.pages.texts import logs as logs_texts


def tonight(found: OrderAnswer) -> None:
    """Show what to do about the next fire, where the buffer's temperatures are known."""
    rows = tonight_rows(found)
    if not rows:
        return
    st.subheader(as_text(logs_texts.TONIGHT), anchor=False)
    pieces.facts(Fact(row.name, row.value, row.note) for row in rows)


def the_logs(found: OrderAnswer) -> None:
    """Show the logs: stock, how long they last, what loading saves, the stacks, when to cut."""
    rows = log_rows(found)
    if found.logs is None or not rows:
        return
    st.subheader(as_text(logs_texts.TITLE), anchor=False)
    pieces.say(found.logs.loading)
    pieces.facts(Fact(row.name, row.value, row.note) for row in rows)
    pieces.small_list(log_lines(found))


def the_heat_prices(found: OrderAnswer) -> None:
    """Show what a kilowatt-hour of heat costs with each fuel that the person entered."""
    if not found.heat_prices:
        return
    st.subheader(as_text(HEAT_TITLE), anchor=False)
    pieces.table(heat_head(found), heat_rows(found))
    pieces.small(heat_how(found))


def the_upkeep(found: OrderAnswer) -> None:
    """Show what is to be done within a year, questions first."""
    if not found.upkeep:
        return
    st.subheader(as_text(logs_texts.UPKEEP_TITLE), anchor=False)
    pieces.table(logs_texts.UPKEEP_HEAD, upkeep_rows(found), stack=True)
    cautions = {c.id: c for e in found.upkeep for c in e.cautions}
    shown = {c.id for c in found.cautions}
    extra = [(undeferred(c.text), "") for name, c in cautions.items() if name not in shown]
    if extra:
        with st.expander(as_text(logs_texts.UPKEEP_CAUTIONS)):
            pieces.notes(extra, "danger")
            pieces.small(DEFER)
