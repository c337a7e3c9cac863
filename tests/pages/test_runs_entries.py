"""What is entered on the dispatcher's page reaches the files, and what cannot be is said at its field."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers.round.came import ToConfirm
from fuelplan.pages.runs import record as runs_record
from tests.page_texts import my_house as house_texts
from tests.page_texts import runs as words_of
from tests.round_example import FOLDER, ROUND
from tests.runs_answers import DAYS
from tests.runs_page import choose_form, field, real_stops
from tests.ui_pages import WRONG, click, field_faults, heading, opened, words


def test_a_demo_is_only_looked_at_and_its_copy_changed(
    made_up: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The demo offers no form; a click makes a copy on which everything can be tried."""
    planned = made_up(real_stops())
    page = opened("which_runs", FOLDER, monkeypatch)
    assert not [b for b in page.button if b.label == words_of.PUBLISH]
    before = sorted(p.name for p in FOLDER.iterdir())
    click(page, words_of.DEMO_COPY)
    assert words_of.copied("round quellmark") in words(page)
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
    assert words_of.published(6) in said and words_of.RUN_TOLD.strip() in said
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
    choose_form(page, "happened")
    field(page, "text_input", words_of.CUSTOMER).set_value("q007")
    click(page, words_of.SAVE)
    assert "2026-01-15,failed drop,Q007" in (folder / "happenings.csv").read_text()
    said = words(page)
    assert words_of.SAVED in said and words_of.STALE in said and len(planned) == 1
    assert heading(page).startswith("Fri 16 January")
    choose_form(page, "publish")
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
    choose_form(page, "happened")
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
    choose_form(page, "wish")
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
    choose_form(page, "wish")
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
    choose_form(page, "happened")
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
    choose_form(page, "happened")
    field(page, "selectbox", words_of.HAPPENED_WHAT).set_value("tanker out").run()
    field(page, "date_input", words_of.HAPPENED_UNTIL).set_value(date(2026, 1, 2))
    click(page, words_of.SAVE)
    assert field_faults(page) == [words_of.BACKWARDS]
    choose_form(page, "wish")
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
    assert "Drops to ask about" in [s.value for s in page.subheader]
    field(page, "radio", words_of.CAME_ANSWER).set_value(answer)
    field(page, "text_input", words_of.CAME_KG).set_value(amount)
    click(page, words_of.CAME_SAVE)
    (line,) = answers.open_round(folder).happenings
    assert (line.what, line.kg, line.customer, line.day) == (*noted, "Q065", day)
