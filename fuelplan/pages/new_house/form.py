"""The fields of the form for a new house, in the order in which people know the answers."""

from __future__ import annotations

from typing import Any

import streamlit as st

from fuelplan import answers
from fuelplan.messages import Said, as_text
from fuelplan.pages.parts import reading
from fuelplan.pages.parts.fields import Form
from fuelplan.pages.parts.pieces import named
from fuelplan.pages.texts import new_house as words

FORM = "new-house"
EMPTY: dict[str, Any] = {
    "name": "", "country": "", "town": "", "use": "", "burns": next(iter(answers.burned_in_bulk())),
    "store": "", "level": "",
    "delivered_on": None, "delivered": "", "filled_full": False, "weather": "stations", "monthly_means": "",
    "reserve": "", "lead_time": "", "smallest_drop": "", "price": "", "indoor": "", "people": "", "rated": "",
    "installed": "", "tested": "", "risk": "", "latitude": "", "longitude": "",
}  # fmt: skip
"""Every field with what stands for nothing written."""

MORE = (
    ("reserve", words.RESERVE, words.RESERVE_WHY),
    ("lead_time", words.LEAD_TIME, words.LEAD_TIME_WHY),
    ("price", words.PRICE, words.PRICE_WHY),
    ("smallest_drop", words.DROP, words.DROP_WHY),
    ("people", words.PEOPLE, words.PEOPLE_WHY),
    ("indoor", words.INDOOR, words.INDOOR_WHY),
    ("rated", words.RATED, words.RATED_WHY),
    ("installed", words.INSTALLED, words.INSTALLED_WHY),
    ("tested", words.TESTED, words.TESTED_WHY),
    ("risk", words.RISK, words.RISK_WHY),
    ("latitude", words.LATITUDE, words.LATITUDE_WHY),
    ("longitude", words.LONGITUDE, words.LONGITUDE_WHY),
)


def burned() -> dict[str, Said]:
    """Return what a house may burn, or have burned before, with its words."""
    return {**answers.burned_in_bulk(), **words.BEFORE}


def the_fields(form: Form) -> None:
    """Show all fields but the file."""
    st.subheader(as_text(words.BURNS), anchor=False)
    left, right = st.columns([3, 2])
    with left:
        form.text("use", words.USE, words.USE_WHY)
    with right:
        form.choice("burns", words.KIND, words.KIND_WHY, burned(), None)
    st.subheader(as_text(words.STORE), anchor=False)
    left, right = st.columns(2)
    with left:
        form.text("store", words.HOLDS, words.HOLDS_WHY)
    with right:
        form.text("level", words.LEVEL, words.LEVEL_WHY)
    wanted = any(name in form.faults for name in ("delivered_on", "delivered"))
    with st.expander(as_text(words.LAST), expanded=wanted):
        _last_delivery(form)
    st.subheader(as_text(words.HOUSE), anchor=False)
    columns = st.columns(3)
    with columns[0]:
        countries = reading.country_names(answers.country_names())
        form.choice("country", words.COUNTRY, words.COUNTRY_WHY, countries, words.COUNTRY_NONE)
    with columns[1]:
        form.text("town", words.TOWN, words.TOWN_WHY)
    with columns[2]:
        form.text("name", words.NAME, words.NAME_WHY)
    _weather(form)
    with st.expander(as_text(words.MORE), expanded=any(name in form.faults for name, _, _ in MORE)):
        columns = st.columns(2)
        for i, (field, label, why) in enumerate(MORE):
            with columns[i % 2]:
                form.text(field, label, why)


def _last_delivery(form: Form) -> None:
    left, right = st.columns(2)
    with left:
        form.day("delivered_on", words.DELIVERED_ON, words.DELIVERED_ON_WHY, "YYYY-MM-DD")
    with right:
        form.text("delivered", words.DELIVERED, words.DELIVERED_WHY)
    form.tick("filled_full", words.FULL, words.FULL_WHY)


def _weather(form: Form) -> None:
    st.subheader(as_text(words.WEATHER), anchor=False)
    options = list(words.SOURCES)
    kept = form.kept("weather", "stations")
    st.radio(
        as_text(words.SOURCE),
        options,
        index=options.index(kept) if kept in options else 0,
        format_func=named(words.SOURCES),
        captions=[as_text(words.SOURCE_NOTES[key]) for key in options],
        key=form.key("weather"),
    )
    wanted = any(name in form.faults for name in ("monthly_means", "weather_file"))
    with st.expander(as_text(words.WEATHER_MORE), expanded=wanted):
        form.text("monthly_means", words.MEANS, words.MEANS_WHY, longest=400)
        form.file("weather_file", words.FILE, words.FILE_WHY, ["csv", "txt", "epw"])
