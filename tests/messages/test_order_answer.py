"""The order answer in messages: nobody looks at its words on the way, and each goes through a catalogue."""

from __future__ import annotations

import dataclasses
import json
import shutil
from collections.abc import Iterator
from datetime import date
from html import unescape
from pathlib import Path

import pytest
from icalendar import Calendar

from fuelplan import answers
from fuelplan.answers.when_to_order import (
    OrderAnswer,
    bill_head,
    bill_rows,
    date_rows,
    facts,
    headline,
    heat_head,
    heat_how,
    heat_rows,
    log_lines,
    log_rows,
    order_events,
    origin,
    way_rows,
    year_cost,
)
from fuelplan.cli.order import as_text
from fuelplan.messages import Message, Own, Refusal, codes, render, strict
from fuelplan.messages import as_text as text_of
from fuelplan.ordering import LeadTime
from fuelplan.ordering.lead_time import LeadTimeError
from fuelplan.ordering.prices import Bracket, HistoryError, Offer, compare, history_from_csv
from fuelplan.ordering.upkeep import SweepingRule, UpkeepError
from fuelplan.pages.parts.pieces import Shown
from fuelplan.papers.calendars import order_calendar
from fuelplan.units import Reader, written_for
from tests.answers.test_order_doubts import LOW, demo_with
from tests.campaigns.lived_house import faces
from tests.pseudo_language import outside, speak_pseudo

SITES = Path(__file__).parent.parent.parent / "demo_sites"
OVERDUE = "pellets,2025-12-20,2025-12-29,2026-01-09,3 t,,,,,,"
DAY = date(2026, 1, 15)


def ask(folder: Path) -> OrderAnswer:
    """The answer of a folder, made where no message may become a text."""
    site = answers.open_site(folder)
    with strict():
        return answers.order(site, answers.weather_for(site, DAY), DAY)


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> dict[str, OrderAnswer]:
    """Answers that say much: demo houses, a low look, an order overdue, a store not read for years."""
    place = tmp_path_factory.mktemp("houses")
    unread = demo_with(place / "unread")
    (unread / "readings.csv").write_text("date,reading,how\n2023-10-28,90 %,by eye\n")
    folders = {
        "house": SITES / "family_house",
        "farm": SITES / "farmhouse",
        "low": demo_with(place / "low", LOW),
        "overdue": demo_with(place / "overdue", delivered=OVERDUE),
        "unread": unread,
    }
    return {name: ask(folder) for name, folder in folders.items()}


def messages_in(value: object) -> Iterator[Message]:
    """Every message in an answer, not those inside of others."""
    if isinstance(value, Message):
        yield value
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        for one in dataclasses.fields(value):
            yield from messages_in(getattr(value, one.name))
    elif isinstance(value, tuple):
        for part in value:
            yield from messages_in(part)


def all_codes(said: Message) -> set[str]:
    """The codes of a message and of all inside it."""
    inside = [all_codes(value) for _, value in said.values if isinstance(value, Message)]
    return {said.code}.union(*inside)


def test_all_that_an_answer_says_goes_through_the_catalogue(
    asked: dict[str, OrderAnswer], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the pseudo-language no word of sentence, questions, cautions and calendar is left outside."""
    pseudo, seen = speak_pseudo(monkeypatch, tmp_path), set[str]()
    for name, answer in asked.items():
        said = [*messages_in(answer), headline(answer)]
        said += [part for event in order_events(answer) for part in (event.title, event.text)]
        for one in said:
            if "text" not in all_codes(one):  # of a room that says no messages yet
                assert outside(render(one, pseudo)) == "", (name, one.code)
            seen |= all_codes(one)
    assert len(seen) > 40, "few messages were seen: the test would prove little"


def test_what_is_converted_stays_so(asked: dict[str, OrderAnswer]) -> None:
    """The fields that are messages hold no text; the others may, until their rooms are converted."""
    for answer in asked.values():
        assert isinstance(answer.sentence, Message)
        for question in answer.questions:
            assert all(isinstance(said, Message) for said in (question.headline, question.text))
        assert all(isinstance(part, Message) for c in answer.cautions for part in (c.text, c.why))
        assert all(isinstance(said, Message) for said in (*answer.explanation, *answer.warnings))
        assert all(isinstance(part, Message) for entry in answer.upkeep for part in (entry.title, entry.text))
        advice = answer.advice
        if advice is not None:
            assert isinstance(advice.reason, Message)
            closed = [one for one in advice.alternatives if not one.is_open]
            assert all(isinstance(one.why_not, Message) for one in closed)
            assert all(isinstance(way.said, Message) for way in advice.policies)
    low, farm = asked["low"], asked["farm"]
    assert "question.level_much_less" in codes(low.questions[0].text)
    assert farm.cautions and "order.fuel_left" in codes(farm.sentence)


def test_no_face_makes_a_text_where_nobody_reads_it(asked: dict[str, OrderAnswer], tmp_path: Path) -> None:
    """Command line, calendar, JSON and page of an answer are made where `str(message)` raises."""
    house = undated(SITES / "family_house", tmp_path / "undated")
    with strict():
        for answer in asked.values():
            text = as_text(answer)
            assert render(answer.sentence) in text
            events = Calendar.from_ical(order_calendar(answer)).walk("VEVENT")
            assert [str(e["summary"]) for e in events] == [render(e.title) for e in order_events(answer)]
            assert json.loads(json.dumps(answer.to_json()))["sentence"]["text"] == render(answer.sentence)
        page = faces.page_of(house, DAY)
        assert render(asked["house"].sentence) in page and render(headline(asked["house"])) in page


def undated(house: Path, place: Path) -> Path:
    """A copy of a demo house that does not say on which day it is looked at."""
    shutil.copytree(house, place)
    lines = (place / "site.toml").read_text(encoding="utf-8").splitlines(keepends=True)
    kept = "".join(line for line in lines if not line.startswith("example_date"))
    (place / "site.toml").write_text(kept, encoding="utf-8")
    return place


def cells_of(answer: OrderAnswer) -> list[Shown]:
    """Every cell of the rows that an answer is shown in."""
    rows = [*facts(answer), *log_rows(answer)]
    cells: list[Shown] = [cell for row in rows for cell in (row.name, row.value, row.note)]
    cells += [cell for row in way_rows(answer) for cell in row]
    if answer.advice is not None and answer.advice.bill is not None:
        cells += [bill_head(answer.advice.bill)]
        cells += [cell for row in bill_rows(answer.advice.bill, answer.currency) for cell in row]
    if answer.heat_prices:
        cells += [heat_how(answer), *heat_head(answer)]
        cells += [cell for row in heat_rows(answer) for cell in row]
    for row in date_rows(answer)[1:]:  # of the first, the facts say all
        cells += [row.name, row.amount]
    return [*cells, *origin(answer), *log_lines(answer), *filter(None, [year_cost(answer)])]


@pytest.mark.parametrize("reader", [Reader(), Reader("us", "month first")])
def test_command_line_and_page_show_the_same_rows(
    reader: Reader, asked: dict[str, OrderAnswer], tmp_path: Path
) -> None:
    """Each name, value and note of the rows stands on the page and in the command line, for either reader."""
    for name, folder in (("house", SITES / "family_house"), ("farm", SITES / "farmhouse")):
        answer = asked[name]
        with strict(), written_for(reader):
            text = " ".join(as_text(answer).split())
            cells = [text_of(cell) for cell in cells_of(answer)]
            assert len(cells) > 40
            assert [cell for cell in cells if cell not in text] == []
        if reader == Reader():
            page = unescape(faces.page_of(undated(folder, tmp_path / name), DAY))
            assert [cell for cell in cells if cell not in page] == []


def test_the_same_answer_reads_in_us_units_and_in_german_numbers(asked: dict[str, OrderAnswer]) -> None:
    """One answer made once is read late: pounds and month first, or a decimal comma and German months."""
    answer = asked["house"]
    assert isinstance(answer.sentence, Message)
    assert "Order by 3 February; up to 3 t will fit" in render(answer.sentence)
    assert "Order by February 3; up to 6,610 lb will fit" in render(
        answer.sentence, Reader("us", "month first")
    )
    assert "Order by 3. Februar; up to 3 t will fit" in render(answer.sentence, Reader(language="de"))
    with written_for(Reader("us", "month first")):
        assert "6,610 lb will fit" in as_text(answer)
        assert "6,610 lb" in answer.to_json()["sentence"]["text"]


def test_what_changed_is_said_for_every_reader() -> None:
    """Since an earlier day: dates, days and amounts are values, read in pounds with the month first."""
    site = answers.open_site(SITES / "family_house")
    weather = answers.weather_for(site, DAY)
    with strict():
        now = answers.order(site, weather, DAY)
        found = answers.what_changed(site, weather, now, date(2025, 11, 1))
        us = [render(said, Reader("us", "month first")) for said in found.sentences]
        with pytest.raises(Refusal) as refused:
            answers.what_changed(site, weather, now, DAY)
    assert us[0] == "Since November 1 the last safe day moved from January 14 to February 3, 20 days later."
    assert us[-1].startswith("The reading of November 15 and January 3 shows about ") and " lb more" in us[-1]
    assert refused.value.said.code == "changes.not_earlier"


def test_offers_and_prices_are_refused_with_a_message() -> None:
    """What is wrong with an offer, past prices, a lead time or upkeep is a message with its values."""
    offer = Offer("Mill 10 W", "EUR", (Bracket(2000.0, 0.3),), 0.07, valid_until=date(2025, 5, 31))
    with strict():
        late = compare([offer], 3000.0, on=date(2025, 6, 10)).refused[0][1]
        with pytest.raises(HistoryError) as history:
            history_from_csv("date,price_per_t\n2024-05-14,dear\n")
        with pytest.raises(LeadTimeError) as lead:
            LeadTime(8, 3)
        with pytest.raises(UpkeepError) as upkeep:
            SweepingRule(13)
    assert render(late, Reader("us", "month first")) == "Mill 10 W: the offer ended on May 31, 2025"
    fault = history.value.faults[0][1]
    assert (history.value.faults[0][0], fault.code, fault.value("said")) == (2, "history.price", Own("dear"))
    assert (lead.value.said.value("low"), lead.value.said.value("high")) == (8, 3)
    assert upkeep.value.said.value("n") == 13


def test_documents_hold_codes_and_values(asked: dict[str, OrderAnswer]) -> None:
    """Every message of the document is an object; a caution has code and values beside its text."""
    answer = asked["low"]
    after = json.loads(json.dumps(answer.to_json()))
    assert after["sentence"]["text"] == render(answer.sentence)
    question = after["questions"][0]
    assert question["text"]["values"]["part_1"]["values"]["said"]["values"]["said"] == "10 %"
    assert question["headline"]["values"] == {"day": "2026-01-15"}
    for caution, said in zip(after["cautions"], answer.cautions, strict=True):
        assert (caution["id"], caution["code"]) == (said.id, "paragraph")
        assert caution["text"] == render(said.text) and set(caution["why"]) == {"code", "text", "values"}
    for key in ("warnings", "explanation"):
        assert all(set(one) == {"code", "text", "values"} for one in after[key])
