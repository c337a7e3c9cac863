"""The page on what a building really burns, and the parts of the order page about logs and upkeep."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

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
    use_alt,
    use_chart,
)
from fuelplan.charts.learned import use_points
from fuelplan.messages import as_text, render
from fuelplan.pages.learn import page as learn_page
from fuelplan.pages.texts import learn as learn_texts
from fuelplan.papers.calendars import order_calendar
from fuelplan.units import Reader, show, written_for
from tests.site_folders import make_site

DEMOS = Path(__file__).parents[2] / "demo_sites"
DAY = date(2026, 1, 15)


@pytest.fixture(scope="module")
def found() -> LearnAnswer:
    """What the demo house's readings tell."""
    site = answers.open_site(DEMOS / "family_house")
    return answers.learn(site, answers.weather_for(site, DAY), DAY)


def test_the_points_are_the_intervals(found: LearnAnswer) -> None:
    """Each stretch between readings is one point, at the temperature that its degree-days mean."""
    points = use_points(found)
    assert len(points) == len(found.intervals)
    first = found.intervals[0]
    assert points.kg_per_day[0] == pytest.approx(first.used_kg / first.days)
    assert found.base_c.p50 - points.outdoor_c[0] == pytest.approx(first.degree_days / first.days)
    assert (points.low <= points.kg_per_day).all()


def test_charts_hold_few_marks_and_say_what_they_show(found: LearnAnswer) -> None:
    """Both charts stay below 2,000 marks, and their text alternatives hold their figures."""
    for chart in (use_chart(found), difference_chart(found)):
        spec = json.loads(chart.to_json())
        assert 0 < sum(len(rows) for rows in spec["datasets"].values()) < 2000
    assert f"{len(found.intervals)} stretches" in use_alt(found)
    assert "than expected" in difference_alt(found)


def _learn_script(path: str) -> None:
    """Show the page for one folder."""
    from datetime import date
    from pathlib import Path

    from fuelplan.pages.learn import page as learn_page

    found = learn_page.learn_answer(Path(path), date(2026, 1, 15))
    learn_page.the_answer(found)
    learn_page.the_use(found)
    learn_page.the_difference(found)
    learn_page.the_table(found)
    learn_page.the_rest(found)


def test_the_page_runs_and_answers_first(found: LearnAnswer) -> None:
    """The finding is the heading; both charts carry a text alternative."""
    page = AppTest.from_function(_learn_script, args=(str(DEMOS / "family_house"),), default_timeout=60).run()
    assert not page.exception
    assert len(page.get("vega_lite_chart")) == 2
    assert as_text(learn_page.facts(found)[0].value).endswith(" t")


def _logs_script(path: str) -> None:
    """Show the parts about logs and upkeep for one folder."""
    from datetime import date
    from pathlib import Path

    from fuelplan.pages.order import logs as order_logs
    from fuelplan.pages.parts import load

    answer = load.order_answer(Path(path), date(2026, 1, 15))
    order_logs.the_logs(answer)
    order_logs.the_upkeep(answer)


def test_the_farmhouse_shows_its_logs_and_its_upkeep() -> None:
    """Both parts run on the farmhouse and are silent on logs for a house without any."""
    with_logs = AppTest.from_function(
        _logs_script, args=(str(DEMOS / "farmhouse"),), default_timeout=90
    ).run()
    without = AppTest.from_function(
        _logs_script, args=(str(DEMOS / "family_house"),), default_timeout=90
    ).run()
    assert not with_logs.exception and not without.exception
    assert [h.value for h in with_logs.subheader] == ["Logs", "To do in the year"]
    assert [h.value for h in without.subheader] == ["To do in the year"]


def test_upkeep_goes_into_the_calendar_and_questions_do_not() -> None:
    """The farmhouse's calendar holds ash, sweeping and cleaning with their cautions, no questions."""
    site = answers.open_site(DEMOS / "farmhouse")
    answer = answers.order(site, answers.weather_for(site, DAY), DAY)
    text = order_calendar(answer).decode().replace("\r\n ", "")
    assert "Chimney sweeping" in text and "Empty the ash box" in text and "clean the pellet store" in text
    assert "embers" in text
    assert all(entry.title not in text for entry in answer.upkeep if entry.kind == "question")


def _textbook_script(path: str) -> None:
    """Show the textbook line of one folder."""
    from datetime import date
    from pathlib import Path

    from fuelplan.pages.learn import page

    found = page.learn_answer(Path(path), date(2026, 1, 15))
    page.the_textbook(found)
    page.the_rest(found)


def html_of(page: AppTest) -> str:
    """All that the page shows as HTML."""
    return " ".join(str(element.proto.body) for element in page.get("html"))


def test_the_page_shows_where_the_textbook_line_parts_first(found: LearnAnswer) -> None:
    """The sentence, the two side by side, then residual plot and cumulative sum with their tables."""
    page = AppTest.from_function(
        _textbook_script, args=(str(DEMOS / "family_house"),), default_timeout=60
    ).run()
    assert not page.exception
    assert [h.value for h in page.subheader] == [render(learn_texts.BOOK_TITLE)]
    assert len(page.get("vega_lite_chart")) == 2
    shown = html_of(page)
    book = found.textbook
    assert book is not None
    assert shown.index(render(found.textbook_said)) < shown.index(render(learn_texts.BOOK_HOW))
    assert f"{book.kg_per_day:.1f} kg" in shown and "below 0.001" in shown and render(book.verdict) in shown
    assert all(f"{p.residual_kg_per_day:+.1f} kg" in shown for p in book.points)
    assert "Newey–West" in shown and found.warming is not None


def test_a_house_without_readings_is_told_why_there_is_no_line(tmp_path: Path) -> None:
    """One reading: the sentence, and no chart or table."""
    folder = make_site(tmp_path / "a", changes=[("format = 1", "format = 1\nexample_date = 2020-12-01")])
    page = AppTest.from_function(_textbook_script, args=(str(folder),), default_timeout=60).run()
    assert not page.exception
    assert "There is no textbook line yet" in html_of(page)
    assert not page.get("vega_lite_chart")


def test_the_charts_of_the_line_hold_its_points(found: LearnAnswer) -> None:
    """Residuals and sum are drawn stretch by stretch, the sum between its limits; the use chart has the line
    beside what was learned; each says in words what it shows.
    """
    book = found.textbook
    assert book is not None
    left = json.loads(residual_chart(found).to_json())["datasets"]
    rows = next(rows for rows in left.values() if len(rows) == len(book.points))
    assert [r["left"] for r in rows] == pytest.approx([p.residual_kg_per_day for p in book.points])
    sums = json.loads(cusum_chart(found).to_json())["datasets"]
    drawn = [p for p in book.points if p.cusum is not None]
    rows = next(iter(sums.values()))
    assert [r["sum"] for r in rows] == pytest.approx([p.cusum for p in drawn])
    assert [r["low"] for r in rows] == pytest.approx([-r["high"] for r in rows])
    use = json.loads(use_chart(found).to_json())["datasets"]
    lines = next(rows for rows in use.values() if rows and "which" in rows[0])
    cold = next(r for r in lines if r["which"] == "textbook line" and r["outdoor_c"] == -10)
    assert cold["kg_per_day"] == pytest.approx(book.kg_per_day + book.kg_per_degree_day * (book.base_c + 10))
    far = max(book.points, key=lambda p: abs(p.residual_kg_per_day))
    assert show(abs(far.residual_kg_per_day), "mass") in residual_alt(found)
    assert "stays between its limits" in cusum_alt(found)
    gone = replace(found, textbook=replace(book, left_limits_on=date(2025, 5, 4)))
    assert "beyond its limits from 4 May 2025 on" in cusum_alt(gone)


def test_a_reader_in_the_united_states_has_the_line_in_pounds(found: LearnAnswer) -> None:
    """Pounds a day (of the kilograms as written) and for each degree Fahrenheit, heating begins in °F."""
    book = found.textbook
    assert book is not None
    with written_for(Reader("us", "month first")):
        rows = {row[0]: [as_text(cell) for cell in row] for row in words.beside(found).rows}
        assert rows[words.DAILY][2] == f"{round(book.kg_per_day, 1) / 0.45359237:.1f} lb"
        assert rows[words.DEGREE][2] == f"{book.kg_per_degree_day / 0.45359237 / 1.8:.1f} lb"
        assert rows[words.BASE][2] == "52 °F (46 to 62 °F fit about as well)"
        assert "46 to 62 °F fit about as well" in render(words.fit_said(book))
        assert " lb a day by the line" in render(found.textbook_said)
