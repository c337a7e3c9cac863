"""What is on every page: the name, the ways in, and the page that was chosen."""

from __future__ import annotations

import streamlit as st

from fuelplan.pages.parts import look, reading
from fuelplan.pages.parts.trouble import report_our_mistakes
from fuelplan.pages.parts.ways_in import SIDE_PAGES, WAYS_IN, page_of
from fuelplan.pages.texts import common as texts


def run() -> None:
    """Show the page that the address asks for."""
    reading.begin()
    st.set_page_config(page_title=texts.NAME, page_icon=look.PAGE_ICON, layout="wide")
    look.apply()
    start = page_of("start", texts.START, default=True)
    ways = [start, *(page_of(way.file, way.question) for way in WAYS_IN)]
    chosen = st.navigation(
        [*ways, *(page_of(side.file, side.title) for side in SIDE_PAGES)], position="hidden"
    )
    look.masthead([*ways, *(page_of(side.file, side.title) for side in SIDE_PAGES if side.at_the_top)])
    report_our_mistakes(chosen.run)
    look.footer()
