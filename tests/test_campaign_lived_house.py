"""A house lived in, the short profile of `python -m tests.campaigns.lived_house`; and it can complain."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from fuelplan.answers.when_to_order.answer import OrderAnswer
from fuelplan.answers.when_to_order.words import sentence_of
from fuelplan.messages import as_message
from fuelplan.papers.calendars import order_calendar
from tests.campaigns.lived_house import checks, faces
from tests.campaigns.lived_house.asking import Ask, seen
from tests.campaigns.lived_house.begin import begin
from tests.campaigns.lived_house.bounds import binomial_bounds
from tests.campaigns.lived_house.entries import Entry
from tests.campaigns.lived_house.life import Life, live
from tests.campaigns.lived_house.person import slip
from tests.campaigns.lived_house.report import document, lived, table
from tests.campaigns.lived_house.store import TrueStore
from tests.order_example import AS_OF, ORDER_BY, example_answer

SHORT_DAYS = 60


def sound(**changes: object) -> OrderAnswer:
    """A made-up answer whose sentence is made from its own figures."""
    return sentence_of(example_answer(**changes))


def no_line(file: str, line: int) -> str:
    """A folder without any rows."""
    return ""


def wrong_in(life: Life) -> set[str]:
    """The kinds of violation of a life."""
    return {v.kind for v in life.found.wrong}


def lived_with(ask: Ask, days: int, tmp_path: Path, seed: int = 3) -> Life:
    """A few days of a house with a program of the test's own making."""
    life = begin(seed, days, tmp_path / "house", ask)
    first = life.world.today
    for number in range(days):
        life.day(first + timedelta(days=number), number)
    return life


def test_a_house_is_lived_in_without_a_wrong_answer() -> None:
    """One house for 60 days: nothing that must never be, and every kind of check was made."""
    life = live(seed=1, days=SHORT_DAYS)
    assert [f"{v.kind}, {v.day}: {v.text} {v.why}" for v in life.found.wrong] == []
    made = life.found.made
    assert made["faces differ"] >= 12 and made["order-by date jumps"] >= 8
    assert made["entry without effect"] >= 3 and made["blended in silence"] >= 1
    assert "80 % band" in table(document([lived(life, SHORT_DAYS)]))


def test_a_life_is_the_same_twice(tmp_path: Path) -> None:
    """The same seed writes the same bytes into the folder."""

    def answer(path: Path, day: date, whole: bool) -> OrderAnswer:
        return sound(as_of=day, order=None)

    one, two = (lived_with(answer, 50, tmp_path / name) for name in ("one", "two"))
    for file in ("site.toml", "readings.csv", "weather.csv"):
        assert (one.path / file).read_bytes() == (two.path / file).read_bytes(), file
    assert one.written == two.written


def test_an_answer_that_never_moves_is_seen(tmp_path: Path) -> None:
    """A program that says the same whatever is written: every entry is without effect."""
    life = lived_with(lambda path, day, whole: sound(as_of=day, order=None), 50, tmp_path)
    assert "entry without effect" in wrong_in(life)


def test_a_date_that_jumps_is_seen(tmp_path: Path) -> None:
    """Eight days to and fro from one day to the next, without an entry."""

    def answer(path: Path, day: date, whole: bool) -> OrderAnswer:
        order = example_answer().order
        assert order is not None
        by = day + timedelta(days=100 + 9 * (day.toordinal() % 2))
        return sound(as_of=day, order=replace(order, order_by=by), next_orders=())

    assert "order-by date jumps" in wrong_in(lived_with(answer, 12, tmp_path))


def test_a_program_that_breaks_down_is_seen(tmp_path: Path) -> None:
    """An exception is no answer."""

    def answer(path: Path, day: date, whole: bool) -> OrderAnswer:
        raise KeyError("02-28")

    life = lived_with(answer, 3, tmp_path)
    assert wrong_in(life) == {"no answer"}


def test_jumps_of_every_sort() -> None:
    """Seven days are no jump, eight are; an order out of nowhere is one, at the horizon's end it is none."""
    order = example_answer().order
    assert order is not None

    def by(day: date | None) -> OrderAnswer:
        return example_answer(order=None if day is None else replace(order, order_by=day))

    assert checks.jump(by(ORDER_BY), by(ORDER_BY + timedelta(days=7))) == []
    assert checks.jump(by(ORDER_BY), by(ORDER_BY - timedelta(days=8))) != []
    assert checks.jump(by(None), by(ORDER_BY)) != []
    assert checks.jump(by(None), by(AS_OF + timedelta(days=480))) == []
    assert checks.jump(by(None), by(None)) == []
    balanced = replace(by(ORDER_BY), warnings=(as_message("by 28 January or by 20 June"),))
    assert checks.jump(balanced, by(date(2026, 6, 23))) == []
    assert checks.jump(balanced, by(date(2026, 5, 1))) != []


ELSEWHERE = replace(
    example_answer().order,
    order_by=ORDER_BY + timedelta(days=1),
    amount_kg=2600.0,  # type: ignore[type-var]
)


@pytest.mark.parametrize(
    ("broken", "said"),
    [
        (replace(sound(), sentence=sound(order=ELSEWHERE).sentence), "sentence: no 2026-01-28"),
        (replace(sound(), stocks=(replace(sound().stocks[0], p10_kg=900.0),)), "sentence: level"),
        (replace(sound(), decision="late"), "sentence: late"),
    ],
)  # fmt: skip
def test_a_sentence_of_another_answer_is_seen(broken: OrderAnswer, said: str) -> None:
    """Another date, another level, another decision than the JSON's."""
    assert faces.disagreements(sound()) == []
    assert any(text.startswith(said) for text in faces.disagreements(broken))


@pytest.mark.parametrize(
    ("face", "made", "said"),
    [
        ("order_calendar", order_calendar, "calendar: last days"),
        ("as_text", faces.as_text, "command line: order by"),
    ],
)
def test_a_face_of_another_answer_is_seen(
    face: str, made: Callable[[OrderAnswer], object], said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Calendar and command line that show an order of another day."""
    monkeypatch.setattr(faces, face, lambda answer: made(replace(answer, order=ELSEWHERE)))
    assert any(text.startswith(said) for text in faces.disagreements(sound()))


@pytest.mark.parametrize(("face", "said"), [("headline", "headline:"), ("facts", "page: order by")])
def test_a_page_of_another_answer_is_seen(face: str, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Headline and facts of the page that show an order of another day."""
    made = getattr(faces.order_words, face)
    monkeypatch.setattr(faces.order_words, face, lambda answer: made(replace(answer, order=ELSEWHERE)))
    assert any(text.startswith(said) for text in faces.disagreements(sound()))


LOW = Entry("look", AS_OF, "10 %", "by eye", said_kg=520.0, true_kg=520.0, doubt_kg=400.0)


def asking_about(text: str) -> dict[str, object]:
    """Changes that make an answer ask about the row in line 2."""
    from fuelplan.answers.when_to_order.questions import AskedRow, question

    row = AskedRow("readings.csv", 2, text)
    wrong = as_message("Which is wrong?"), as_message("Which of the two is wrong?")
    asked = question("reading_disagrees", *wrong, (row,))
    return {"questions": (asked,)}


def test_a_low_look_taken_in_silence_is_seen() -> None:
    """520 kg by eye where 1,750 to 2,450 kg were expected: asked about, or complained of."""
    before, blended = sound(), sound(stocks=(replace(sound().stocks[0], kg=1700.0, p10_kg=1400.0),))

    def line(file: str, number: int) -> str:
        return "2026-01-15,10 %,by eye,pellets," if number == 2 else ""

    assert checks.blended(LOW, before, blended, line) != []
    asked = replace(blended, **asking_about("2026-01-15, 10 %"))  # type: ignore[arg-type]
    assert checks.blended(LOW, before, asked, line) == []
    assert checks.entry_effect(LOW, before, before, line) != []
    assert checks.follows_emptier(LOW, before, asked, line) == []
    later = replace(asked, order=ELSEWHERE and replace(ELSEWHERE, order_by=ORDER_BY + timedelta(days=30)))
    assert checks.follows_emptier(LOW, before, later, line) != []


def test_a_doubt_about_what_was_true_is_seen(tmp_path: Path) -> None:
    """A program that asks about every reading: more than one needless question a year."""

    def answer(path: Path, day: date, whole: bool) -> OrderAnswer:
        row = (path / "readings.csv").read_text(encoding="utf-8").splitlines()
        found = replace(sound(as_of=day, order=None), **asking_about(row[-1][:10]))  # type: ignore[arg-type]
        about = replace(found.questions[0].about[0], line=len(row))
        return replace(found, questions=(replace(found.questions[0], about=(about,)),))

    life = lived_with(answer, 80, tmp_path, seed=7)
    assert life.counted.needless > 1
    assert "needless question" in wrong_in(life)


def test_an_empty_store_that_nobody_foretold_is_seen() -> None:
    """Foretold is what an order of that day could still have prevented; a broken word is the supplier's."""
    told = [(AS_OF, seen(sound()))]  # order by 28 January; 2 in 100 from 20 February
    assert checks.unwarned(date(2026, 3, 1), told, 20, None) == []
    early = date(2026, 2, 10)
    assert checks.unwarned(early, told, 20, None) != []
    assert checks.unwarned(early, told, 20, early - timedelta(days=1)) == []
    assert checks.unwarned(early, told, 40, None) == []  # nobody had asked so long before


def test_slips_of_the_pen_are_what_they_say() -> None:
    """Kilograms for tonnes, a tenth, a wrong look, yesterday and a day to come."""
    store = TrueStore("flat floor", 2.0, 2.0, 2.3, 45.0, 650.0, 0.3, 100.0)
    rng = np.random.default_rng(1)
    tonnes = Entry("look", AS_OF, "2.4 t", "by eye", said_kg=2400.0, true_kg=2300.0, doubt_kg=500.0)
    assert tonnes.sound
    assert slip(tonnes, "kg for t", store).text == "2.4 kg"
    assert slip(tonnes, "a tenth", store).text == "0.24 t"
    assert not slip(tonnes, "future", store).sound
    assert slip(tonnes, "yesterday", store).day == AS_OF - timedelta(days=1)
    assert slip(replace(LOW, true_kg=4000.0), "wrong look", store).text == "5 %"
    full_cm = [store.tape_cm(store.holds_kg, rng) for _ in range(200)]
    assert abs(np.mean(full_cm) - 30) < 1.5  # the driver stops 30 cm below the ceiling


def test_bounds_of_a_share() -> None:
    """None of 10: below 1 − 0.025^(1/10) = 30.85 %, by hand; 5 of 10: evenly around a half."""
    assert binomial_bounds(0, 10) == (0.0, pytest.approx(0.30850, abs=1e-4))
    low, high = binomial_bounds(5, 10)
    assert low == pytest.approx(1 - high, abs=1e-6)
    assert binomial_bounds(0, 0) == (0.0, 1.0)
