"""The settings of a house: one by one in fields, or the whole file as text."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from fuelplan import answers
from fuelplan.messages import Said, as_text, said_by
from fuelplan.pages.parts import pieces
from fuelplan.pages.parts.fields import Form
from fuelplan.pages.parts.flash import flash
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import my_house as words

FAULTS_KEY = "settings-faults"


def the_settings(folder: Path) -> None:
    """Show the fields as the file has them; saved, they are read from the file again."""
    st.subheader(as_text(words.SETTINGS_TITLE), anchor=False)
    try:
        text = answers.site_text(folder)
        values = answers.settings_of(folder)
    except ValueError as problem:
        pieces.notes([(said_by(problem), "")], "danger")
        return
    # Another text is another form: its fields begin with what the file says.
    name = f"settings-{abs(hash((str(folder), text))):x}"
    faults: dict[str, Said] = st.session_state.get(FAULTS_KEY, {}).get(name, {})
    form = Form(name, faults)
    pieces.small(words.SETTINGS_LEAD)
    if faults:
        pieces.notes([(words.mended(len(faults)), "")], "warn")
    with st.form("settings", border=False):
        columns = st.columns(2)
        for i, (setting, value) in enumerate(values.items()):
            label, why = words.LABELS[setting]
            with columns[i % 2]:
                form.text(setting, label, why, start=value)
        pressed = st.form_submit_button(as_text(words.SAVE), type="primary")
    if pressed:
        _save(folder, text, form, values)


def _save(folder: Path, text: str, form: Form, values: dict[str, str]) -> None:
    written = {k: str(v) for k, v in form.read(values).items()}
    try:
        count = answers.change_settings(folder, text, written)
    except answers.FieldFaults as problem:
        st.session_state[FAULTS_KEY] = {form.name: problem.faults}
        st.rerun()
    except (ValueError, OSError) as problem:
        pieces.field_fault(said_by(problem))
        return
    st.session_state.pop(FAULTS_KEY, None)
    form.forget()
    flash(words.saved(count) if count else words.SAVED_NONE)
    st.rerun()


def the_text(folder: Path) -> None:
    """Show the whole file for who knows what they do."""
    with st.expander(as_text(words.TEXT_TITLE)):
        try:
            seen = answers.site_text(folder)
        except ValueError as problem:
            pieces.notes([(said_by(problem), "")], "danger")
            return
        pieces.small(words.TEXT_LEAD)
        with st.form("site-text", border=False):
            key = f"site-text-{abs(hash((str(folder), seen))):x}"
            text = st.text_area(as_text(words.TEXT_LABEL), seen, height=460, max_chars=200_000, key=key)
            pressed = st.form_submit_button(as_text(words.TEXT_SAVE))
        if not pressed:
            return
        try:
            answers.change_site_text(folder, seen, str(text))
        except answers.SiteFaults as problem:
            pieces.field_fault(words.TEXT_WRONG)
            rows = [
                (str(f.file), "" if f.line is None else str(f.line), f.key, f.said) for f in problem.faults
            ]
            pieces.table(texts.FAULTS_HEAD, rows, stack=True)
            return
        except (ValueError, OSError) as problem:
            pieces.field_fault(said_by(problem))
            return
        flash(words.TEXT_SAVED)
        st.rerun()
