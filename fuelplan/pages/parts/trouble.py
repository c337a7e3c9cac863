"""What a page shows where there is no answer: what is wrong, where, and what to do. Never a traceback."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable, Iterable
from typing import TypeVar

import streamlit as st

from fuelplan import answers
from fuelplan.messages import Said, as_text, said_by
from fuelplan.pages.parts import pieces
from fuelplan.pages.texts import common as texts

T = TypeVar("T")
MOST_FAULTS = 200  # in one table


def or_trouble(work: Callable[[], T], no_weather: Callable[[Said], None] | None = None) -> T | None:
    """Return what `work` returns, or show its trouble and return None.

    `no_weather` shows what can be done where the weather cannot be had, for pages that know more than to look
    again.
    """
    try:
        return work()
    except (answers.SiteFaults, answers.WeatherFault) as problem:
        show_faults(problem.faults)
    except answers.WeatherUnavailable as problem:
        if no_weather is not None:
            no_weather(said_by(problem))
            return None
        pieces.answer(texts.WEATHER_TITLE)
        pieces.say(texts.WEATHER_LEAD)
        pieces.notes([(said_by(problem), "")], "danger")
        look_again()
    except ValueError as problem:
        pieces.answer(texts.TOO_THIN_TITLE)
        pieces.notes([(said_by(problem), "")], "danger")
        look_again()
    return None


def report_our_mistakes(work: Callable[[], object]) -> None:
    """Run a part of a page; a mistake of ours is owned up to in words, its details go to the terminal."""
    try:
        work()
    except Exception:  # what Streamlit itself raises to stop or to start a run anew is no Exception
        sys.stderr.write(traceback.format_exc())
        pieces.answer(texts.OUR_MISTAKE_TITLE)
        pieces.notes([(texts.OUR_MISTAKE, "")], "danger")
        look_again()


def show_faults(faults: Iterable[answers.Fault]) -> None:
    """Show every fault with file, line and entry."""
    pieces.answer(texts.FAULTS_TITLE)
    pieces.say(texts.FAULTS_LEAD)
    look_again()
    faults = list(faults)
    rows = [
        (str(f.file), texts.WHOLE_FILE if f.line is None else str(f.line), f.key, f.said)
        for f in faults[:MOST_FAULTS]
    ]
    pieces.table(texts.FAULTS_HEAD, rows, stack=True)
    if len(faults) > MOST_FAULTS:
        pieces.small(texts.more_faults(len(faults) - MOST_FAULTS))


def show_at_form(problem: Exception) -> None:
    """Show under a form why nothing was written, every fault with its entry."""
    if not isinstance(problem, answers.SiteFaults):
        pieces.field_fault(said_by(problem))
        return
    for fault in problem.faults:
        pieces.field_fault(texts.of_entry(fault.key, fault.said) if fault.key else fault.said)


def look_again() -> None:
    """Offer to read the folder anew; any click does, since the files' times of change are part of the key."""
    st.button(as_text(texts.LOOK_AGAIN), type="primary")
