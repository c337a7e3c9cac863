"""The part of the householder's page about logs, and what is to be done in the year."""

from __future__ import annotations

import streamlit as st

from fuelplan.answers.when_to_order import OrderAnswer
from fuelplan.messages.cautions import DEFER, undeferred
from fuelplan.pages.parts import pieces
from fuelplan.pages.parts.pieces import Fact
from fuelplan.pages.texts import logs as logs_texts
from fuelplan.units import show, show_as, show_date, show_range


def the_logs(found: OrderAnswer) -> None:
    """Show the logs: stock, how long they last, what loading saves, the stacks, when to cut."""
    logs = found.logs
    stock, gone = found.stacked_stock, found.stacked_run_out
    if logs is None or stock is None or gone is None or stock.stacked_m3 is None:
        return
    st.subheader(logs_texts.TITLE, anchor=False)
    pieces.say(logs.loading)
    until = logs_texts.BEYOND if gone.p50 is None else show_date(gone.p50, year=True)
    early = "" if gone.p10 is None else logs_texts.NOTE_EARLY.format(day=show_date(gone.p10, year=True))
    year = next((u for u in found.use_kg if u.fuel == stock.fuel and u.days == 365), None)
    low, high = logs.winter_stacked_m3
    items = [
        Fact(logs_texts.FACT_STOCK, show(stock.stacked_m3, "volume"), logs_texts.NOTE_STOCK),
        Fact(logs_texts.FACT_LASTS, until, early),
        Fact(logs_texts.FACT_YEAR, show_range(low, high, "volume"), logs_texts.NOTE_YEAR),
    ]
    if year is not None:
        items.append(
            Fact(logs_texts.FACT_BURNED, show_range(year.p10, year.p90, "mass"), logs_texts.NOTE_BURNED)
        )
    pieces.facts(items)
    if logs.light_next:
        pieces.say(logs.light_next)
    pieces.small_list([*logs.stacks, *logs.cut_by])


def the_heat_prices(found: OrderAnswer) -> None:
    """Show what a kilowatt-hour of heat costs with each fuel that the person entered."""
    if not found.heat_prices:
        return
    st.subheader(logs_texts.HEAT_TITLE, anchor=False)
    currency = found.heat_prices[0].currency
    head = tuple(cell.format(currency=currency) for cell in logs_texts.HEAT_HEAD)
    rows = []
    for p in found.heat_prices:
        one = p.high_per_kwh - p.low_per_kwh < 0.0005
        cost = f"{p.per_kwh:.3f}" if one else f"{p.low_per_kwh:.2f} to {p.high_per_kwh:.2f}"
        co2 = "–" if p.co2_kg_per_kwh is None else show_as(p.co2_kg_per_kwh, "kg", ".2f")
        rows.append((p.name, cost, co2))
    pieces.table(head, rows)
    pieces.small(logs_texts.HEAT_HOW.format(source=found.heat_prices[0].co2_source))


def the_upkeep(found: OrderAnswer) -> None:
    """Show what is to be done within a year, questions first."""
    if not found.upkeep:
        return
    st.subheader(logs_texts.UPKEEP_TITLE, anchor=False)
    rows = [
        (logs_texts.TO_ANSWER if e.kind == "question" else show_date(e.day, year=True), e.title, e.text)
        for e in found.upkeep
    ]
    pieces.table(logs_texts.UPKEEP_HEAD, rows, stack=True)
    cautions = {c.id: c for e in found.upkeep for c in e.cautions}
    shown = {c.id for c in found.cautions}
    extra = [(undeferred(c.text), "") for name, c in cautions.items() if name not in shown]
    if extra:
        with st.expander(logs_texts.UPKEEP_CAUTIONS):
            pieces.notes(extra, "danger")
            pieces.small(DEFER)
