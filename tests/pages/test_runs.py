"""The dispatcher's page: the answer first, names as they are, plans kept between clicks."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.answers.which_runs.answer import DueCustomer, RunsAnswer, WishNotKept
from fuelplan.messages import as_message
from fuelplan.pages.parts.long_work import JOBS_KEY
from fuelplan.pages.runs import load as runs_load
from fuelplan.pages.runs import page as runs_page
from fuelplan.pages.runs import words as runs_words
from tests.page_texts import common as texts
from tests.page_texts import runs as words_of
from tests.round_example import AS_OF, FOLDER
from tests.runs_answers import DAYS, FORMULA, LONG_NAME, TAG, empty_runs, example_runs, run, stop
from tests.runs_page import choose_form, field, real_stops
from tests.ui_pages import click, field_faults, heading, opened, words

assert JOBS_KEY != runs_load.JOBS_KEY


def test_the_answer_comes_first(made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch) -> None:
    """One sentence on the next day's runs, then who is at risk, whom to ring, promises, runs and tonnes."""
    made_up(example_runs())
    page = opened("which_runs", FOLDER, monkeypatch)
    assert heading(page) == "Fri 16 January: 3 runs, 6 stops, 24 t, about 110 km."
    said = words(page)
    titles = [s.value for s in page.subheader]
    assert titles[:3] == ["Promised deliveries whose store may run low first", "To ring", words_of.RISK_TITLE]
    assert {words_of.DAYS_TITLE, words_of.MAP_TITLE, words_of.WEEKS_TITLE, texts.CAUTIONS_TITLE} <= set(
        titles
    )
    assert "Hill farm (Q063)" in said and "Ash cottage (Q051)" in said and "Island house (Q061)" in said
    assert "Heron, run 1: leave yard 06:30, back by 10:00" in said
    assert "1. Lime tree house (Q001)" in said and "ring first: 000 0001" in said
    assert len(page.get("vega_lite_chart")) == 3


def test_who_is_due_is_told_with_the_run(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, ahead: answers.OutlookAnswer
) -> None:
    """The most urgent first, with the run that goes there or that none does."""
    made_up(example_runs())
    table = ahead.customers
    due = tuple(
        DueCustomer(str(table.customer[i]), "x", table.deliver_by[i].item(), bool(table.overdue[i]), None)
        for i in ahead.due
    )
    first = due[0].customer
    plan = replace(example_runs(), due=due, runs=(run(DAYS[1], "Wren", 1, (stop(1, first, "x"),)),))
    rows = runs_words.risk_rows(plan, ahead)
    assert rows[0][0].endswith(f"({first})")
    assert rows[0][-1] == "Mon 19 January, Wren"
    assert {r[-1] for r in rows[1:]} == {"on no run"}
    assert len(rows) == len(ahead.due)
    at_once = [bool(table.overdue[i]) for i in ahead.due]
    assert [r[1] == words_of.AT_ONCE for r in rows] == at_once
    assert 0 < sum(at_once) < len(at_once)


def test_names_never_become_html(made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch) -> None:
    """A customer's name with tags is shown as it was written."""
    made_up(example_runs())
    page = opened("which_runs", FOLDER, monkeypatch)
    bodies = "\n".join(piece.proto.body for piece in page.get("html"))
    assert "<b>Bold" not in bodies and "&lt;b&gt;Bold" in bodies
    assert FORMULA in bodies and LONG_NAME in bodies


def test_a_click_does_not_plan_again(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Choosing a day or a form shows the same plan; only asking for it plans again after a change."""
    planned = made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    (days,) = [w for w in page.get("button_group") if w.key and w.key.startswith("day-filter")]
    days.set_value(DAYS[1].isoformat()).run()
    assert "Stork, run 1" in words(page) and "Heron, run 1: leave" not in words(page)
    page.run()
    choose_form(page, "wish")
    assert len(planned) == 1


def test_units_turn_without_planning_again(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In US units masses are in pounds, roads in miles and dates month first; the plan is the same."""
    planned = made_up(example_runs())
    page = opened("which_runs", FOLDER, monkeypatch)
    (units,) = [w for w in page.get("button_group") if w.label == texts.UNITS]
    units.set_value("us").run()
    assert len(planned) == 1
    assert "miles" in heading(page) and "kg" not in heading(page)
    assert "6,614\u00a0lb\u00a0A1" in words(page)


def test_nobody_to_serve_is_said(made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan without runs says so, and shows no empty map."""
    made_up(empty_runs())
    page = opened("which_runs", FOLDER, monkeypatch)
    assert heading(page) == "Nobody has to be served until 21 January."
    assert words_of.MAP_TITLE not in [s.value for s in page.subheader]
    assert words_of.RING_NONE in words(page) and words_of.PROMISE_NONE in words(page)


def test_a_stop_keeps_the_plan_so_far(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Stopped while it searches, the best plan by then is shown and can be planned to the end."""
    made_up(real_stops())
    asked: list[bool] = []

    def slow(*_: object, progress: Callable[[float, str], bool], **__: object) -> RunsAnswer:
        while progress(0.3, "search") and len(asked) < 1:
            for job in list(running):
                job.stop = True
            time.sleep(0.01)
        asked.append(True)
        return replace(real_stops(), iterations=17, reproducible=False)

    running: list[runs_load.RunsJob] = []
    begin = runs_load._begin

    def remembered(key: runs_load.Key) -> runs_load.RunsJob:
        running.append(begin(key))
        return running[-1]

    monkeypatch.setattr(answers, "runs", slow)
    monkeypatch.setattr(runs_load, "_begin", remembered)
    page = opened("which_runs", folder, monkeypatch)
    assert words_of.STOPPED in words(page)
    assert "Heron, run 1" in words(page)
    monkeypatch.setattr(answers, "runs", lambda *_, **__: real_stops())
    click(page, words_of.PLAN_AGAIN)
    assert words_of.STOPPED not in words(page)


def test_trouble_is_said_in_words(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Where there is no plan the page says why; where there was one, it stays."""
    made_up(ValueError("no tanker drives on any of these days; look at [rules] weekdays"))
    page = opened("which_runs", folder, monkeypatch)
    assert "no tanker drives" in words(page) and heading(page) == texts.TOO_THIN_TITLE
    made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    choose_form(page, "wish")
    field(page, "text_input", words_of.CUSTOMER).set_value("Q010")
    click(page, words_of.SAVE)
    made_up(ValueError("it cannot be done"))
    click(page, words_of.PLAN_AGAIN)
    assert field_faults(page) == ["No new plan: it cannot be done The plan below is the one from before."]
    assert heading(page).startswith("Fri 16 January")


def test_faulty_rows_are_listed_and_sound_ones_used(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Every faulty row is named; on request the page goes on without them and says how many."""
    made_up(real_stops())
    with (folder / "orders.csv").open("a") as file:
        file.write("B900,Q999,3000,A1,2026-01-19,2026-01-20,,no,no,no,\n")
    page = opened("which_runs", folder, monkeypatch)
    assert heading(page) == words_of.FAULTY_ROWS and "Q999" in words(page)
    click(page, words_of.SOUND_ONLY)
    assert heading(page).startswith("Fri 16 January")
    assert words_of.left_out(1) in words(page)


def test_without_a_round_it_says_how_to_begin(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Where no folder is a round there is no dead end."""
    monkeypatch.setattr("fuelplan.pages.parts.houses.demo_folder", lambda: tmp_path / "none")
    page = opened("which_runs", tmp_path, monkeypatch)
    assert heading(page) == words_of.NO_ROUND_TITLE and "fuelplan app" in words(page)


def test_a_round_is_not_offered_as_a_house(monkeypatch: pytest.MonkeyPatch) -> None:
    """Started with a round, the householder's pages do not take it for a house."""
    page = opened("when_to_order", FOLDER, monkeypatch)
    (houses,) = [w for w in page.selectbox if w.label == texts.HOUSE]
    assert all("round" not in option for option in houses.options)


def test_the_real_planner_answers_on_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo round, planned in earnest with few moves: runs, map, and the run sheets that belong to it."""
    plan = answers.runs

    def few(*given: Any, **more: Any) -> RunsAnswer:
        return plan(*given, moves=200, days=3, **more)

    monkeypatch.setattr(answers, "runs", few)
    page = opened("which_runs", FOLDER, monkeypatch)
    assert "runs" in heading(page) or "run" in heading(page)
    assert len(page.get("vega_lite_chart")) == 3
    assert AS_OF.isoformat() in runs_page.file_name(example_runs(), "pdf")


def test_file_names_hold_nothing_a_disk_minds() -> None:
    """Whatever a round is called, its files can be written anywhere."""
    for name in (TAG, "../../etc/passwd", "🔥", "a" * 500, ""):
        made = runs_page.file_name(replace(example_runs(), round=name), "csv")
        assert made.startswith("runs-") and made.endswith("-2026-01-15.csv")
        assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.") and len(made) < 80


def test_a_wish_that_is_not_kept_is_on_the_page_with_its_reason(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """A pin that the plan cannot keep stands there with why."""
    why = "no tanker drives on that day"
    wish = WishNotKept("Q001", "Lime tree house", "pin", date(2026, 1, 17), None, as_message(why))
    made_up(replace(real_stops(), wishes_not_kept=(wish,)))
    page = opened("which_runs", folder, monkeypatch)
    assert "Wishes that cannot be kept" in [s.value for s in page.subheader]
    assert why in words(page)
