"""What does this building really burn? First the answer, then use against weather, and changes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import streamlit as st

from fuelplan import answers
from fuelplan.answers import LearnAnswer
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
from fuelplan.messages import render
from fuelplan.pages.learn import figures
from fuelplan.pages.parts import drawn, folders, long_work, look, pieces, reading
from fuelplan.pages.parts.load import Fingerprint, fingerprint
from fuelplan.pages.parts.long_work import step
from fuelplan.pages.parts.pieces import Fact
from fuelplan.pages.parts.trouble import or_trouble
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import learn as learn_texts
from fuelplan.units import show, show_as, show_date, show_range


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
    chosen = folders.choose()
    if chosen is None:
        pieces.answer(texts.NO_FOLDER_TITLE)
        pieces.say(texts.NO_FOLDER)
        return
    found = or_trouble(
        lambda: long_work.shown(f"learn-{chosen}", lambda: learn_answer(chosen.path, chosen.as_of))
    )
    if found is None:
        return
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
    degree, daily = found.kg_per_degree_day, found.kg_per_day
    kg, each, word = figures.units_read()
    begins = figures.base_range(found.base_c.p10, found.base_c.p90)
    paper = learn_texts.NOTE_PAPER.format(amount=show(found.paper_year_kg, "mass"))
    return [
        Fact(learn_texts.FACT_YEAR, show_range(found.year_kg.p10, found.year_kg.p90, "mass"), paper),
        Fact(
            learn_texts.FACT_DEGREE,
            f"{degree.p10 / each:.1f} to {degree.p90 / each:.1f} {word}",
            learn_texts.NOTE_DEGREE,
        ),
        Fact(learn_texts.FACT_BASE, learn_texts.BASE.format(range=begins), learn_texts.NOTE_BASE),
        Fact(
            learn_texts.FACT_DAY, f"{daily.p10 / kg:.1f} to {daily.p90 / kg:.1f} {word}", learn_texts.NOTE_DAY
        ),
    ]


def the_use(found: LearnAnswer) -> None:
    """Show use against the outdoor temperature."""
    st.subheader(learn_texts.USE_TITLE, anchor=False)
    drawn.chart(found, lambda: use_chart(found, palette=look.palette()), use_alt(found), key="use-chart")
    pieces.small(learn_texts.USE_HOW)


def the_difference(found: LearnAnswer) -> None:
    """Show the running sum of burned less expected."""
    st.subheader(learn_texts.DIFFERENCE_TITLE, anchor=False)
    drawn.chart(
        found,
        lambda: difference_chart(found, palette=look.palette()),
        difference_alt(found),
        key="difference-chart",
    )
    pieces.small(learn_texts.DIFFERENCE_HOW)


def the_textbook(found: LearnAnswer) -> None:
    """Show the textbook's regression: where it parts from what was learned first, its figures below."""
    st.subheader(learn_texts.BOOK_TITLE, anchor=False)
    pieces.say(render(found.textbook_said))
    if found.textbook is None:
        return
    pieces.small(learn_texts.BOOK_HOW)
    pieces.table(learn_texts.BOOK_HEAD, figures.beside(found), stack=True)
    with st.expander(learn_texts.BOOK_MORE):
        pieces.table(learn_texts.BOOK_ERRORS_HEAD, figures.errors(found.textbook), stack=True)
        pieces.small(figures.fit_said(found.textbook))
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
        pieces.small(learn_texts.CUSUM_NONE)
    else:
        drawn.chart(found, lambda: cusum_chart(found, palette=palette), cusum_alt(found), key="cusum-chart")
        pieces.small(f"{cusum_alt(found)} {learn_texts.CUSUM_HOW}")
    pieces.table(learn_texts.BOOK_TABLE_HEAD, figures.points(found.textbook), stack=True)


def the_prices(found: LearnAnswer) -> None:
    """Show when fuel is cheap by the house's own price history, with its doubt."""
    season = found.price_season
    if season is None:
        return
    st.subheader(learn_texts.PRICES_TITLE, anchor=False)
    for said in found.price_season_said:
        pieces.say(render(said))
    palette = look.palette()
    drawn.chart(season, lambda: season_chart(season, palette=palette), season_alt(season), key="season-chart")
    pieces.small(learn_texts.PRICES_HOW)
    with st.expander(learn_texts.PRICES_TABLE):
        pieces.table(learn_texts.PRICES_HEAD, figures.months(season), stack=True)


def the_table(found: LearnAnswer) -> None:
    """Show every interval."""
    with st.expander(learn_texts.TABLE_TITLE):
        rows = [
            (
                show_date(i.first_day, year=True),
                show_date(i.last_day, year=True),
                show_as(i.used_kg, "kg"),
                show_as(i.expected_kg, "kg"),
                show_as(i.cusum_kg, "kg", "+,.0f"),
                learn_texts.SET_ASIDE if i.flagged else "",
            )
            for i in found.intervals
        ]
        pieces.table(learn_texts.TABLE_HEAD, rows, stack=True)


def the_rest(found: LearnAnswer) -> None:
    """Show what was set aside, and the figures that experts ask for."""
    if found.flags or found.notes:
        st.subheader(learn_texts.FLAGS_TITLE, anchor=False)
        said = dict.fromkeys([*(flag.sentence for flag in found.flags), *found.notes])
        pieces.notes([(text, "") for text in said], "warn")
    fitted = found.cv_rmse is not None and found.nmbe is not None
    if not fitted and found.warming_said is None:
        return
    with st.expander(learn_texts.MORE_TITLE):
        if fitted:
            pieces.small(learn_texts.FIT.format(cv=found.cv_rmse, bias=found.nmbe))
            pieces.small(learn_texts.FALSE_ALARMS)
        if found.warming_said is not None:
            pieces.small(render(found.warming_said))
