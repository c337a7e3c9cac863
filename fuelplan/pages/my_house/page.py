"""One's own house: take the last change back, change settings, take the folder along."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import streamlit as st

from fuelplan import answers
from fuelplan.messages import as_text, said_by
from fuelplan.pages.my_house.settings import the_settings, the_text
from fuelplan.pages.parts import folders, houses, pieces
from fuelplan.pages.parts.flash import flash, show_flash
from fuelplan.pages.parts.last_change import the_last_change
from fuelplan.pages.parts.ways_in import page_of
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import my_house as words
from fuelplan.pages.texts import new_house as new_house_texts


def show() -> None:
    """Show the page for the house that is chosen."""
    chosen = folders.choose()
    show_flash()
    if chosen is None:
        pieces.answer(texts.NO_FOLDER_TITLE)
        st.page_link(page_of("new_house", new_house_texts.TITLE), label=as_text(new_house_texts.LINK))
        the_opening()
        return
    pieces.answer(words.heading(folders.name_of(chosen)))
    if chosen.demo:
        pieces.say(words.DEMO)
        _copy_of_demo(chosen)
        the_taking(chosen)
        the_opening()
        return
    pieces.say(words.lead(chosen.path))
    _keep_the_draft(chosen)
    st.subheader(as_text(words.UNDO_TITLE), anchor=False)
    if not the_last_change(chosen.path, "house"):
        pieces.small(words.UNDO_NONE)
    st.page_link(page_of("spreadsheet", words.SHEET_TITLE), label=as_text(words.SHEET_LINK))
    the_settings(chosen.path)
    the_text(chosen.path)
    the_taking(chosen)
    the_opening()


def the_taking(chosen: folders.Chosen) -> None:
    """Give the folder as one file."""
    st.subheader(as_text(words.TAKE_TITLE), anchor=False)
    if not (chosen.path / "site.toml").is_file():
        return
    st.download_button(
        as_text(words.TAKE),
        lambda: answers.pack_house(chosen.path),
        f"{chosen.path.name}.zip",
        "application/zip",
        help=as_text(words.TAKE_HOW),
        on_click="ignore",
    )


def the_opening() -> None:
    """Open a house from such a file."""
    st.subheader(as_text(words.OPEN_TITLE), anchor=False)
    with st.form("open-zip", border=False):
        file = st.file_uploader(as_text(words.OPEN_FILE), ["zip"], key="open-zip-file")
        pieces.small(words.OPEN_WHY)
        pressed = st.form_submit_button(as_text(words.OPEN))
    if not pressed:
        return
    if file is None:
        pieces.field_fault(words.OPEN_NONE)
        return
    content, name = file.getvalue(), file.name
    _as_draft(lambda: answers.unpack_house(content, houses.room_for_draft(), name))


def _copy_of_demo(chosen: folders.Chosen) -> None:
    if st.button(as_text(words.DEMO_COPY), type="primary", key="copy-demo"):
        _as_draft(lambda: answers.keep_house(chosen.path, houses.room_for_draft()))


def _as_draft(make: Callable[[], Path]) -> None:
    """Make a draft and choose it; where that cannot be, say why."""
    try:
        made = make()
    except ValueError as problem:
        pieces.field_fault(said_by(problem))
        return
    houses.take_draft(made)
    folders.take(made, folders.default_day(made))
    flash(words.opened(made.name))
    st.rerun()


def _keep_the_draft(chosen: folders.Chosen) -> None:
    if chosen.path != houses.draft():
        return
    place = houses.place_for_houses()
    how = new_house_texts.keep_how(place / chosen.path.name)
    pieces.notes([(words.draft(how), "")], "warn")
    if not st.button(as_text(words.KEEP), type="primary", key="keep-draft"):
        return
    try:
        folder = answers.keep_house(chosen.path, place)
    except ValueError as problem:
        pieces.field_fault(said_by(problem))
        return
    houses.drop_draft()
    folders.take(folder, chosen.as_of)
    flash(new_house_texts.kept(folder))
    st.rerun()
