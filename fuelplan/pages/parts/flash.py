"""What was done on a click, said once at the top of the page that follows."""

from __future__ import annotations

import streamlit as st

from fuelplan.pages.parts import pieces

KEY = "said-later"


def flash(text: str) -> None:
    """Keep a sentence for the next page."""
    st.session_state[KEY] = text


def show_flash() -> None:
    """Show the sentence that was kept, once."""
    text = st.session_state.pop(KEY, None)
    if text is not None:
        pieces.done(str(text))
