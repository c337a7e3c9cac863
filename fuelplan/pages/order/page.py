"""The householder's page: when do I order, and how much? First the answer, then why."""

from __future__ import annotations

import streamlit as st

from fuelplan.answers.when_to_order import (
    WAYS_HEAD,
    WAYS_LEAD,
    OrderAnswer,
    bill_head,
    bill_rows,
    date_rows,
    facts,
    headline,
    origin,
    way_notes,
    way_rows,
    year_cost,
)
from fuelplan.charts import level_alt, level_chart, level_csv, level_table, near_days
from fuelplan.messages import Day, Said, as_text
from fuelplan.messages.cautions import DEFER, undeferred
from fuelplan.pages.order import asked as order_asked
from fuelplan.pages.order import logs as order_logs
from fuelplan.pages.order import record as order_record
from fuelplan.pages.order import since as order_since
from fuelplan.pages.order import what_if as order_what_if
from fuelplan.pages.parts import drawn, folders, load, look, one_house, pieces
from fuelplan.pages.parts.pieces import Fact
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import order as words
from fuelplan.papers import order_calendar


def show() -> None:
    """Show the page for the house and the day that are chosen."""
    answered = one_house.asked("order", load.order_answer)
    if answered is None:
        return
    chosen, found = answered
    the_answer(found)
    order_asked.show(found, chosen)
    since = st.container()
    the_level(found)
    order_what_if.show(found, chosen)
    the_dates(found)
    order_logs.tonight(found)
    order_logs.the_logs(found)
    the_cost(found)
    order_logs.the_heat_prices(found)
    order_logs.the_upkeep(found)
    order_record.show(found, chosen)
    the_cautions(found)
    the_origin(found)
    order_asked.the_entries_set_aside(found)
    with since:  # last of all: the rest of the page need not wait for it
        order_since.show(found, chosen)


def the_answer(found: OrderAnswer) -> None:
    """Answer the question in one sentence, then with the few facts that go with it."""
    with st.container(key="the-answer"):
        pieces.kicker(texts.as_of(found.site, found.as_of))
        pieces.answer(headline(found))
        pieces.say(found.sentence)
        pieces.facts(Fact(row.name, row.value, row.note) for row in facts(found))
        if found.advice is not None:
            pieces.small(found.advice.reason)
        pieces.notes([(text, "") for text in found.warnings], "warn")


def the_level(found: OrderAnswer) -> None:
    """Show what will be in the store, as a picture and as a table."""
    if not found.levels:
        return
    st.subheader(as_text(words.LEVEL_TITLE), anchor=False)
    fuels = list(dict.fromkeys(band.fuel for band in found.levels))
    fuel = (
        fuels[0]
        if len(fuels) == 1
        else st.segmented_control(as_text(texts.FUEL), fuels, default=fuels[0], required=True)
    )
    span = st.segmented_control(
        as_text(words.SPAN),
        list(words.SPANS),
        format_func=pieces.named(words.SPANS),
        default="near",
        required=True,
        label_visibility="collapsed",
        key="level-span",
    )
    days = near_days(found, str(fuel)) if span == "near" else None
    drawn.chart(
        (found, fuel, days),
        lambda: level_chart(found, str(fuel), palette=look.palette(), days=days),
        as_text(level_alt(found, str(fuel))),
        key="level-chart",
    )
    pieces.small(words.LEVEL_HOW)
    with st.expander(as_text(texts.TABLE_TITLE)):
        rows = [
            (Day(row.day, year=True), row.usual, row.usual_range, row.low, row.without)
            for row in level_table(found, str(fuel))
        ]
        pieces.table(words.TABLE_HEAD, rows)
        st.download_button(
            as_text(words.TABLE_DOWNLOAD),
            level_csv(found, str(fuel)),
            f"levels-{folders.file_word(found.site)}.csv",
            "text/csv",
            on_click="ignore",
        )


def the_dates(found: OrderAnswer) -> None:
    """Show the orders on their way and to come, and give them as a calendar file."""
    st.subheader(as_text(words.DATES_TITLE), anchor=False)
    rows = [(r.name, r.order_by, r.delivery, r.amount, r.risk) for r in date_rows(found)]
    if not rows:
        pieces.say(words.dates_none(found.horizon_days))
        return
    pieces.table(words.DATES_HEAD, rows, stack=True)
    st.download_button(
        as_text(words.CALENDAR_BUTTON),
        order_calendar(found),
        f"fuelplan-{folders.file_word(found.site)}.ics",
        "text/calendar",
        type="primary",
        help=as_text(words.CALENDAR_HELP),
        on_click="ignore",
    )


def the_cost(found: OrderAnswer) -> None:
    """Show the bill of the proposed order, the year's cost, and what simple rules would cost."""
    cost, advice = year_cost(found), found.advice
    if cost is None:
        return
    st.subheader(as_text(words.COST_TITLE), anchor=False)
    pieces.say(cost)
    if advice is None:
        return
    if advice.bill is not None:
        pieces.table((bill_head(advice.bill), ""), bill_rows(advice.bill, found.currency))
        pieces.small_list([*advice.bill.notes, *advice.bill.refused])
    rows = way_rows(found)
    if rows:
        pieces.small(WAYS_LEAD)
        pieces.table(WAYS_HEAD, rows, stack=True)
        pieces.small_list(way_notes(found))


def the_cautions(found: OrderAnswer) -> None:
    """Show what can hurt someone, and who has the last word on it."""
    if not found.cautions:
        return
    st.subheader(as_text(texts.CAUTIONS_TITLE), anchor=False)
    pieces.say(DEFER)
    pieces.notes(cautions_of(found), "danger")


def cautions_of(found: OrderAnswer) -> list[tuple[Said, Said]]:
    """Return each caution with its reason; what all of them defer to is said once beside them."""
    return [(undeferred(c.text), c.why) for c in found.cautions]


def the_origin(found: OrderAnswer) -> None:
    """Show where the numbers come from, with the thanks that the weather's licence asks for."""
    st.subheader(as_text(words.ORIGIN_TITLE), anchor=False)
    pieces.small_list(origin(found))
