"""The page on what a building really burns, and the parts of the order page about logs and upkeep."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from fuelplan import answers
from fuelplan.answers import LearnAnswer
from fuelplan.charts.learned import difference_alt, difference_chart, use_alt, use_chart, use_points
from fuelplan.pages.learn import page as learn_page
from fuelplan.papers.calendars import order_calendar

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
    assert learn_page.facts(found)[0].value.endswith(" t")


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
