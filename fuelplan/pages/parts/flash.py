"""What was done on a click, said once at the top of the page that follows."""

from __future__ import annotations

import streamlit as st

from fuelplan.messages import Said
from fuelplan.pages.parts import pieces

KEY = "said-later"


def flash(said: Said) -> None:
    """Keep a sentence for the next page."""
    st.session_state[KEY] = said


def show_flash() -> None:
    """Show the sentence that was kept, once."""
    said: Said | None = st.session_state.pop(KEY, None)
    if said is not None:
        pieces.done(said)
