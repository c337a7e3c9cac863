"""A house that has no folder yet: a short form, the first answer at once, and a folder on request."""

from __future__ import annotations

from datetime import date

import streamlit as st

from fuelplan import answers
from fuelplan.answers.when_to_order import facts, headline
from fuelplan.charts import level_alt, level_chart, near_days
from fuelplan.messages import Said, as_text, said_by
from fuelplan.pages.new_house.form import EMPTY, FORM, the_fields
from fuelplan.pages.order import asked as order_asked
from fuelplan.pages.parts import drawn, folders, houses, load, look, pieces, reading
from fuelplan.pages.parts.demo_weather import demo_weather
from fuelplan.pages.parts.fields import Form
from fuelplan.pages.parts.flash import flash
from fuelplan.pages.parts.trouble import or_trouble
from fuelplan.pages.parts.ways_in import page_of
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import new_house as words
from fuelplan.pages.texts import order as order_texts

FAULTS_KEY = "new-house-faults"
FILE_KEY = "new-house-weather-file"


def show() -> None:
    """Show the form; once it is filled in, the answer above it."""
    draft = houses.draft()
    if draft is not None:
        reading.read_for(folders.country_of(draft))
        the_first_answer(folders.Chosen(draft, False, date.today()))
        with st.expander(as_text(words.CHANGE), expanded=bool(_faults())):
            the_form()
        return
    pieces.answer(words.QUESTION)
    pieces.say(words.LEAD)
    the_form()


def the_form() -> None:
    """Show the fields, with what is wrong under each."""
    faults = _faults()
    if faults:
        pieces.notes([(words.mended(len(faults)), "")], "warn")
    if set(faults) == {"town"} and not Form(FORM, {}).kept("town"):
        _other_weather(words.OTHER_TOWN)
    form = Form(FORM, faults)
    with st.form("new-house", border=False):
        the_fields(form)
        if "" in faults:
            pieces.field_fault(faults[""])
        st.form_submit_button(as_text(words.SHOW), type="primary", on_click=_submitted)
    pieces.small(words.SOURCE_OF_TOWNS)


def _faults() -> dict[str, Said]:
    return dict(st.session_state.get(FAULTS_KEY, {}))


def _other_weather(why: Said) -> None:
    """Offer what can be taken where no weather station can be asked."""
    st.subheader(as_text(words.OTHER_TITLE), anchor=False)
    pieces.notes([(why, "")], "warn")
    for source, label in words.OTHERS.items():
        st.button(as_text(label), key=f"other-weather-{source}", on_click=_submitted, args=(source,))


def _submitted(weather: str | None = None) -> None:
    """Read the form and make a draft of it; what is wrong is kept for the fields to show.

    `weather` takes the place of the choice in the form, which shows it from then on.
    """
    form = Form(FORM, {})
    if weather is not None:
        st.session_state[form.key("weather")] = weather
        houses.drop_draft()
    written = form.read(EMPTY)
    upload = st.session_state.get(f"{FORM}-weather_file")
    if upload is not None:
        st.session_state[FILE_KEY] = answers.WeatherFile(upload.name, upload.getvalue())
    try:
        made = answers.draft_house(
            answers.NewHouse(**written), houses.room_for_draft(), date.today(),
            _weather(written["weather"]), written=as_text,
        )  # fmt: skip
    except answers.FieldFaults as problem:
        st.session_state[FAULTS_KEY] = problem.faults
        return
    except answers.FolderError as problem:
        st.session_state[FAULTS_KEY] = {"": said_by(problem)}
        return
    st.session_state.pop(FAULTS_KEY, None)
    houses.take_draft(made)
    folders.take(made, date.today())


def _weather(source: str) -> answers.WeatherFile | None:
    if source == "invented":
        return answers.WeatherFile("weather.csv", demo_weather(date.today()))
    kept: answers.WeatherFile | None = st.session_state.get(FILE_KEY) if source == "file" else None
    return kept


def the_first_answer(chosen: folders.Chosen) -> None:
    """Show the answer in a sentence, its facts and the level; then how to keep the house."""
    with st.spinner(as_text(texts.WORKING)):
        found = or_trouble(
            lambda: load.order_answer(chosen.path, chosen.as_of),
            lambda why: _other_weather(words.other_lead(why)),
        )
    if found is None:
        return
    with st.container(key="the-answer"):
        pieces.kicker(texts.as_of(found.site, found.as_of))
        pieces.answer(headline(found))
        pieces.say(found.sentence)
        pieces.facts(pieces.Fact(row.name, row.value, row.note) for row in facts(found))
    order_asked.show(found, chosen)
    _keep(chosen)
    drawn.chart(
        found,
        lambda: level_chart(found, palette=look.palette(), days=near_days(found)),
        as_text(level_alt(found)),
        key="first-level",
    )
    pieces.small(order_texts.LEVEL_HOW)


def _keep(chosen: folders.Chosen) -> None:
    left, right = st.columns([1, 1], vertical_alignment="center")
    with left:
        kept = st.button(as_text(words.KEEP), type="primary", key="keep-house")
    with right:
        st.page_link(page_of("when_to_order", texts.ORDER_QUESTION), label=as_text(words.WHOLE))
    place = houses.place_for_houses()
    pieces.small(words.keep_how(place / chosen.path.name))
    if not kept:
        return
    try:
        folder = answers.keep_house(chosen.path, place)
    except answers.FolderError as problem:
        pieces.field_fault(said_by(problem))
        return
    houses.drop_draft()
    folders.take(folder, chosen.as_of)
    flash(words.kept(folder))
    st.switch_page(page_of("when_to_order", texts.ORDER_QUESTION))
