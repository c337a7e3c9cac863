"""How the person at the page reads: the browser's language where a catalogue has it, metric or US units, and
dates as the country of the house writes them.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import replace

import streamlit as st

from fuelplan.messages import locale_of, spoken
from fuelplan.units import Reader, System, reader, reader_in, write_for

UNITS_KEY, SHOWN_KEY = "units-kept", "reading-shown"

_DATE_FIELD = {
    "MM/DD/YYYY": "US PH PR",
    "DD.MM.YYYY": "AT BA BG BY CH CZ DE DK EE FI GE HR IS LI LV MD ME MK NO PL RO RS RU SI SK TR UA",
    "DD/MM/YYYY": "AU BE CL ES FR GB GR IE IT LU NZ PT",
    "DD-MM-YYYY": "NL",
    "YYYY.MM.DD": "HU KR",
    "YYYY/MM/DD": "JP",
}
"""How lands write a date in figures (common practice); year, month, day with hyphens for all others."""


def begin() -> None:
    """Write for a person of whom nothing is known but the browser."""
    write_for(Reader(language=language(), unbroken=True))


def language() -> str:
    """Return the language of the browser, or English where nobody has translated the pages into it."""
    return spoken(st.context.locale)


def read_for(country: str | None) -> None:
    """Write everything that follows for a person of this country, in the units that were chosen."""
    chosen: System | None = st.session_state.get(UNITS_KEY)
    write_for(replace(reader_in(country, chosen), language=language(), unbroken=True))
    st.session_state[SHOWN_KEY] = reader()


def again() -> None:
    """Write on as the page does, in a part of it that is drawn alone."""
    found: Reader | None = st.session_state.get(SHOWN_KEY)
    if found is not None:
        write_for(found)


def choose(system: System | None) -> None:
    """Keep the units that a person chose; None follows the country of the house."""
    st.session_state[UNITS_KEY] = system


def country_names(english: Mapping[str, str]) -> Mapping[str, str]:
    """Return the countries by their codes as the reader calls them; in English where nobody knows better."""
    locale = locale_of(reader().language)
    if locale is None:
        return english
    named = {code: str(locale.territories.get(code, name)) for code, name in english.items()}
    return dict(sorted(named.items(), key=lambda one: unicodedata.normalize("NFKD", one[1]).casefold()))


def date_field(country: str | None) -> str:
    """Return the form in which a field for a day is filled in."""
    return next((form for form, lands in _DATE_FIELD.items() if country in lands.split()), "YYYY-MM-DD")


def key() -> str:
    """Return what tells answers written for one reader from those for another."""
    return repr(reader())
