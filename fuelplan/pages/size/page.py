"""The installer's page: how big a store? First the answer, then the drawing, the sizes, what to ask."""

from __future__ import annotations

import streamlit as st

from fuelplan.answers import SizeAnswer, how_big
from fuelplan.answers.how_big import headings
from fuelplan.charts.store import (
    cost_alt,
    cost_chart,
    hopper_chart,
    hopper_words,
    section_alt,
    section_chart,
    section_table,
    svg_of,
    winter_chart,
    winter_words,
)
from fuelplan.messages import as_text, paragraph
from fuelplan.messages.cautions import DEFER
from fuelplan.pages.parts import drawn, folders, look, one_house, pieces
from fuelplan.pages.parts.trouble import or_trouble
from fuelplan.pages.size import load as size_load
from fuelplan.pages.size import words as size_words
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import size as size_texts
from fuelplan.papers import report_pdf

BOTH_PX, ONE_PX, MOST_PX_PER_M = 780.0, 430.0, 110.0  # side by side on a desktop; legible on a telephone
ROOM_KEY = "room-tried"


def show() -> None:
    """Show the page for the folder and the day that are chosen."""
    answered = one_house.asked("size", size_load.size_answer)
    if answered is None:
        return
    chosen, found = answered
    the_answer(found)
    the_section(found)
    the_sizes(found)
    the_hopper(found)
    the_room(found, chosen)
    the_fit(found)
    the_rest(found)


def the_answer(found: SizeAnswer) -> None:
    """Answer the question in one sentence, with the facts and the report."""
    with st.container(key="the-answer"):
        pieces.kicker(texts.as_of(found.site, found.as_of))
        pieces.answer(size_words.headline(found))
        pieces.say(found.sentence)
        pieces.say(found.present_said)
        pieces.facts(size_words.facts(found))
        pieces.notes([(text, "") for text in found.warnings], "warn")
        st.download_button(
            as_text(size_texts.REPORT_BUTTON),
            lambda: report_pdf(found),
            f"store-size-{folders.file_word(found.site)}-{found.as_of.isoformat()}.pdf",
            "application/pdf",
            type="primary",
            help=as_text(size_texts.REPORT_HELP),
            on_click="ignore",
        )


def the_section(found: SizeAnswer) -> None:
    """Show the store of the folder in section, to scale, with the fill line."""
    st.subheader(as_text(headings.SECTION), anchor=False)
    if found.drawing is None:
        pieces.say(size_texts.SECTION_NONE)
        return
    wide, long = found.drawing.width_m, found.drawing.length_m
    scale = min(MOST_PX_PER_M, BOTH_PX / (wide + long + 1.0), ONE_PX / (max(wide, long) + 0.5))
    drawing = found.drawing

    def both() -> list[str]:
        views = ("across", "along")
        return [svg_of(section_chart(drawing, v, palette=look.palette(), px_per_m=scale)) for v in views]

    pieces.drawings(drawn.drawings((drawing, scale), both, key="section"), as_text(section_alt(drawing)))
    mat = found.drawing.along.mat is not None
    pieces.small(paragraph([headings.SECTION_HOW, *([headings.SECTION_MAT] if mat else [])]))
    with st.expander(as_text(texts.TABLE_TITLE)):
        pieces.table((size_words.NO_HEAD, size_words.NO_HEAD), section_table(found.drawing))


def the_sizes(found: SizeAnswer) -> None:
    """Show what each size does, and the worst winter with the best of them."""
    st.subheader(as_text(headings.SIZES), anchor=False)
    pieces.say(found.why)
    said = as_text(cost_alt(found))
    drawn.chart(found, lambda: cost_chart(found, palette=look.palette()), said, key="cost-chart")
    pieces.small(headings.SIZES_HOW)
    with st.expander(as_text(size_texts.SIZES_TABLE)):
        best = size_words.best_sizes(found)
        pieces.table(size_words.size_head(found), size_words.size_rows(found), changed=best, stack=True)
    st.subheader(as_text(headings.THUMBS), anchor=False)
    pieces.small_list(how_big.thumbs(found))
    if found.worst_winter is not None:
        st.subheader(as_text(headings.WINTER), anchor=False)
        winter = found.worst_winter
        said = as_text(winter_words(winter))
        drawn.chart(winter, lambda: winter_chart(winter, palette=look.palette()), said, key="winter-chart")
        pieces.small(said)


def the_hopper(found: SizeAnswer) -> None:
    """Show the day hopper through the coldest week."""
    hopper = found.hopper
    if hopper is None:
        return
    st.subheader(as_text(headings.HOPPER), anchor=False)
    pieces.say(found.hopper_said)
    pieces.notes([(problem, "") for problem in hopper.problems], "warn")
    bags = how_big.bags_sentence(hopper)
    if bags is not None:
        pieces.say(bags)
    said = as_text(hopper_words(hopper))
    drawn.chart(hopper, lambda: hopper_chart(hopper, palette=look.palette()), said, key="hopper-chart")
    pieces.small(said)
    with st.expander(as_text(size_texts.HOPPER_TABLE)):
        pieces.table(size_words.HOPPER_HEAD, size_words.hopper_rows(hopper), stack=True)


def the_room(found: SizeAnswer, chosen: folders.Chosen) -> None:
    """Let the person try a room: is it enough, and which floor serves best?"""
    st.subheader(as_text(size_texts.ROOM_TITLE), anchor=False)
    pieces.say(size_texts.ROOM_LEAD)
    start = (
        (3.0, 2.5, 2.2)
        if found.cellar is None
        else (found.cellar.length_m, found.cellar.width_m, found.cellar.height_m)
    )
    with st.form("room", border=False):
        fields = st.columns(3)
        names = (size_texts.ROOM_LENGTH, size_texts.ROOM_WIDTH, size_texts.ROOM_HEIGHT)
        sides = [
            float(f.number_input(as_text(name), 0.5, 30.0, value, 0.1, format="%.1f", key=f"room-{i}"))
            for i, (f, name, value) in enumerate(zip(fields, names, start, strict=True))
        ]
        if st.form_submit_button(as_text(size_texts.ROOM_BUTTON)):
            st.session_state[ROOM_KEY] = (str(chosen.path), tuple(sides))
    tried = st.session_state.get(ROOM_KEY)
    if tried is not None and tried[0] == str(chosen.path):
        answered = or_trouble(lambda: size_load.size_answer(chosen.path, chosen.as_of, tried[1]))
    else:
        answered = found
    if answered is None or answered.cellar is None:
        return
    pieces.short_answer(answered.cellar.sentence)
    best = [row.best for row in how_big.room_rows(answered)]
    pieces.table(size_words.ROOM_HEAD, size_words.room_rows(answered), changed=best, stack=True)
    left = how_big.rooms_left_out(answered)
    if left is not None:
        pieces.small(left)


def the_fit(found: SizeAnswer) -> None:
    """Show what delivery and the store need, each met, not met or to ask."""
    st.subheader(as_text(headings.FIT), anchor=False)
    pieces.say(paragraph([how_big.fit_count(found), headings.FIT_HOW]))
    marks = [row.not_met for row in how_big.fit_rows(found)]
    pieces.table(size_words.FIT_HEAD, size_words.fit_rows(found), changed=marks, stack=True)
    own = how_big.own_questions(found)
    if own:
        st.subheader(as_text(headings.ASK), anchor=False)
        pieces.notes([(text, "") for text in own])


def the_rest(found: SizeAnswer) -> None:
    """Show what can hurt someone, and what was assumed."""
    st.subheader(as_text(texts.CAUTIONS_TITLE), anchor=False)
    pieces.say(DEFER)
    pieces.notes(size_words.cautions(found), "danger")
    st.subheader(as_text(headings.ASSUMED), anchor=False)
    pieces.small_list(size_words.assumed(found))
