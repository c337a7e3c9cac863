"""Something has happened: a reading, an order, a delivery become lines in the folder's files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from pathlib import Path

import streamlit as st

from fuelplan import answers
from fuelplan.answers.house import fuel_words
from fuelplan.answers.when_to_order import OrderAnswer
from fuelplan.messages import Said, as_text
from fuelplan.pages.parts import load, pieces, reading
from fuelplan.pages.parts.flash import flash
from fuelplan.pages.parts.folders import Chosen
from fuelplan.pages.parts.last_change import the_last_change
from fuelplan.pages.parts.trouble import show_at_form
from fuelplan.pages.texts import common
from fuelplan.pages.texts import order_asked as asked
from fuelplan.pages.texts import record as texts
from fuelplan.units import one_line, show_date
from fuelplan.units import show as shown

LONGEST_NOTE = 200
LONGEST_AMOUNT = 40
NOT_YET = "record-not-yet"  # a delivery that was entered before its day
ROUND = "record-round"  # counts what was saved: a new round gives empty fields


def show(found: OrderAnswer, chosen: Chosen) -> None:
    """Show the forms, one at a time."""
    st.subheader(as_text(texts.TITLE), anchor=False)
    if chosen.demo:
        pieces.small(texts.DEMO)
        return
    pieces.small(texts.LEAD)
    logs = found.stacked_stock is not None
    kinds: dict[str, tuple[Said, Callable[[OrderAnswer, Chosen], None]]] = {
        "reading": (texts.READING_OR_COUNT if logs else texts.READING, _reading),
        "order": (texts.ORDER, _order),
        "delivery": (texts.FUEL_CAME if logs else texts.DELIVERY, _delivery),
    }
    if logs:
        kinds["buffer"] = (texts.READ_BUFFER, _buffer)
    if found.placed:
        kinds["outcome"] = (texts.FELL_THROUGH, _outcome)
    kind = st.segmented_control(
        as_text(texts.TITLE),
        list(kinds),
        default="reading",
        format_func=pieces.named({name: label for name, (label, _) in kinds.items()}),
        required=True,
        label_visibility="collapsed",
        key=_key("kind"),
    )
    kinds[str(kind)][1](found, chosen)
    the_last_change(chosen.path, "record")


def _reading(found: OrderAnswer, chosen: Chosen) -> None:
    stacked = _stacked_fuel(found)
    if stacked:
        _count(chosen, stacked)
        return
    with st.form("record-reading", border=False):
        day = _day(texts.READ_ON, chosen.as_of, "read-on", chosen)
        text = _amount(texts.READ_AMOUNT, "", texts.READ_AMOUNT_HELP, "read")
        how = _one_of(asked.READ_HOW, asked.HOW, asked.READ_HOW_HELP, "read-how")
        when = _one_of(asked.READ_WHEN, asked.WHEN, asked.READ_WHEN_HELP, "read-when")
        note = _note()
        _save(text, lambda: answers.record_reading(chosen.path, day, text, how=how, when=when, note=note))


def _buffer(found: OrderAnswer, chosen: Chosen) -> None:
    """Show the form for the temperatures of the buffer."""
    with st.form("record-buffer", border=False):
        text = _amount(texts.BUFFER_SHOWS, "", texts.BUFFER_SHOWS_HELP, "buffer-shows")
        clock = _amount(texts.BUFFER_AT, "18:00", texts.BUFFER_AT_HELP, "buffer-at")
        day = _day(texts.BUFFER_ON, chosen.as_of, "buffer-on", chosen)
        _save(text, lambda: answers.record_buffer(chosen.path, day, clock, text))


def _stacked_fuel(found: OrderAnswer) -> str:
    """Ask which fuel it is about where the house burns two; return the stacked one where that is meant."""
    if found.stacked_stock is None:
        return ""
    words = fuel_words(s.fuel for s in found.stocks)
    fuel = st.segmented_control(
        as_text(texts.FUEL), list(words), default=next(iter(words)), format_func=pieces.named(words),
        required=True, key=_key("fuel"),
    )  # fmt: skip
    return str(fuel) if fuel == found.stacked_stock.fuel else ""


def _count(chosen: Chosen, fuel: str) -> None:
    """Show the form for what lies in a stack."""
    with st.form("record-count", border=False):
        day = _day(texts.COUNTED_ON, chosen.as_of, "counted-on", chosen)
        stack = _which_stack(chosen)
        text = _amount(texts.COUNTED, "", texts.COUNTED_HELP, "counted")
        water = _amount(texts.MEASURED_WATER, "", texts.MEASURED_WATER_HELP, "measured-water")
        note = _note()
        _save(
            text,
            lambda: answers.record_reading(
                chosen.path, day, text, fuel=fuel, stack=stack, water=water, note=note
            ),
        )


def _logs_came(chosen: Chosen, fuel: str) -> None:
    """Show the form for logs that were brought or bought: where they went, which wood, how wet."""
    with st.form("record-logs-came", border=False):
        day = _day(texts.LOGS_CAME_ON, chosen.as_of, "logs-came-on", chosen)
        stack = _which_stack(chosen)
        text = _amount(texts.LOGS_CAME, "", texts.COUNTED_HELP, "logs-came")
        wood = _one_of(texts.WOOD, texts.woods(), texts.WOOD_HELP, "logs-wood")
        water = _amount(texts.WATER, "", texts.WATER_HELP, "logs-water")
        note = _note()
        _save(
            text,
            lambda: answers.record_delivery(
                chosen.path, day, text, fuel=fuel, stack=stack, wood=wood, water=water, note=note
            ),
        )


def _which_stack(chosen: Chosen) -> str:
    """Ask for the stack where there is a choice."""
    names = list(dict.fromkeys(row.name for row in load.site(chosen.path).table.log_pile))
    if len(names) < 2:
        return ""
    chosen_name = st.selectbox(as_text(texts.STACK), names, format_func=one_line, key=_key("stack"))
    return str(chosen_name)


def _order(found: OrderAnswer, chosen: Chosen) -> None:
    proposed = found.order
    first = proposed.deliver_from if proposed else chosen.as_of + timedelta(days=7)
    last = proposed.deliver_to if proposed else chosen.as_of + timedelta(days=14)
    suggested = _written_amount(proposed.amount_kg) if proposed else ""
    with st.form("record-order", border=False):
        day = _day(texts.ORDERED_ON, chosen.as_of, "ordered-on", chosen)
        text = _amount(texts.ORDERED_AMOUNT, suggested, texts.ORDERED_AMOUNT_HELP, "ordered")
        left, right = st.columns(2)
        with left:
            due_from = _day(texts.DUE_FROM, first, "due-from", chosen)
        with right:
            due_to = _day(texts.DUE_TO, last, "due-to", chosen)
        note = _note()
        _save(
            text,
            lambda: answers.record_order(chosen.path, day, text, due_from=due_from, due_to=due_to, note=note),
        )


def _delivery(found: OrderAnswer, chosen: Chosen) -> None:
    stacked = _stacked_fuel(found)
    if stacked:
        _logs_came(chosen, stacked)
        return
    orders = {p.ordered_on: p for p in found.placed}
    with st.form("record-delivery", border=False):
        ordered_on = _which_order([*orders, None], "delivered-order") if orders else None
        suggested = _written_amount(orders[ordered_on].amount_kg) if ordered_on else ""
        day = _day(texts.DELIVERED_ON, chosen.as_of, "delivered-on", chosen)
        text = _amount(texts.DELIVERED_AMOUNT, suggested, texts.DELIVERED_AMOUNT_HELP, "delivered")
        weighed = st.checkbox(as_text(texts.WEIGHED), value=True, key=_key("weighed"))
        full = st.checkbox(as_text(texts.FILLED_FULL), help=as_text(texts.FILLED_FULL_HELP), key=_key("full"))
        note = _note()
        _save(
            text,
            lambda: answers.record_delivery(
                chosen.path, day, text, ordered_on=ordered_on, weighed=weighed, filled_full=full, note=note
            ),
            (chosen.path, day, text) if day > answers.today_of(load.site(chosen.path)) else None,
        )
    _note_as_order(chosen)


def _note_as_order(chosen: Chosen) -> None:
    """Offer to note a delivery that is still to come as an order."""
    path, day, text = st.session_state.get(NOT_YET, (None, chosen.as_of, ""))
    if path != chosen.path:
        return
    if st.button(as_text(asked.as_order(day)), key="record-as-order"):
        st.session_state.pop(NOT_YET)
        _written(lambda: answers.record_order(chosen.path, chosen.as_of, text, due_from=day, due_to=day))


def _outcome(found: OrderAnswer, chosen: Chosen) -> None:
    with st.form("record-outcome", border=False):
        ordered_on = _which_order([p.ordered_on for p in found.placed], "failed-order")
        outcome = st.radio(
            as_text(texts.OUTCOME),
            list(texts.OUTCOMES),
            format_func=pieces.named(texts.OUTCOMES),
            key=_key("outcome"),
        )
        note = _note()
        if ordered_on is not None:
            day = ordered_on
            _save("-", lambda: answers.record_outcome(chosen.path, day, str(outcome), note=note))


def _written_amount(kg: float) -> str:
    """Return an amount as the field for it reads it again."""
    return shown(kg, "mass", digits=3).replace(",", "")


def _key(name: str) -> str:
    return f"record-{name}-{st.session_state.get(ROUND, 0)}"


def _day(label: Said, value: date, name: str, chosen: Chosen) -> date:
    day: date = st.date_input(
        as_text(label), value, format=reading.date_field(chosen.country), key=_key(name)
    )
    return day


def _amount(label: Said, value: str, help_text: Said, name: str) -> str:
    return str(
        st.text_input(
            as_text(label), value, help=as_text(help_text), max_chars=LONGEST_AMOUNT, key=_key(name)
        )
    )


def _one_of(label: Said, known: Mapping[str, Said], help_text: Said, name: str) -> str:
    found = st.selectbox(
        as_text(label), list(known), format_func=pieces.named(known), help=as_text(help_text), key=_key(name)
    )
    return str(found)


def _note() -> str:
    return str(st.text_input(as_text(texts.NOTE), max_chars=LONGEST_NOTE, key=_key("note")))


def _which_order(days: list[date] | list[date | None], name: str) -> date | None:
    day: date | None = st.selectbox(
        as_text(texts.WHICH_ORDER),
        days,
        format_func=lambda d: show_date(d, year=True) if d else as_text(texts.NO_ORDER_NOTED),
        key=_key(name),
    )
    return day


def _save(text: str, write: Callable[[], object], not_yet: tuple[Path, date, str] | None = None) -> None:
    """Show the button of a form; on a click write, or say at the form why not.

    A delivery that is still to come (`not_yet`) is kept, to be noted as an order.
    """
    if not st.form_submit_button(as_text(common.SAVE), type="primary"):
        return
    st.session_state.pop(NOT_YET, None)
    if not text.strip():
        pieces.field_fault(texts.AMOUNT_MISSING)
    elif not_yet is not None:
        st.session_state[NOT_YET] = not_yet
        pieces.field_fault(asked.future(not_yet[1]))
    else:
        _written(write)


def _written(write: Callable[[], object]) -> None:
    """Write, or say why not."""
    try:
        write()
    except (ValueError, OSError) as problem:
        show_at_form(problem)
        return
    st.session_state[ROUND] = st.session_state.get(ROUND, 0) + 1
    flash(texts.SAVED)
    st.rerun()
