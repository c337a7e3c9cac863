"""The size answer in messages: nobody looks at its words on the way, and each goes through a catalogue."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import SizeAnswer, how_big
from fuelplan.charts.store import cost_alt, hopper_words, section_alt, section_table, winter_words
from fuelplan.cli.size import text_of
from fuelplan.messages import Message, render, strict
from fuelplan.pages.size import words
from fuelplan.papers.document import document_of
from fuelplan.units import Reader, written_for
from tests.messages.test_order_answer import all_codes, messages_in
from tests.pseudo_language import outside, speak_pseudo
from tests.site_folders import make_site

SITES = Path(__file__).parent.parent.parent / "demo_sites"
DAY = date(2026, 1, 20)
US = Reader("us", "month first")


def ask(folder: Path, day: date = DAY) -> SizeAnswer:
    """The answer of a folder, made where no message may become a text."""
    site = answers.open_for_sizing(folder)
    weather = answers.weather_for(site, day)
    with strict():
        return answers.size(site, weather, day, cellar=answers.cellar_of(2.1, 2.6, 2.2))


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> dict[str, SizeAnswer]:
    """Answers that say much: the demo houses, and a folder that says as little as it may."""
    found = {name: ask(SITES / name) for name in ("family_house", "farmhouse", "village_school")}
    bare = make_site(tmp_path_factory.mktemp("bare") / "site")
    return {**found, "bare": ask(bare, date(2020, 12, 1))}


def told(answer: SizeAnswer) -> list[Message]:
    """Every message of an answer, of its rows and of its pictures."""
    hopper, winter, drawing = answer.hopper, answer.worst_winter, answer.drawing
    assert hopper is not None and winter is not None
    rows = [
        *how_big.size_facts(answer),
        *how_big.more_facts(answer),
        *how_big.size_rows(answer),
        *how_big.hopper_rows(hopper),
        *how_big.room_rows(answer),
        *how_big.fit_rows(answer),
    ]
    pictures = [cost_alt(answer), winter_words(winter), hopper_words(hopper), how_big.headline(answer)]
    if drawing is not None:
        pictures += [section_alt(drawing), *(part for row in section_table(drawing) for part in row)]
    return [*messages_in(answer), *messages_in(tuple(rows)), *pictures, answer.question]


def test_all_that_an_answer_says_goes_through_the_catalogue(
    asked: dict[str, SizeAnswer], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the pseudo-language no word of sentences, rules, lines, questions, rows and pictures is left."""
    pseudo, seen = speak_pseudo(monkeypatch, tmp_path), set[str]()
    for name, answer in asked.items():
        for one in told(answer):
            if "text" not in all_codes(one):  # of a room that says no messages yet
                assert outside(render(one, pseudo)) == "", (name, one.code)
            seen |= all_codes(one)
    assert len(seen) > 150, "few messages were seen: the test would prove little"


def test_what_is_converted_stays_so(asked: dict[str, SizeAnswer]) -> None:
    """No field of the answer that is for people holds a text of its own."""
    for answer in asked.values():
        hopper = answer.hopper
        assert hopper is not None
        fields = [answer.sentence, answer.why, answer.present_said, answer.hopper_said, answer.load_said]
        fields += [*answer.open_questions, *answer.warnings, hopper.why, *hopper.problems]
        fields += [part for a in answer.assumptions for part in (a.text, a.source)]
        fields += [part for f in answer.fit for part in (f.question, f.guidance, f.source, f.seen)]
        fields += [part for t in answer.rules_of_thumb for part in (t.name, t.source, t.sentence)]
        fields += [part for r in answer.buffer.rules for part in (r.rule, r.source)]
        assert [one for one in fields if not isinstance(one, Message)] == []


def test_no_face_makes_a_text_where_nobody_reads_it(asked: dict[str, SizeAnswer]) -> None:
    """Command line, JSON, report and page of an answer are made where `str(message)` raises, for two readers;
    and all of them say the same sentence.
    """
    with strict():
        for reader in (Reader(), US):
            with written_for(reader):
                for answer in asked.values():
                    said = render(answer.sentence)
                    assert " ".join(said.split()) in " ".join(text_of(answer).split())
                    assert json.loads(json.dumps(answer.to_json()))["sentence"]["text"] == said
                    assert document_of(answer)["answer"] == said
                    shown = [words.headline(answer), *words.assumed(answer)]
                    cells = [cell for row in words.size_rows(answer) for cell in row]
                    assert all(render(one) for one in shown if isinstance(one, Message)) and cells


def test_the_same_answer_reads_in_us_units_and_in_german_numbers(asked: dict[str, SizeAnswer]) -> None:
    """One answer made once is read late: cubic metres, cubic feet, or a decimal comma."""
    answer = asked["village_school"]
    assert "A store of 46 m³ of room (18 t of pellets to use), 4.8 m x 3.2 m" in render(answer.sentence)
    assert "A store of 1,600 cu ft of room (20 short tons of pellets to use), 16 ft x 10 ft" in render(
        answer.sentence, US
    )
    assert "4,8 m x 3,2 m inside" in render(answer.sentence, Reader(language="de"))
    metric = re.compile(r"\d[\d.,]* (?:kg|t|m|cm|m³|°C|K|kW|kWh|l)\b")
    said = [one for one in told(answer) if "text" not in all_codes(one)]
    assert [one.code for one in said if metric.search(render(one, US))] == []


def test_a_size_that_can_never_work_is_known_by_its_kind(asked: dict[str, SizeAnswer]) -> None:
    """One row stands for all of them, on every face; the code says it, whatever the words."""
    answer = asked["village_school"]
    hopeless = [option for option in answer.options if option.never_works]
    rows = how_big.size_rows(answer)
    assert len(hopeless) > 1 and all(not option.works for option in hopeless)
    assert [row.mark for row in rows].count("never") == 1
    assert len(rows) == len(answer.options) - len(hopeless) + 1
    assert render(rows[0].size) == f"{hopeless[-1].room_m3:.0f} m³"
    assert rows[0].cost is None and rows[1].cost is not None


def test_documents_hold_codes_and_values(asked: dict[str, SizeAnswer]) -> None:
    """Every message of the document is an object with its text."""
    answer = asked["village_school"]
    after = json.loads(json.dumps(answer.to_json()))
    assert after["sentence"]["text"] == render(answer.sentence)
    assert after["question"]["code"] == "size.question"
    assert [q["text"] for q in after["open_questions"]] == [render(q) for q in answer.open_questions]
    never = next(option["problem"] for option in after["options"] if option["problem"])
    assert never["code"] == "sizing.can_never_work" and never["values"]["drop"]["value"] == 5000.0
    assert after["fit"][0]["answer"] == "met" and after["fit"][0]["question"]["code"] == "access.hose"


def test_what_a_size_costs_more_is_in_the_money_of_the_folder(tmp_path: Path) -> None:
    """The sizes beside the best range are dearer by a sum in francs, never by a bare number."""
    francs = [('price = "300 EUR/t"', 'price = "300 CHF/t"')]
    said = render(ask(make_site(tmp_path / "house", changes=francs), date(2020, 12, 1)).why)
    assert re.findall(r"costs \d+ (\w+) a year more", said) == ["CHF"]
    assert "EUR" not in said and not re.search(r"costs \d+ a year", said)
