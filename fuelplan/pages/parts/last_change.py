"""What was changed last in a folder, with a way to take it back; one piece for every page that makes one."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import streamlit as st

from fuelplan import answers
from fuelplan.messages import Message, as_text, said_by
from fuelplan.pages.parts import pieces
from fuelplan.pages.parts.flash import flash
from fuelplan.pages.texts import my_house as words

PROBLEM = "undo-problem"


def the_last_change(folder: Path, key: str) -> bool:
    """Show the last change and take it back on a click; False where there is none."""
    problem: Message | None = st.session_state.pop(PROBLEM, None)
    if problem is not None:
        pieces.field_fault(problem)
    last = answers.last_change(folder)
    if last is None:
        return False
    when = datetime.fromisoformat(last.when)
    pieces.small(words.undo_what(when, last.what))
    # The click means what stands here, not what is last by the time it comes: hence a callback with that.
    st.button(as_text(words.UNDO), key=f"undo-{key}", on_click=_undo, args=(folder, last))
    return True


def _undo(folder: Path, shown: answers.Change) -> None:
    try:
        answers.undo_change(folder, shown)
    except (ValueError, OSError) as problem:
        st.session_state[PROBLEM] = said_by(problem)
        return
    flash(words.undone(shown.what))
