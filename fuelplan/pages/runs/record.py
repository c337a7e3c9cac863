"""Publishing days, what happened, a person's word on a stop: each becomes a line in the round's files."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import numpy as np
import streamlit as st

from fuelplan import answers
from fuelplan.answers.which_runs import first_named, presented
from fuelplan.charts.runs import day_name
from fuelplan.messages import Own, Refusal, Said, as_text, said_by
from fuelplan.pages.parts import pieces, reading
from fuelplan.pages.parts.flash import flash
from fuelplan.pages.parts.folders import Chosen
from fuelplan.pages.parts.last_change import the_last_change
from fuelplan.pages.runs import load as runs_load
from fuelplan.pages.runs.load import RoundPlan
from fuelplan.pages.texts import runs as words

HELD = "runs-record-held"  # the line that was chosen when the button was pressed
LONGEST, MOST_NAMED = 120, 3
WHO = "runs-record-who"  # stays while the person looks at other pages
TURN = "runs-record-turn"  # counts what was saved: a new turn gives empty fields


class FieldFault(Refusal):
    """What is wrong in a form, for the person who filled it in."""


def show(plan: RoundPlan, round_: answers.Round, chosen: Chosen, stale: bool) -> None:
    """Show the forms, one at a time, and how to take the last entry back."""
    st.subheader(as_text(words.DO_TITLE), anchor=False)
    if chosen.demo:
        pieces.small(words.demo_note(chosen.as_of))
        return
    pieces.small(words.DO_LEAD)
    by = _who()
    kinds: dict[str, Callable[[], None]] = {
        "publish": lambda: _publish(plan, round_, chosen, stale, by),
        "happened": lambda: _happened(plan, round_, chosen),
        "wish": lambda: _wish(plan, round_, chosen, by),
    }
    kind = st.segmented_control(
        as_text(words.DO_TITLE),
        list(kinds),
        default="publish",
        format_func=pieces.named(words.DO_KINDS),
        required=True,
        label_visibility="collapsed",
        key="runs-record-kind",
    )
    kinds[str(kind)]()
    if round_.wishes or round_.happenings:
        pieces.small(words.to_plan(len(round_.wishes), len(round_.happenings)))
        _take_one_back(round_)
    the_last_change(chosen.path, "runs")


def _take_one_back(round_: answers.Round) -> None:
    """Offer every wish and happening, however old, to be taken out of the folder."""
    entries = {entry.name: entry for entry in answers.noted(round_)}
    with st.form("take-one-back", border=False):
        st.selectbox(
            as_text(words.TAKE_BACK_WHICH),
            list(entries),
            index=None,
            format_func=lambda n: as_text(entries[str(n)].said) if str(n) in entries else "",
            placeholder=as_text(words.TAKE_BACK_NONE),
            key=key_now("take-back"),
        )
        # The click means what stands here: by then somebody else may have put another line in its row.
        pressed = st.form_submit_button(
            as_text(words.TAKE_BACK), on_click=_hold, args=(entries, key_now("take-back"))
        )
    if not pressed:
        return
    entry = st.session_state.pop(HELD, None)
    if entry is None:
        pieces.field_fault(words.TAKE_BACK_CHOOSE)
        return

    def write() -> bool:
        try:
            meant = answers.noted_by_name(round_, [entry.name])
        except ValueError:
            raise FieldFault(words.take_back_gone(entry.said)) from None
        answers.take_out(round_, meant)
        return True

    if written(write):
        done(words.taken_back(entry.said))


def _hold(entries: dict[str, answers.Noted], key: str) -> None:
    """Keep the line that is chosen at the click."""
    st.session_state[HELD] = entries.get(str(st.session_state.get(key)))


def _who() -> str:
    """Ask who is at work; the name stays for this visit and is kept with what is written."""
    name = st.text_input(
        as_text(words.BY),
        st.session_state.get(WHO, ""),
        max_chars=LONGEST,
        help=as_text(words.BY_HELP),
        key="runs-by",
    )
    st.session_state[WHO] = str(name)
    return str(name)


def _publish(plan: RoundPlan, round_: answers.Round, chosen: Chosen, stale: bool, by: str) -> None:
    pieces.small(words.PUBLISH_LEAD)
    driven = [d.day for d in plan.runs.per_day if d.runs]
    with st.form("publish", border=False):
        days = st.multiselect(
            as_text(words.PUBLISH_DAYS),
            driven,
            driven[:1],
            format_func=day_name,
            key=key_now("publish-days"),
        )
        pressed = st.form_submit_button(as_text(words.PUBLISH), type="primary")
    if not pressed:
        return
    if stale:
        pieces.field_fault(words.PUBLISH_STALE)
        return
    if not days:
        pieces.field_fault(words.PUBLISH_NONE)
        return

    count = written(lambda: answers.publish_runs(round_, plan.runs, days, by=by))
    if count is not None:
        key = runs_load.key_of(chosen.path, chosen.as_of, plan.key[-1])
        runs_load.take(runs_load.carried_over(plan, list(days), key))
        done(words.published(count))


def _happened(plan: RoundPlan, round_: answers.Round, chosen: Chosen) -> None:
    what = str(
        st.selectbox(
            as_text(words.HAPPENED_WHAT),
            list(words.HAPPENED_KINDS),
            format_func=pieces.named(words.HAPPENED_KINDS),
            key="happened-what",
        )
    )
    with st.form(f"happened-{what}", border=False):
        fields, customer, factor = _about(what, round_)
        left, right = st.columns(2)
        with left:
            usual = answers.day_of_happening(round_, what, chosen.as_of)
            day = _day(words.HAPPENED_DAY, usual, "on", chosen)
        with right:
            until = None if what == "failed drop" else _day(words.HAPPENED_UNTIL, usual, "until", chosen)
        if what != "failed drop":
            fields["reason"] = str(
                st.text_input(as_text(words.WHY), max_chars=LONGEST, key=key_now("happened-why"))
            )
        pressed = st.form_submit_button(as_text(words.SAVE), type="primary")
    if not pressed:
        return

    def write() -> bool:
        if day is None:
            raise FieldFault(words.DAY_MISSING)
        if until is not None and until < day:
            raise FieldFault(words.BACKWARDS)
        if what == "failed drop":
            fields["customer"] = customer_of(round_, customer)
        if what == "slow roads":
            fields["factor"] = factor_of(factor)
        answers.record_happening(round_, what, day, until=until, **fields)
        return True

    if written(write):
        done(words.SAVED)


def _about(what: str, round_: answers.Round) -> tuple[dict[str, Any], str, str]:
    """Show the fields that only this kind has; return choices, the customer's text and the factor's."""
    fields: dict[str, Any] = {}
    customer = factor = ""
    if what == "failed drop":
        customer = _customer_field(round_, "happened-customer")
        fields["reason"] = st.selectbox(
            as_text(words.REASON),
            list(words.REASONS),
            format_func=pieces.named(words.REASONS),
            key=key_now("why"),
        )
    elif what == "tanker out":
        names = [t.name for t in round_.table.tankers]
        fields["tanker"] = st.selectbox(as_text(words.TANKER), names, key=key_now("out"))
    elif what == "slow roads":
        factor = str(
            st.text_input(
                as_text(words.FACTOR),
                "2",
                max_chars=12,
                help=as_text(words.FACTOR_HELP),
                key=key_now("factor"),
            )
        )
    else:
        depots = [d.name for d in round_.table.depots]
        fields["depot"] = st.selectbox(as_text(words.DEPOT), depots, key=key_now("depot"))
        grade = st.selectbox(
            as_text(words.KLASS), ["", *round_.table.classes],
            format_func=lambda k: str(k) or as_text(words.ANY_KLASS),
            key=key_now("grade"),
        )  # fmt: skip
        fields["grade"] = grade or None
    return fields, customer, factor


def _wish(plan: RoundPlan, round_: answers.Round, chosen: Chosen, by: str) -> None:
    first = plan.runs.days[0] if plan.runs.days else chosen.as_of + timedelta(days=1)
    with st.form("wish", border=False):
        customer = _customer_field(round_, "wish-customer")
        wish = st.selectbox(
            as_text(words.WISH_WHAT),
            list(words.WISH_KINDS),
            format_func=pieces.named(words.WISH_KINDS),
            key=key_now("wish"),
        )
        left, right = st.columns(2)
        with left:
            day = _day(words.WISH_DAY, first, "wish-day", chosen)
        with right:
            tanker = st.selectbox(
                as_text(words.TANKER),
                ["", *(t.name for t in round_.table.tankers)],
                format_func=lambda t: str(t) or as_text(presented.ANY_TANKER),
                key=key_now("wish-tanker"),
            )
        why = str(st.text_input(as_text(words.WHY), max_chars=LONGEST, key=key_now("wish-why")))
        pressed = st.form_submit_button(as_text(words.SAVE), type="primary")
    if not pressed:
        return

    def write() -> bool:
        if day is None and wish != "forbid":
            raise FieldFault(words.WISH_NEEDS)
        if day is None and not tanker:
            raise FieldFault(words.WISH_NEEDS_ONE)
        who = customer_of(round_, customer)
        answers.record_wish(round_, who, str(wish), day=day, tanker=tanker or None, by=by, why=why)
        return True

    if written(write):
        done(words.SAVED)


def customer_of(round_: answers.Round, text: str) -> str:
    """Return the number of the customer that a person means: by number, or by a name that fits one alone.

    Raises
    ------
    FieldFault
        Where none or several fit.
    """
    ids, names = round_.customers.id, round_.customers.name
    example = str(ids[0])
    wanted = " ".join(text.split())
    if not wanted:
        raise FieldFault(words.customer_missing(example))
    same = np.flatnonzero([str(i).casefold() == wanted.casefold() for i in ids])
    if len(same) != 1:
        same = np.flatnonzero([wanted.casefold() in str(name).casefold() for name in names])
    cut = wanted if len(wanted) <= 40 else f"{wanted[:39]}…"
    if len(same) == 0:
        raise FieldFault(words.customer_unknown(cut, example))
    if len(same) > 1:
        found = [Own(f"{ids[i]} {names[i]}") for i in same]
        raise FieldFault(words.customer_several(cut, first_named(found, MOST_NAMED)))
    return str(ids[same[0]])


def factor_of(text: str) -> float:
    """Return how many times as long driving takes.

    Raises
    ------
    FieldFault
        Where the text is no number from 1 to 10.
    """
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        raise FieldFault(words.FACTOR_WRONG) from None
    if not 1 <= value <= 10:
        raise FieldFault(words.FACTOR_WRONG)
    return value


def written(write: Callable[[], Any]) -> Any:
    """Return what writing returned; where it cannot be, say so under the form and return None."""
    try:
        return write()
    except answers.SiteFaults as problem:
        for fault in problem.faults:
            pieces.field_fault(f"{fault.key}: {fault.message}" if fault.key else fault.message)
    except (ValueError, OSError) as problem:
        pieces.field_fault(said_by(problem))
    return None


def done(said: Said) -> None:
    """Say that something was written, and show the page with empty fields."""
    st.session_state[TURN] = st.session_state.get(TURN, 0) + 1
    flash(said)
    st.rerun()


def _customer_field(round_: answers.Round, name: str) -> str:
    return str(
        st.text_input(
            as_text(words.CUSTOMER),
            max_chars=LONGEST,
            help=as_text(words.CUSTOMER_HELP),
            key=key_now(name),
        )
    )


def _day(label: Said, value: date, name: str, chosen: Chosen) -> date | None:
    day: date | None = st.date_input(
        as_text(label), value, format=reading.date_field(chosen.country), key=key_now(f"runs-{name}")
    )
    return day


def key_now(name: str) -> str:
    """Return the key of a field that is empty again after each entry."""
    return f"{name}-{st.session_state.get(TURN, 0)}"
