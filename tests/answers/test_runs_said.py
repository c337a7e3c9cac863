"""A run plan says messages: nothing looks at its words, and each reader has units and dates of one's own."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.answers.which_runs import presented
from fuelplan.messages import Message, render, strict
from fuelplan.papers.run_files import runs_calendar, runs_csv, runs_geojson
from fuelplan.papers.run_sheets import sheets_of
from fuelplan.units import Reader, written_for
from tests.round_folders import make_round
from tests.runs_planned import MOVES, ORDERS_HEAD, TODAY

US = Reader("us", "month first")
METRIC = re.compile(r"\d (kg|t|km|m)\b|\bkm\b")
BEFORE = date(2026, 1, 9)
ORDERS = (
    ORDERS_HEAD + "E1,K-01,3000,A1,2026-01-13,2026-01-15,318,no,no,no,K-03\n"
    "E2,K-03,2000,A1,2026-01-13,2026-01-15,318,no,no,no,K-01\n"
    "E3,K-04,4000,A1,2026-01-13,2026-01-14,318,yes,no,no,\n"
)


def planned(folder: Path, day: date = TODAY) -> answers.RunsAnswer:
    """The folder planned with a small budget."""
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, day, lambda _: None)
    return answers.runs(round_, weather, day, days=6, moves=MOVES)


def said_in(found: Any) -> Iterator[Message]:
    """Every message of an answer, wherever it stands."""
    if isinstance(found, Message):
        yield found
    elif isinstance(found, tuple | list):
        for one in found:
            yield from said_in(one)
    elif is_dataclass(found) and not isinstance(found, type):
        for field in fields(found):
            if field.compare:
                yield from said_in(getattr(found, field.name))


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> answers.RunsAnswer:
    """A plan in which much has happened: a day was published, a tanker is out, wishes cannot be kept."""
    folder = make_round(tmp_path_factory.mktemp("said") / "round", files={"orders.csv": ORDERS})
    with strict():
        first = planned(folder, BEFORE)
        answers.publish_runs(answers.open_round(folder), first, first.days[:2], by="Anna")
        round_, tanker = answers.open_round(folder), first.runs[0].tanker
        answers.record_happening(round_, "tanker out", TODAY, until=date(2026, 1, 14), tanker=tanker)
        answers.record_happening(round_, "slow roads", date(2026, 1, 13), factor=2.5)
        answers.record_wish(round_, "K-02", "pin", day=date(2026, 1, 17))
        return planned(folder)


def test_everything_is_said_in_messages_for_every_reader(answer: answers.RunsAnswer) -> None:
    """Made and read where no message becomes a text by itself; US readers meet no metric unit."""
    with strict():
        said = list(said_in(answer))
        assert {m.code.partition(".")[0] for m in said} >= {"runs", "rows"} and len(said) > 20
        assert all(render(m) and not METRIC.search(render(m, US)) for m in said)
        for listing in presented.listings(answer):
            assert all(len(row) == len(listing.head) for row in listing.rows)
            assert len(listing.rows) == len(listing.lines)
            with written_for(US):
                cells = [render(cell) for row in listing.rows for cell in row]
            assert not METRIC.search(" / ".join(cells))


def test_a_plan_has_one_token_whoever_reads_it(tmp_path: Path) -> None:
    """Published from a page in US units, a plan made for the command line is the same one; its first
    sentences give tonnes and kilometres, or pounds and miles, and each reader's own date.
    """
    folder = make_round(tmp_path / "round")
    with written_for(US):
        us = planned(folder)
    metric = planned(folder)
    assert us.plan == metric.plan and us.sentences == metric.sentences
    first, week = (render(m) for m in us.sentences[:2])
    assert re.fullmatch(r"On 13 January: .*, \d\.\d t, about \d+ km\.", first)
    assert re.fullmatch(r".*, \d+ t, \d+ km, \d\.\d km for each tonne\.", week)
    first, week = (render(m, US) for m in us.sentences[:2])
    assert re.fullmatch(r"On January 13: .* (short tons|lb), about [\d.]+ miles?\.", first)
    assert re.fullmatch(r".* (short tons|lb), [\d.]+ miles?, [\d.]+ miles for each short ton\.", week)


def test_faces_render_and_no_more(answer: answers.RunsAnswer) -> None:
    """Sheets, calendar, CSV, GeoJSON and JSON are made where no message becomes a text by itself."""
    for whom in (Reader(), US):
        with strict(), written_for(whom):
            sheets = sheets_of(answer)
            assert sheets["office"]["lists"] and runs_csv(answer) and runs_geojson(answer)
            assert runs_calendar(answer, time_zone="Europe/Vienna") and answer.to_json()["sentences"]


def test_what_is_noted_and_what_has_changed_are_messages(tmp_path: Path) -> None:
    """Lines to take back, and why a plan is not published, are rendered for their reader."""
    folder = make_round(tmp_path / "round")
    with strict():
        found = planned(folder)
        round_ = answers.open_round(folder)
        answers.record_happening(round_, "came", date(2026, 1, 12), customer="K-01", kg=3000.0)
        (line,) = answers.noted(answers.open_round(folder))
        said = render(line.said, US)
        assert said.startswith("came: K-01") and "6,614 lb, January 12" in said
        with pytest.raises(ValueError) as refused:
            answers.publish_runs(answers.open_round(folder), found, found.days[:1])
        assert "noted: came: K-01" in str(refused.value) and "3,000 kg, 12 January" in str(refused.value)
