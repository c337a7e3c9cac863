"""What if …: today's plan and another one side by side. Nothing is saved."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import streamlit as st

from fuelplan import answers, units
from fuelplan.answers.when_to_order import OrderAnswer
from fuelplan.pages.order.words import amount, day_text, headline, window_text
from fuelplan.pages.parts import load, pieces, reading
from fuelplan.pages.parts.folders import Chosen
from fuelplan.pages.parts.trouble import or_trouble, report_our_mistakes
from fuelplan.pages.texts import common as texts
from fuelplan.units import reader, show_money, show_odds

DEGF_PER_K = 1.8
RISKS = (0.1, 0.05, 0.02, 0.01, 0.005)


def show(plan: OrderAnswer, chosen: Chosen) -> None:
    """Show the sliders and, once one is moved, both plans; a move redraws this part of the page alone."""
    st.fragment(lambda: report_our_mistakes(lambda: _show(plan, chosen)))()


def _show(plan: OrderAnswer, chosen: Chosen) -> None:
    reading.again()
    st.subheader(texts.WHAT_IF_TITLE, anchor=False)
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
        price = st.slider(texts.PRICE, -30, 60, 0, 5, "%+d %%", help=texts.PRICE_HELP, key="if-price")
    with right:
        lead = st.slider(texts.LEAD, 0, 20, 0, 1, "%d days", help=texts.LEAD_HELP, key="if-lead")
        risks = sorted({*RISKS, plan.risk_limit}, reverse=True)
        risk = st.select_slider(
            texts.RISK,
            risks,
            plan.risk_limit,
            format_func=lambda share: show_odds(share).removeprefix("about "),
            help=texts.RISK_HELP,
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


def _kelvin(label: str, ends: tuple[float, float], help_text: str, key: str) -> float:
    """Show a slider for a difference in the reader's degrees; return it. [K]"""
    if reader().system == "us":
        low, high = (round(end * DEGF_PER_K) for end in ends)
        chosen = st.slider(label, low, high, 0, 1, "%d °F", help=help_text, key=f"{key}-us")
        return float(chosen) / DEGF_PER_K
    return float(st.slider(label, *ends, 0.0, 0.5, "%.1f °C", help=help_text, key=key))


def rows_of(plan: OrderAnswer, other: OrderAnswer) -> list[tuple[str, str, str, str]]:
    """Return what to compare: name, today's plan, the other plan, and the difference in words."""
    rows = [
        _row(texts.ROW_ORDER_BY, plan, other, lambda a: a.order and day_text(a.order.order_by, a), _order_by),
        _row(
            texts.ROW_DELIVERY,
            plan,
            other,
            lambda a: a.order and window_text(a.order.deliver_from, a.order.deliver_to, a),
        ),
        _row(texts.ROW_AMOUNT, plan, other, lambda a: a.order and amount(a.order.amount_kg), _amount),
    ]
    if plan.run_out and other.run_out:
        rows += [
            _row(
                texts.ROW_RUN_OUT,
                plan,
                other,
                lambda a: day_text(a.run_out[0].p50, a),
                lambda a: a.run_out[0].p50,
            ),
            _row(
                texts.ROW_RUN_OUT_HARD,
                plan,
                other,
                lambda a: day_text(a.run_out[0].p02, a),
                lambda a: a.run_out[0].p02,
            ),
        ]
    if plan.use_kg and other.use_kg:
        days = plan.use_kg[-1].days
        rows.append(
            _row(
                texts.ROW_USE.format(days=days),
                plan,
                other,
                lambda a: show_mass(a.use_kg[-1].p50),
                lambda a: a.use_kg[-1].p50,
            )
        )
    rows += [
        _row(texts.ROW_RISK, plan, other, lambda a: a.order and show_odds(a.order.risk, a.weather.draws)),
        _row(texts.ROW_YEAR_RISK, plan, other, lambda a: show_odds(a.empty_risk_per_year, a.weather.draws)),
    ]
    if plan.cost.year_p50 is not None:
        rows.append(
            _row(
                texts.ROW_COST,
                plan,
                other,
                lambda a: a.cost.year_p50 is not None and show_money(a.cost.year_p50, a.currency),
            )
        )
    return rows


def show_mass(kg: float) -> str:
    """Return a mass with the digits that are known of it."""
    return units.show(kg, "mass")


def _order_by(answer: OrderAnswer) -> date | None:
    return answer.order.order_by if answer.order else None


def _amount(answer: OrderAnswer) -> float | None:
    return answer.order.amount_kg if answer.order else None


def _row(
    name: str,
    plan: OrderAnswer,
    other: OrderAnswer,
    text: Callable[[OrderAnswer], object],
    value: Callable[[OrderAnswer], date | float | None] | None = None,
) -> tuple[str, str, str, str]:
    before, after = (str(text(a) or "–") for a in (plan, other))
    difference = texts.UNCHANGED if before == after else texts.DIFFERENT
    if value is not None:
        difference = difference_text(value(plan), value(other)) or difference
    return name, before, after, difference


def difference_text(before: date | float | None, after: date | float | None) -> str:
    """Return how far apart two dates or two amounts are; empty where that cannot be said."""
    if before is None or after is None:
        return ""
    if isinstance(before, date) and isinstance(after, date):
        days = (after - before).days
        if days == 0:
            return texts.UNCHANGED
        if abs(days) == 1:
            return texts.A_DAY_LATER if days > 0 else texts.A_DAY_EARLIER
        return (texts.LATER if days > 0 else texts.EARLIER).format(days=abs(days))
    if isinstance(before, float) and isinstance(after, float):
        kg = after - before
        if abs(kg) < 0.5:
            return texts.UNCHANGED
        return (texts.MORE if kg > 0 else texts.LESS).format(amount=show_mass(abs(kg)))
    return ""
