"""What if …: today's plan and another one side by side. Nothing is saved."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import streamlit as st

from fuelplan import answers
from fuelplan.answers.when_to_order import (
    AMOUNT,
    DELIVERY,
    EMPTY,
    ORDER_BY,
    RISK,
    YEAR_COST,
    OrderAnswer,
    amount,
    burned_in,
    day_of,
    headline,
    window_of,
)
from fuelplan.messages import Chance, Message, Money, Quantity, Said, as_text
from fuelplan.pages.parts import load, pieces, reading
from fuelplan.pages.parts.folders import Chosen
from fuelplan.pages.parts.pieces import Shown
from fuelplan.pages.parts.trouble import or_trouble, report_our_mistakes
from fuelplan.pages.texts import order as texts
from fuelplan.units import reader

DEGF_PER_K = 1.8
RISKS = (0.1, 0.05, 0.02, 0.01, 0.005)


def show(plan: OrderAnswer, chosen: Chosen) -> None:
    """Show the sliders and, once one is moved, both plans; a move redraws this part of the page alone."""
    st.fragment(lambda: report_our_mistakes(lambda: _show(plan, chosen)))()


def _show(plan: OrderAnswer, chosen: Chosen) -> None:
    reading.again()
    st.subheader(as_text(texts.WHAT_IF_TITLE), anchor=False)
    pieces.small(texts.WHAT_IF_LEAD)
    what_if = _sliders(plan)
    if what_if is None:
        return
    other = or_trouble(lambda: load.order_answer(chosen.path, chosen.as_of, what_if))
    if other is None:
        return
    pieces.say(headline(other))
    rows = rows_of(plan, other)
    pieces.table(
        texts.WHAT_IF_HEAD, rows, changed=[row[3] not in ("", texts.UNCHANGED) for row in rows], stack=True
    )


def _sliders(plan: OrderAnswer) -> answers.WhatIf | None:
    """Show one slider per question; None while all stand as they are."""
    left, right = st.columns(2, gap="large")
    with left:
        colder = _kelvin(texts.COLDER, (-2.0, 5.0), texts.COLDER_HELP, "if-colder")
        room = _kelvin(texts.ROOM, (-4.0, 4.0), texts.ROOM_HELP, "if-room")
        price = st.slider(
            as_text(texts.PRICE), -30, 60, 0, 5, "%+d %%", help=as_text(texts.PRICE_HELP), key="if-price"
        )
    with right:
        lead = st.slider(
            as_text(texts.LEAD),
            *(0, 20, 0, 1),
            as_text(texts.LEAD_DAYS),
            help=as_text(texts.LEAD_HELP),
            key="if-lead",
        )
        risks = sorted({*RISKS, plan.risk_limit}, reverse=True)
        risk = st.select_slider(
            as_text(texts.RISK),
            risks,
            plan.risk_limit,
            format_func=lambda share: as_text(Chance(share, chosen=True)),
            help=as_text(texts.RISK_HELP),
            key="if-risk",
        )
    if not (colder or room or price or lead) and risk == plan.risk_limit:
        return None
    return answers.WhatIf(
        colder_c=colder,
        room_shift_c=room,
        price_factor=1 + price / 100,
        extra_lead_days=lead,
        risk_limit=None if risk == plan.risk_limit else risk,
    )


def _kelvin(label: Said, ends: tuple[float, float], help_text: Said, key: str) -> float:
    """Show a slider for a difference in the reader's degrees; return it. [K]"""
    if reader().system == "us":
        low, high = (round(end * DEGF_PER_K) for end in ends)
        chosen = st.slider(as_text(label), low, high, 0, 1, "%d °F", help=as_text(help_text), key=f"{key}-us")
        return float(chosen) / DEGF_PER_K
    return float(st.slider(as_text(label), *ends, 0.0, 0.5, "%.1f °C", help=as_text(help_text), key=key))


def rows_of(plan: OrderAnswer, other: OrderAnswer) -> list[tuple[Shown, Shown, Shown, Shown]]:
    """Return what to compare: name, today's plan, the other plan, and the difference in words."""

    def row(
        name: Said,
        text: Callable[[OrderAnswer], Shown | None],
        value: Callable[[OrderAnswer], date | float | None] | None = None,
    ) -> tuple[Shown, Shown, Shown, Shown]:
        before, after = (text(a) or "–" for a in (plan, other))
        difference = texts.UNCHANGED if as_text(before) == as_text(after) else texts.DIFFERENT
        if value is not None:
            difference = difference_of(value(plan), value(other)) or difference
        return name, before, after, difference

    rows = [
        row(ORDER_BY, lambda a: day_of(a.order.order_by, a) if a.order else None, _order_by),
        row(
            DELIVERY,
            lambda a: window_of(a.order.deliver_from, a.order.deliver_to, a) if a.order else None,
        ),
        row(AMOUNT, lambda a: amount(a.order.amount_kg) if a.order else None, _amount),
    ]
    if plan.run_out and other.run_out:
        rows += [
            row(texts.ROW_RUN_OUT, lambda a: day_of(a.run_out[0].p50, a), lambda a: a.run_out[0].p50),
            row(texts.ROW_RUN_OUT_HARD, lambda a: day_of(a.run_out[0].p02, a), lambda a: a.run_out[0].p02),
        ]
    if plan.use_kg and other.use_kg:
        rows.append(
            row(
                burned_in(plan.use_kg[-1].days),
                lambda a: Quantity(a.use_kg[-1].p50, "mass"),
                lambda a: a.use_kg[-1].p50,
            )
        )
    rows += [
        row(RISK, lambda a: Chance(a.order.risk, a.weather.draws) if a.order else None),
        row(EMPTY, lambda a: Chance(a.empty_risk_per_year, a.weather.draws)),
    ]
    if plan.cost.year_p50 is not None:
        rows.append(
            row(
                YEAR_COST,
                lambda a: None if a.cost.year_p50 is None else Money(a.cost.year_p50, a.currency),
            )
        )
    return rows


def _order_by(answer: OrderAnswer) -> date | None:
    return answer.order.order_by if answer.order else None


def _amount(answer: OrderAnswer) -> float | None:
    return answer.order.amount_kg if answer.order else None


def difference_of(before: date | float | None, after: date | float | None) -> Message | None:
    """Return how far apart two dates or two amounts are; None where that cannot be said."""
    if isinstance(before, date) and isinstance(after, date):
        days = (after - before).days
        if days == 0:
            return texts.UNCHANGED
        return texts.later(days) if days > 0 else texts.earlier(-days)
    if isinstance(before, float) and isinstance(after, float):
        kg = after - before
        if abs(kg) < 0.5:
            return texts.UNCHANGED
        apart = Quantity(abs(kg), "mass")
        return texts.more(apart) if kg > 0 else texts.less(apart)
    return None
