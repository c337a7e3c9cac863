"""The size answer and its report, kept between clicks for as long as no file of the folder changes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import streamlit as st

from fuelplan import answers
from fuelplan.pages.parts import reading
from fuelplan.pages.parts.load import Fingerprint, fingerprint
from fuelplan.pages.parts.long_work import step
from fuelplan.pages.texts import common as site_texts
from fuelplan.pages.texts import size as texts

Room = tuple[float, float, float]


def _answer(path: str, files: Fingerprint, as_of: date, reader: str, room: Room | None) -> answers.SizeAnswer:
    site = answers.open_for_sizing(path)
    step(site_texts.READING_WEATHER)
    weather = answers.weather_for(site, as_of, step)
    step(texts.WORKING)
    cellar = None if room is None else answers.cellar_of(*room)
    return answers.size(site, weather, as_of, cellar=cellar)


_size = st.cache_resource(_answer, max_entries=32, show_spinner=False)


def size_answer(path: Path, as_of: date, room: Room | None = None) -> answers.SizeAnswer:
    """Return the size answer of a folder, from the cache where nothing has changed.

    Raises
    ------
    answers.SiteFaults
        If the folder cannot be used.
    answers.WeatherUnavailable, answers.WeatherFault
        If its weather cannot be had or read.
    ValueError
        If there is no answer.
    """
    found: answers.SizeAnswer = _size(str(path), fingerprint(path), as_of, reading.key(), room)
    return found
