"""Long work says what it is at and can be stopped; what changed since the last look is told, with why."""

from __future__ import annotations

import threading
import time
from datetime import date
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from fuelplan import answers
from fuelplan.pages.parts import long_work
from fuelplan.records.folder import looked
from tests.page_texts import common as texts
from tests.ui_pages import DEMO_SITES, click, copy_of, opened, words


@pytest.fixture(autouse=True)
def _fresh() -> object:
    """Nothing is kept from one test to the next."""
    st.cache_resource.clear()
    yield
    st.cache_resource.clear()


def a_page_at_work() -> None:
    """A page with work that takes five steps; the test sees the steps it got to."""
    import streamlit as st

    from fuelplan.pages.parts import long_work

    steps, seen = st.session_state["steps"], st.session_state["seen"]

    def work() -> str:
        import time

        for i in range(steps):
            long_work.step(f"step {i}")
            seen.append(i)
            time.sleep(0.2)
        return "finished"

    found = long_work.shown("test", work)
    st.text(found or "nothing yet")


def at_work(steps: int) -> AppTest:
    """The page, before its first run."""
    page = AppTest.from_function(a_page_at_work, default_timeout=30)
    page.session_state["steps"], page.session_state["seen"] = steps, []
    return page


def test_work_is_waited_for_and_its_result_shown() -> None:
    """A run of the page ends with the result; nothing of the waiting stays on it."""
    page = at_work(4).run()
    assert page.text[0].value == "finished"
    assert not page.button
    assert page.session_state["seen"] == [0, 1, 2, 3]


def test_short_work_shows_no_ado() -> None:
    """What is done at once shows neither a step nor a button."""
    assert not at_work(0).run().get("html")


def test_stopped_work_ends_at_its_next_step() -> None:
    """Once stopped, the next step is the last, the page says so, and a click begins it again."""
    steps: list[int] = []

    def work() -> int:
        for i in range(50):
            long_work.step(str(i))
            steps.append(i)
            time.sleep(0.02)
        return 1

    context_job = long_work._begin(work)
    time.sleep(0.1)
    context_job.stop = True
    assert context_job.done.wait(5)
    assert isinstance(context_job.problem, long_work.Stopped)
    assert 0 < len(steps) < 50
    assert context_job.result is None

    page = at_work(2)
    page.session_state[long_work.JOBS_KEY] = {"test": context_job}
    page.run()
    assert texts.STOPPED in words(page)
    assert page.text[0].value == "nothing yet"
    click(page, texts.GO_ON)
    assert page.text[0].value == "finished"


def test_a_problem_of_the_work_is_the_pages_problem(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What goes wrong beside the page is shown on it in words, as if it had happened there."""

    def offline(*_: object) -> object:
        time.sleep(0.6)
        raise answers.WeatherUnavailable("the stations could not be reached; try again with a network")

    monkeypatch.setattr(answers, "weather_for", offline)
    page = opened("when_to_order", copy_of("family_house", tmp_path / "house"), monkeypatch)
    assert "try again with a network" in words(page)


def test_a_step_outside_of_work_does_nothing() -> None:
    """Rooms and caches may name their steps wherever they are called from."""
    long_work.step("nobody listens")
    assert threading.active_count() >= 1


# Since the last look ----------------------------------------------------------------------------------------


def test_what_changed_since_the_last_look_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Looked at on 5 January and again on the 15th: the page says what moved, and why."""
    folder = copy_of("family_house", tmp_path / "house")
    answers.remember_look(folder, date(2026, 1, 5))
    answers.record_reading(folder, date(2026, 1, 14), "1500 kg")
    page = opened("when_to_order", folder, monkeypatch)
    text = words(page)
    assert texts.SINCE_TITLE in [part.value for part in page.subheader]
    assert "Since 5 January" in text
    assert "reading of 14 January" in text
    assert answers.looked_on(folder) == [date(2026, 1, 5), date(2026, 1, 15)]
    assert "Since 5 January" in words(page.run()), "it stays for the whole day"


def test_a_first_look_tells_nothing_and_is_remembered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing to compare with yet; another day can be asked for, and one that is later is refused."""
    folder = copy_of("family_house", tmp_path / "house")
    page = opened("when_to_order", folder, monkeypatch)
    assert texts.SINCE_TITLE not in [part.value for part in page.subheader]
    page.date_input(key="since-day").set_value(date(2026, 1, 2))
    click(page, texts.SINCE_BUTTON)
    assert "Since 2 January" in words(page)
    page.date_input(key="since-day").set_value(date(2026, 1, 15))
    click(page, texts.SINCE_BUTTON)
    assert texts.since_later(date(2026, 1, 15)) in words(page)


def test_demo_houses_keep_no_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    """Looking at a demo leaves no file in the project."""
    opened("when_to_order", DEMO_SITES / "family_house", monkeypatch)
    assert not (DEMO_SITES / "family_house" / looked.LOOKED_FILE).exists()


@pytest.mark.parametrize("content", ["", "no json", "[1, 2]", '{"a": 1}', '["2026-99-99"]'])
def test_a_broken_memory_counts_as_none(tmp_path: Path, content: str) -> None:
    """Whatever stands in it, looking goes on, and the day is remembered anew."""
    (tmp_path / looked.LOOKED_FILE).write_text(content)
    assert looked.looked_on(tmp_path) == []
    looked.remember_look(tmp_path, date(2026, 1, 5))
    assert looked.looked_on(tmp_path) == [date(2026, 1, 5)]


# In turn ----------------------------------------------------------------------------------------------------


def test_answers_are_worked_out_one_after_the_other() -> None:
    """Never two at once, in the order in which they were asked for; one that is given up is passed over."""
    from fuelplan.pages.parts.turns import serialised

    order: list[int] = []
    at_work: list[int] = []
    gate = threading.Event()

    def ask(number: int) -> None:
        with serialised():
            at_work.append(number)
            assert len(at_work) == 1
            if number == 0:
                gate.wait(5)
            order.append(number)
            at_work.remove(number)

    def give_up() -> None:
        job: long_work.Job[object] = long_work.Job(stop=True)
        long_work._job.set(job)
        with pytest.raises(long_work.Stopped), serialised():
            order.append(-1)

    people = [threading.Thread(target=ask, args=(0,)), threading.Thread(target=give_up)]
    people += [threading.Thread(target=ask, args=(i,)) for i in (1, 2, 3)]
    for person in people:
        person.start()
        time.sleep(0.05)
    time.sleep(0.3)
    gate.set()
    for person in people:
        person.join(5)
    assert order == [0, 1, 2, 3]
