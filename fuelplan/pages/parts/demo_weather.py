"""The demo valley's invented weather up to a day, for who has no weather of a place yet."""

from __future__ import annotations

from datetime import date, timedelta

import streamlit as st

from fuelplan.weather.valley import FIRST_DAY, VALLEY_SEED, as_csv, valley_days


def demo_weather(as_of: date) -> bytes:
    """Return daily weather of the valley as CSV text, to the day before `as_of`; the same for everybody."""
    text: bytes = _cached(as_of)
    return text


def _made(as_of: date) -> bytes:
    return as_csv(valley_days(FIRST_DAY, as_of - timedelta(days=1), seed=VALLEY_SEED)).encode()


_cached = st.cache_data(_made, max_entries=4, show_spinner=False)
