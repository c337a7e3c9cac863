"""What was learned, in messages: nobody looks at its words on the way, and each goes through a catalogue."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import LearnAnswer
from fuelplan.answers.what_we_burn import words
from fuelplan.charts import cusum_alt, difference_alt, residual_alt, season_alt, use_alt
from fuelplan.cli.learn import as_text
from fuelplan.messages import Message, Value, render, strict
from fuelplan.units import Reader, written_for
from tests.answers.test_learn_prices import house as with_prices
from tests.pseudo_language import outside, speak_pseudo

SITES = Path(__file__).parent.parent.parent / "demo_sites"
US = Reader("us", "month first")
METRIC_UNIT = re.compile(r"\d (kg|t|K|°C|K·d)\b")


def ask(folder: Path, day: date) -> LearnAnswer:
    """The finding for a folder, made where no message may become a text."""
    site = answers.open_site(folder)
    with strict():
        return answers.learn(site, answers.weather_for(site, day), day)


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> dict[str, LearnAnswer]:
    """The demo houses, one whose readings were carried forward, and one with a price history of its own."""
    place = tmp_path_factory.mktemp("houses")
    return {
        **{n: ask(SITES / n, date(2026, 1, 15)) for n in ("family_house", "farmhouse", "village_school")},
        "prices": ask(with_prices(place / "prices", crisis=True), date(2020, 12, 1)),
    }


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


def cells(answer: LearnAnswer) -> Iterator[Value]:
    """Every value of every table."""
    tables = [words.stretches(answer), words.beside(answer)]
    if answer.textbook is not None:
        tables += [words.coefficient_table(answer.textbook), words.points(answer.textbook)]
    if answer.price_season is not None:
        tables.append(words.months(answer.price_season))
    for table in tables:
        assert all(len(row) == len(table.head) for row in table.rows)
        for row in (table.head, *table.rows):
            yield from row


@pytest.mark.parametrize("name", ["family_house", "farmhouse", "village_school", "prices"])
def test_a_reader_in_us_units_reads_no_metric_one(found: dict[str, LearnAnswer], name: str) -> None:
    """Sentences, tables, pictures' words and the terminal's text are in pounds and °F, and the month comes
    first; a metric reader of the very same answer has kilograms.
    """
    answer = found[name]
    with strict(), written_for(US):
        said = [render(one) for one in (*messages_in(answer), *cells(answer))]
        said += [f(answer) for f in (use_alt, difference_alt, residual_alt, cusum_alt)]
        text = as_text(answer)
    assert len(said) > 40 and not [one for one in said if METRIC_UNIT.search(one)]
    mine = [line for line in text.splitlines() if not line.startswith("! ")]
    assert not [line for line in mine if METRIC_UNIT.search(line)], text
    assert " lb" in text and "°F" in text and f"{answer.as_of:%B} {answer.as_of.day}, " in text
    with strict():
        assert METRIC_UNIT.search(as_text(answer))


def test_every_word_of_the_finding_goes_through_the_catalogue(
    found: dict[str, LearnAnswer], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a language that nobody speaks nothing is left over of sentences and pictures' words, and of a table
    only numbers, dates and units.
    """
    pseudo = speak_pseudo(monkeypatch, tmp_path)
    for answer in found.values():
        with strict(), written_for(pseudo):
            said = [render(one) for one in messages_in(answer)]
            said += [f(answer) for f in (use_alt, difference_alt, residual_alt, cusum_alt)]
            said += [] if answer.price_season is None else [season_alt(answer.price_season)]
            shown = [render(cell) for cell in cells(answer)]
        assert not [one for one in said if outside(one)]
        assert not [one for one in shown if re.search(r"[a-z]{4,}", outside(one).lower())]


def test_command_line_and_page_show_the_same_rows(found: dict[str, LearnAnswer]) -> None:
    """Each figure that the page shows as a fact, and each cell of its tables, is in the terminal's text."""
    answer = found["family_house"]
    text = as_text(answer)
    facts = words.facts(answer)
    assert len(facts) == 4
    assert all(f"{render(f.name)}:" in text and f"({render(f.span)})" in text for f in facts)
    assert answer.textbook is not None
    rows = [*words.stretches(answer).rows, *words.points(answer.textbook).rows]
    assert len(rows) == 20
    lines = [re.sub(r" {2,}", "  ", line) for line in text.splitlines()]
    for row in rows:
        start = "  ".join(render(cell) for cell in row[:5])
        assert any(line.strip().startswith(start) for line in lines), start
