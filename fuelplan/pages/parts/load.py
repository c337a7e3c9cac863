"""Folder, weather and answers, kept between clicks for as long as no file of the folder changes."""

from __future__ import annotations

from concurrent.futures import BrokenExecutor
from contextlib import suppress
from datetime import date
from pathlib import Path

import streamlit as st

from fuelplan import answers
from fuelplan.answers.when_to_order import OrderAnswer
from fuelplan.pages.parts import helpers, reading
from fuelplan.pages.parts.long_work import step
from fuelplan.pages.parts.turns import anyone_waits, serialised
from fuelplan.pages.texts import common as texts

Fingerprint = tuple[tuple[str, int, int], ...]


def fingerprint(path: Path) -> Fingerprint:
    """Return name, size and time of change of every file in a folder, or of the one file that keeps records:
    cheap, and changes when a file does.

    Hidden files are the program's own memory and change no answer.
    """
    found = []
    for file in sorted(path.glob("[!.]*")) if path.is_dir() else [path]:
        try:
            status = file.stat()
        except OSError:  # gone between listing and looking: the next run sees it
            continue
        found.append((file.name, status.st_size, status.st_mtime_ns))
    return tuple(found)


def _open(path: str, files: Fingerprint) -> answers.Site:
    return answers.open_site(Path(path))


def _load(path: str, files: Fingerprint, as_of: date, reader: str) -> answers.SiteWeather:
    site = _site(path, files)
    step(texts.READING_WEATHER)
    return answers.weather_for(site, as_of, step)


def _prepare(path: str, files: Fingerprint, as_of: date, reader: str) -> answers.Prepared:
    weather = _weather(path, files, as_of, reader)
    step(texts.WORKING)
    return answers.prepare(_site(path, files), weather, as_of)


def _answer(
    path: str, files: Fingerprint, as_of: date, reader: str, what_if: str, _what_if: answers.WhatIf | None
) -> OrderAnswer:
    if _what_if is None:
        weather = _weather(path, files, as_of, reader)
        with serialised():
            step(texts.WORKING)
            return answers.order(_site(path, files), weather, as_of)
    asked = helpers.ask(path, files, as_of, _what_if) if anyone_waits() else None
    if asked is not None:
        with suppress(BrokenExecutor):  # a helper that has ended: the server answers itself
            return asked.result()
    prepared = _prepared(path, files, as_of, reader)
    with serialised():
        return answers.answer_prepared(prepared, _what_if, whole=False)


# The arguments are the key (`reader` tells in which units sentences are written), all but the last one of
# `_answer`, which is written out in `what_if`.
_site = st.cache_resource(_open, max_entries=16, show_spinner=False)
_weather = st.cache_resource(_load, max_entries=8, show_spinner=False)
_prepared = st.cache_resource(_prepare, max_entries=8, show_spinner=False)
_order = st.cache_resource(_answer, max_entries=128, show_spinner=False)


def _changes(path: str, files: Fingerprint, as_of: date, since: date, reader: str) -> answers.Changes:
    now = _order(path, files, as_of, reader, repr(None), None)
    step(texts.WORKING)
    return answers.what_changed(_site(path, files), _weather(path, files, as_of, reader), now, since)


_changed = st.cache_resource(_changes, max_entries=32, show_spinner=False)


def changes(path: Path, as_of: date, since: date) -> answers.Changes:
    """Return what changed since an earlier day, from the cache where nothing has changed.

    Raises
    ------
    ValueError
        Where that day does not lie before, or has no answer.
    """
    found: answers.Changes = _changed(str(path), fingerprint(path), as_of, since, reading.key())
    return found


def site(path: Path) -> answers.Site:
    """Return the site of a folder, from the cache where nothing has changed.

    Raises
    ------
    answers.SiteFaults
        If the folder cannot be used.
    """
    found: answers.Site = _site(str(path), fingerprint(path))
    return found


def order_answer(path: Path, as_of: date, what_if: answers.WhatIf | None = None) -> OrderAnswer:
    """Return the order answer of a folder, from the cache where nothing has changed.

    Raises
    ------
    answers.SiteFaults
        If the folder cannot be used.
    answers.WeatherUnavailable, answers.WeatherFault
        If its weather cannot be had or read.
    ValueError
        If there is no answer for the day.
    """
    found: OrderAnswer = _order(str(path), fingerprint(path), as_of, reading.key(), repr(what_if), what_if)
    return found
