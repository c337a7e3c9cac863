"""What does this building really burn? First the answer, then use against weather, and changes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import streamlit as st

from fuelplan import answers
from fuelplan.answers import LearnAnswer
from fuelplan.answers.what_we_burn import words
from fuelplan.charts import (
    cusum_alt,
    cusum_chart,
    difference_alt,
    difference_chart,
    residual_alt,
    residual_chart,
    season_alt,
    season_chart,
    use_alt,
    use_chart,
)
from fuelplan.messages import as_text, paragraph
from fuelplan.pages.parts import drawn, look, one_house, pieces, reading
from fuelplan.pages.parts.load import Fingerprint, fingerprint
from fuelplan.pages.parts.long_work import step
from fuelplan.pages.parts.pieces import Fact
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import learn as learn_texts


def _learn(path: str, files: Fingerprint, as_of: date, reader: str) -> LearnAnswer:
    site = answers.open_site(path)
    step(texts.READING_WEATHER)
    weather = answers.weather_for(site, as_of, step)
    step(learn_texts.WORKING)
    return answers.learn(site, weather, as_of)


_cached = st.cache_resource(_learn, max_entries=32, show_spinner=False)


def learn_answer(path: Path, as_of: date) -> LearnAnswer:
    """Return the finding for a folder, from the cache where nothing has changed."""
    found: LearnAnswer = _cached(str(path), fingerprint(path), as_of, reading.key())
    return found


def show_page() -> None:
    """Show the page for the house and the day that are chosen."""
    answered = one_house.asked("learn", learn_answer)
    if answered is None:
        return
    _, found = answered
    the_answer(found)
    if found.intervals:
        the_use(found)
        the_difference(found)
        the_table(found)
    the_textbook(found)
    the_prices(found)
    the_rest(found)


def the_answer(found: LearnAnswer) -> None:
    """Answer in a sentence, with the facts."""
    with st.container(key="the-answer"):
        pieces.kicker(texts.as_of(found.site, found.as_of))
        pieces.answer(found.sentences[0])
        for text in found.sentences[1:]:
            pieces.say(text)
        pieces.facts(facts(found))


def facts(found: LearnAnswer) -> list[Fact]:
    """Return the facts under the answer."""
    return [Fact(fact.name, fact.span, fact.note) for fact in words.facts(found)]


def the_use(found: LearnAnswer) -> None:
    """Show use against the outdoor temperature."""
    st.subheader(as_text(learn_texts.USE_TITLE), anchor=False)
    drawn.chart(found, lambda: use_chart(found, palette=look.palette()), use_alt(found), key="use-chart")
    pieces.small(learn_texts.USE_HOW)


def the_difference(found: LearnAnswer) -> None:
    """Show the running sum of burned less expected."""
    st.subheader(as_text(learn_texts.DIFFERENCE_TITLE), anchor=False)
    drawn.chart(
        found,
        lambda: difference_chart(found, palette=look.palette()),
        difference_alt(found),
        key="difference-chart",
    )
    pieces.small(learn_texts.DIFFERENCE_HOW)


def the_textbook(found: LearnAnswer) -> None:
    """Show the textbook's regression: where it parts from what was learned first, its figures below."""
    st.subheader(as_text(learn_texts.BOOK_TITLE), anchor=False)
    pieces.say(found.textbook_said)
    if found.textbook is None:
        return
    pieces.small(learn_texts.BOOK_HOW)
    the_rows(words.beside(found))
    with st.expander(as_text(learn_texts.BOOK_MORE)):
        the_rows(words.coefficient_table(found.textbook))
        pieces.small(words.fit_said(found.textbook))
        _what_is_left(found)


def _what_is_left(found: LearnAnswer) -> None:
    assert found.textbook is not None
    palette = look.palette()
    pieces.small(learn_texts.RESIDUAL_TITLE)
    drawn.chart(
        found, lambda: residual_chart(found, palette=palette), residual_alt(found), key="residual-chart"
    )
    pieces.small(learn_texts.RESIDUAL_HOW)
    pieces.small(learn_texts.CUSUM_TITLE)
    if found.textbook.points[-1].cusum is None:
        pieces.small(words.sum_said(found.textbook))
    else:
        drawn.chart(found, lambda: cusum_chart(found, palette=palette), cusum_alt(found), key="cusum-chart")
        pieces.small(paragraph([words.sum_said(found.textbook), words.SUM_HOW]))
    the_rows(words.points(found.textbook))


def the_prices(found: LearnAnswer) -> None:
    """Show when fuel is cheap by the house's own price history, with its doubt."""
    season = found.price_season
    if season is None:
        return
    st.subheader(as_text(learn_texts.PRICES_TITLE), anchor=False)
    for said in found.price_season_said:
        pieces.say(said)
    palette = look.palette()
    drawn.chart(season, lambda: season_chart(season, palette=palette), season_alt(season), key="season-chart")
    pieces.small(learn_texts.PRICES_HOW)
    with st.expander(as_text(learn_texts.PRICES_TABLE)):
        the_rows(words.months(season))


def the_table(found: LearnAnswer) -> None:
    """Show every interval."""
    with st.expander(as_text(learn_texts.TABLE_TITLE)):
        the_rows(words.stretches(found))


def the_rows(table: words.LearnedTable) -> None:
    """Show a table."""
    pieces.table(table.head, table.rows, stack=True)


def the_rest(found: LearnAnswer) -> None:
    """Show what was set aside, and the figures that experts ask for."""
    said = dict.fromkeys([*(flag.sentence for flag in found.flags), *found.notes])
    noted = [(text, "") for text in said if text not in found.sentences]
    if noted:
        st.subheader(as_text(learn_texts.FLAGS_TITLE), anchor=False)
        pieces.notes(noted, "warn")
    scatter = words.scatter(found)
    if scatter is None and found.warming_said is None:
        return
    with st.expander(as_text(learn_texts.MORE_TITLE)):
        if scatter is not None:
            pieces.small(scatter)
            pieces.small(learn_texts.FALSE_ALARMS)
        if found.warming_said is not None:
            pieces.small(found.warming_said)
