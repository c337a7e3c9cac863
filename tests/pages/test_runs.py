"""The dispatcher's page: the answer first, plans kept between clicks, entries that reach the files."""

from __future__ import annotations

import csv
import shutil
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from fuelplan import answers
from fuelplan.answers.round.came import ToConfirm
from fuelplan.answers.which_runs.answer import DueCustomer, RunsAnswer, WishNotKept
from fuelplan.pages.parts import drawn
from fuelplan.pages.parts.long_work import JOBS_KEY
from fuelplan.pages.runs import load as runs_load
from fuelplan.pages.runs import page as runs_page
from fuelplan.pages.runs import record as runs_record
from fuelplan.pages.runs import words as runs_words
from fuelplan.pages.texts import runs as words_of
from fuelplan.papers.run_files import dated
from fuelplan.units import reader_in, written_for
from tests.page_texts import common as texts
from tests.page_texts import my_house as house_texts
from tests.round_example import AS_OF, FOLDER, ROUND, WEATHER, believed
from tests.runs_answers import DAYS, FORMULA, LONG_NAME, TAG, empty_runs, example_runs, run, stop
from tests.ui_pages import WRONG, click, field_faults, heading, opened, words

assert JOBS_KEY != runs_load.JOBS_KEY


@pytest.fixture(autouse=True)
def _forget_made_up_answers() -> Iterator[None]:
    """No made-up plan may stay in the cache for the next test."""
    runs_load._shared.clear()
    yield
    runs_load._shared.clear()


@pytest.fixture(scope="module")
def ahead() -> answers.OutlookAnswer:
    """The demo round's outlook, worked out once."""
    from fuelplan.answers.who_is_due.outlook import answer_of

    return answer_of(believed())


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo round that a test may change: without its past and without drawings, for speed."""
    monkeypatch.setattr(drawn, "chart", lambda *_, **__: None)
    made = tmp_path / "own_round"
    shutil.copytree(FOLDER, made)
    for name in ("deliveries.csv", "readings.csv"):
        head, *_ = (made / name).read_text(encoding="utf-8").splitlines()
        (made / name).write_text(head + "\n", encoding="utf-8")
    return made


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch, ahead: answers.OutlookAnswer) -> Callable[..., list[Path]]:
    """Puts a made-up plan in the place of the computed one; returns the folders that were planned."""
    planned: list[Path] = []

    def put(answer: RunsAnswer | Exception) -> list[Path]:
        def runs(round_: answers.Round, *_: object, **__: object) -> RunsAnswer:
            planned.append(round_.path)
            if isinstance(answer, Exception):
                raise answer
            return answer

        monkeypatch.setattr(answers, "weather_for_round", lambda *_: WEATHER)
        monkeypatch.setattr(answers, "outlook", lambda *_, **__: ahead)
        monkeypatch.setattr(answers, "runs", runs)
        return planned

    return put


def real_stops() -> RunsAnswer:
    """The example with customers, depots and classes of the demo round, so that it can be published."""
    with (FOLDER / "customers.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    left = {k: iter([r["customer"] for r in rows if r["classes"] == k]) for k in ("A1", "A2")}
    runs = tuple(
        replace(
            r,
            frozen=False,
            depot="yard",
            stops=tuple(replace(s, customer=next(left[s.grade])) for s in r.stops),
        )
        for r in example_runs().runs
    )
    return replace(example_runs(), runs=runs)


def field(page: AppTest, kind: str, label: str) -> Any:
    """The field of that label."""
    (found,) = [w for w in page.get(kind) if w.label == label]
    return found


def choose_form(page: AppTest, name: str) -> AppTest:
    """Open one of the forms."""
    (control,) = [w for w in page.get("button_group") if w.key == "runs-record-kind"]
    control.set_value(name).run()
    return page


def test_the_answer_comes_first(made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch) -> None:
    """One sentence on the next day's runs, then who is at risk, whom to ring, promises, runs and tonnes."""
    made_up(example_runs())
    page = opened("which_runs", FOLDER, monkeypatch)
    assert heading(page) == "Fri 16 January: 3 runs, 6 stops, 24 t, about 110 km."
    said = words(page)
    titles = [s.value for s in page.subheader]
    assert titles[:3] == [words_of.PROMISE_TITLE, words_of.RING_TITLE, words_of.RISK_TITLE]
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
    assert {r[-1] for r in rows[1:]} == {words_of.ON_NO_RUN}
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
    choose_form(page, words_of.DO_WISH)
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
    with written_for(reader_in("US")):
        assert dated("due by 2026-01-23, now") == "due by January 23, now"


def test_nobody_to_serve_is_said(made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan without runs says so, and shows no empty map."""
    made_up(empty_runs())
    page = opened("which_runs", FOLDER, monkeypatch)
    assert heading(page) == "Nobody has to be served until 21 January."
    assert words_of.MAP_TITLE not in [s.value for s in page.subheader]
    assert words_of.RING_NONE in words(page) and words_of.PROMISE_NONE in words(page)


def test_a_demo_is_only_looked_at_and_its_copy_changed(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The demo offers no form; a click makes a copy on which everything can be tried."""
    planned = made_up(real_stops())
    page = opened("which_runs", FOLDER, monkeypatch)
    assert not [b for b in page.button if b.label == words_of.PUBLISH]
    before = sorted(p.name for p in FOLDER.iterdir())
    click(page, words_of.DEMO_COPY)
    assert words_of.COPIED.format(name="round quellmark") in words(page)
    click(page, words_of.PUBLISH)
    assert planned[-1] != FOLDER and (planned[-1] / "published.csv").exists()
    assert sorted(p.name for p in FOLDER.iterdir()) == before


def test_days_are_published_and_taken_back(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """The chosen day goes to published.csv, its runs show as told, and one click takes it back."""
    planned = made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    click(page, words_of.PUBLISH)
    lines = (folder / "published.csv").read_text().splitlines()
    assert len(lines) == 1 + 6
    first = real_stops().runs[0].stops[0].customer
    assert lines[1].startswith(f"2026-01-16,Heron,1,1,{first},A1,3000,07:00")
    said = words(page)
    assert words_of.PUBLISHED.format(count=6) in said and words_of.RUN_TOLD.strip() in said
    assert words_of.STALE not in said and len(planned) == 1
    click(page, house_texts.UNDO)
    assert not (folder / "published.csv").exists()


def test_two_visits_that_publish_do_not_undo_each_other(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Of two open pages the second to publish is refused; what the first published stays, with its name."""
    made_up(real_stops())
    first = opened("which_runs", folder, monkeypatch)
    second = opened("which_runs", folder, monkeypatch)
    field(first, "text_input", words_of.BY).set_value("Anna").run()
    click(first, words_of.PUBLISH)
    kept = (folder / "published.csv").read_text(encoding="utf-8")
    assert kept.count(",Anna\n") == 6
    assert field(first, "text_input", words_of.BY).value == "Anna"
    click(second, words_of.PUBLISH)
    assert field_faults(second) == [words_of.PUBLISH_STALE]
    assert (folder / "published.csv").read_text(encoding="utf-8") == kept


def test_no_day_chosen_is_said_at_the_field(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Publishing nothing writes nothing."""
    made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    field(page, "multiselect", words_of.PUBLISH_DAYS).set_value([])
    click(page, words_of.PUBLISH)
    assert field_faults(page) == [words_of.PUBLISH_NONE]
    assert not (folder / "published.csv").exists()


def test_a_happening_is_noted_and_the_old_plan_stays(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """A failed drop reaches the file; the plan stays until it is asked for again; undo brings it back."""
    planned = made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    choose_form(page, words_of.DO_HAPPENED)
    field(page, "text_input", words_of.CUSTOMER).set_value("q007")
    click(page, words_of.SAVE)
    assert "2026-01-15,failed drop,Q007" in (folder / "happenings.csv").read_text()
    said = words(page)
    assert words_of.SAVED in said and words_of.STALE in said and len(planned) == 1
    assert heading(page).startswith("Fri 16 January")
    choose_form(page, words_of.DO_PUBLISH)
    click(page, words_of.PUBLISH)
    assert field_faults(page) == [words_of.PUBLISH_STALE]
    click(page, words_of.PLAN_AGAIN)
    assert words_of.STALE not in words(page) and len(planned) == 2
    click(page, house_texts.UNDO)
    assert not (folder / "happenings.csv").exists()
    assert words_of.STALE not in words(page) and len(planned) == 2, "the plan of before is kept"


def test_a_line_chosen_on_the_page_that_has_gone_is_said(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Chosen on the page, taken out by somebody else before the click: nothing else goes in its place."""
    made_up(real_stops())
    for customer in ("Q001", "Q002"):
        answers.record_wish(answers.open_round(folder), customer, "forbid", day=DAYS[0])
    page = opened("which_runs", folder, monkeypatch)
    first, _ = answers.noted(answers.open_round(folder))
    field(page, "selectbox", words_of.TAKE_BACK_WHICH).set_value(first.name)
    answers.take_out(answers.open_round(folder), [first])
    click(page, words_of.TAKE_BACK)
    assert [w.customer for w in answers.open_round(folder).wishes] == ["Q002"]
    assert any("Q001" in fault and "nothing" in fault for fault in field_faults(page))


@pytest.mark.parametrize("kind", list(words_of.HAPPENED_KINDS))
def test_every_happening_can_be_noted(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path, kind: str
) -> None:
    """Each kind of happening becomes a sound row of the round."""
    made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    choose_form(page, words_of.DO_HAPPENED)
    field(page, "selectbox", words_of.HAPPENED_WHAT).set_value(kind).run()
    if kind == "failed drop":
        field(page, "text_input", words_of.CUSTOMER).set_value("Heat network")
    click(page, words_of.SAVE)
    assert field_faults(page) == []
    (noted,) = answers.open_round(folder).happenings
    assert noted.what == kind
    assert noted.factor == (2.0 if kind == "slow roads" else 1.0)


@pytest.mark.parametrize("kind", list(words_of.WISH_KINDS))
def test_every_wish_can_be_noted(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path, kind: str
) -> None:
    """A stop is pinned, moved or forbidden in the round's own file."""
    made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    choose_form(page, words_of.DO_WISH)
    field(page, "text_input", words_of.CUSTOMER).set_value("Q010")
    field(page, "selectbox", words_of.WISH_WHAT).set_value(kind)
    field(page, "text_input", words_of.WHY).set_value("=SUM(A1)")
    click(page, words_of.SAVE)
    assert field_faults(page) == []
    (noted,) = answers.open_round(folder).wishes
    assert (noted.customer, noted.wish, noted.day, noted.why) == ("Q010", kind, DAYS[0], "=SUM(A1)")
    assert "'=SUM(A1)" in (folder / "wishes.csv").read_text()


def test_any_noted_line_is_taken_back(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Of two wishes and a happening the oldest goes, on a click; without a choice it is said at the field."""
    (folder / "wishes.csv").write_text(
        "customer,wish,date,tanker,by,why\nQ010,pin,2026-01-16,,,<b>old</b>\nQ011,forbid,2026-01-19,,,\n"
    )
    (folder / "happenings.csv").write_text("date,what,tanker,until\n2026-01-16,tanker out,Wren,2026-01-19\n")
    made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    click(page, words_of.TAKE_BACK)
    assert field_faults(page) == [words_of.TAKE_BACK_CHOOSE]
    chooser = field(page, "selectbox", words_of.TAKE_BACK_WHICH)
    assert len(chooser.options) == 3 and "16 January" in chooser.options[0]
    chooser.set_value(answers.noted(answers.open_round(folder))[0].name)
    click(page, words_of.TAKE_BACK)
    assert field_faults(page) == []
    found = answers.open_round(folder)
    assert [w.customer for w in found.wishes] == ["Q011"] and len(found.happenings) == 1
    assert "Undone: pin Q010" in words(page)
    assert "<b>old" not in "".join(piece.proto.body for piece in page.get("html"))
    click(page, house_texts.UNDO)
    assert [w.customer for w in answers.open_round(folder).wishes] == ["Q010", "Q011"]


def test_wrong_customers_are_said_at_the_field(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Whatever is typed for a customer: one sentence, what was typed stays, nothing is written."""
    made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    choose_form(page, words_of.DO_WISH)
    for text in ("", "   ", "garden house", *WRONG.values()):
        field(page, "text_input", words_of.CUSTOMER).set_value(text)
        click(page, words_of.SAVE)
        (fault,) = field_faults(page)
        assert 10 < len(fault) < 400, text
        assert field(page, "text_input", words_of.CUSTOMER).value == text[: runs_record.LONGEST]
        assert not (folder / "wishes.csv").exists()


def test_wrong_factors_are_said_at_the_field(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Driving takes 1 to 10 times as long, and nothing else is written."""
    made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    choose_form(page, words_of.DO_HAPPENED)
    field(page, "selectbox", words_of.HAPPENED_WHAT).set_value("slow roads").run()
    for text in ("", "0.5", "11", "nan", "inf", *WRONG.values()):
        field(page, "text_input", words_of.FACTOR).set_value(text)
        click(page, words_of.SAVE)
        assert field_faults(page) == [words_of.FACTOR_WRONG], text
        assert not (folder / "happenings.csv").exists()


def test_wrong_days_are_said_at_the_form(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """A last day before the first, a wish without a day: nothing is written."""
    made_up(real_stops())
    page = opened("which_runs", folder, monkeypatch)
    choose_form(page, words_of.DO_HAPPENED)
    field(page, "selectbox", words_of.HAPPENED_WHAT).set_value("tanker out").run()
    field(page, "date_input", words_of.HAPPENED_UNTIL).set_value(date(2026, 1, 2))
    click(page, words_of.SAVE)
    assert field_faults(page) == [words_of.BACKWARDS]
    choose_form(page, words_of.DO_WISH)
    field(page, "text_input", words_of.CUSTOMER).set_value("Q010")
    field(page, "date_input", words_of.WISH_DAY).set_value(None)
    click(page, words_of.SAVE)
    assert field_faults(page) == [words_of.WISH_NEEDS]
    assert not (folder / "happenings.csv").exists() and not (folder / "wishes.csv").exists()


def test_customers_are_found_by_number_or_name() -> None:
    """A number, whatever its letters' case; a part of a name where it fits one customer alone."""
    assert runs_record.customer_of(ROUND, " q046 ") == "Q046"
    assert runs_record.customer_of(ROUND, "heat network") == "Q046"
    with pytest.raises(ValueError, match="fits several customers: Q"):
        runs_record.customer_of(ROUND, "garden house")


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
    choose_form(page, words_of.DO_WISH)
    field(page, "text_input", words_of.CUSTOMER).set_value("Q010")
    click(page, words_of.SAVE)
    made_up(ValueError("it cannot be done"))
    click(page, words_of.PLAN_AGAIN)
    assert field_faults(page) == [words_of.FAILED.format(why="it cannot be done")]
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
    assert words_of.LEFT_OUT.format(count=1) in words(page)


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


@pytest.mark.parametrize(
    ("answer", "amount", "noted"),
    [
        ("came", "", ("came", None)),
        ("other_amount", "2.5 t", ("came", 2500.0)),
        ("did_not_come", "", ("failed drop", None)),
    ],
)
def test_a_drop_that_nobody_has_confirmed_is_asked_about_on_the_page(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path, answer: str,
    amount: str, noted: tuple[str, float | None],
) -> None:  # fmt: skip
    """The question stands on the page; the answer becomes a line about the published day."""
    day = date(2026, 1, 14)
    asked = ToConfirm(day, "Heron", "Q065", "Lane end", "B003", "A1", 4600.0)
    made_up(replace(real_stops(), to_confirm=(asked,)))
    page = opened("which_runs", folder, monkeypatch)
    assert words_of.CAME_TITLE in [s.value for s in page.subheader]
    field(page, "radio", words_of.CAME_ANSWER).set_value(answer)
    field(page, "text_input", words_of.CAME_KG).set_value(amount)
    click(page, words_of.CAME_SAVE)
    (line,) = answers.open_round(folder).happenings
    assert (line.what, line.kg, line.customer, line.day) == (*noted, "Q065", day)


def test_a_wish_that_is_not_kept_is_on_the_page_with_its_reason(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """A pin that the plan cannot keep stands there with why."""
    why = "no tanker drives on that day"
    wish = WishNotKept("Q001", "Lime tree house", "pin", date(2026, 1, 17), None, why)
    made_up(replace(real_stops(), wishes_not_kept=(wish,)))
    page = opened("which_runs", folder, monkeypatch)
    assert words_of.WISHES_TITLE in [s.value for s in page.subheader]
    assert why in words(page)
