"""Readings that disagree with what was expected: never averaged in silence, asked about, settled by the
person or by later readings.
"""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import OrderAnswer
from fuelplan.learning import Prior, learn, readings
from tests.signature_worlds import weather_of
from tests.site_folders import make_site, wave_c

DEMO = Path(__file__).parents[2] / "demo_sites" / "family_house"
DAY = date(2026, 1, 15)
LOW, HIGH = "2026-01-15,10 %,by eye,pellets,", "2026-01-15,90 %,by eye,pellets,"


def demo_with(folder: Path, *rows: str, delivered: str = "") -> Path:
    """The demo house with more lines in its readings, and perhaps one in its deliveries."""
    shutil.copytree(DEMO, folder)
    with (folder / "readings.csv").open("a") as file:
        file.writelines(f"{row}\n" for row in rows)
    with (folder / "deliveries.csv").open("a") as file:
        file.write(f"{delivered}\n" if delivered else "")
    return folder


def ask(folder: Path, day: date = DAY) -> OrderAnswer:
    """The answer for a folder."""
    site = answers.open_site(folder)
    return answers.order(site, answers.weather_for(site, day), day)


def codes(answer: OrderAnswer) -> list[str]:
    """The codes of its questions."""
    return [question.code for question in answer.questions]


def most_kg(answer: OrderAnswer) -> float:
    """The largest amount that the answer says will fit."""
    assert answer.order is not None
    return answer.order.amount_kg if answer.order.fits_kg is None else answer.order.fits_kg


def test_a_house_whose_readings_agree_is_asked_nothing() -> None:
    """The demo houses on their own days: no question, no entry set aside but the logs counted before."""
    for name, day in (("family_house", DAY), ("farmhouse", DAY), ("village_school", date(2026, 1, 20))):
        found = ask(DEMO.parent / name, day)
        assert found.questions == ()
        assert found.set_aside == ()


def test_a_low_look_is_not_averaged_away(tmp_path: Path) -> None:
    """10 % where about a third was expected: both figures are named and asked about; the dates are those of a
    store with 10 %, the amount that of one with a third.
    """
    found = ask(demo_with(tmp_path / "a", LOW))
    plain = ask(DEMO)
    assert codes(found) == ["reading_disagrees"]
    asked = found.questions[0]
    assert "says 10 %, about 600 kg: much less than the 1.9 t expected" in str(asked.text)
    assert str(asked.headline).endswith("disagree: which is wrong?")
    assert str(found.sentence).startswith(str(asked.text))
    assert [(row.file, row.line) for row in asked.about] == [("readings.csv", 12)]
    assert [c.code for c in asked.choices] == ["right", "wrong", "look_again"]
    stock = found.stocks[0]
    assert 300 < stock.kg < 1000
    assert stock.p10_kg < 603 and stock.p90_kg > plain.stocks[0].kg
    assert found.decision == "late"
    assert (most_kg(found), most_kg(plain)) == (2500, 3000)


def test_a_high_look_brings_no_later_date(tmp_path: Path) -> None:
    """90 % where a third was expected: the dates stay those without the look, and next to nothing surely
    fits.
    """
    found, plain = ask(demo_with(tmp_path / "a", HIGH)), ask(DEMO)
    assert codes(found) == ["reading_disagrees"]
    assert "much more than the 1.9 t expected" in str(found.questions[0].text)
    assert found.order is not None and plain.order is not None
    assert found.order.order_by == plain.order.order_by
    assert found.stocks[0].p90_kg > 5429
    assert most_kg(found) < 500
    assert "By then nothing surely fits" in str(found.sentence)
    assert found.stocks[0].reading_on == date(2026, 1, 3)


@pytest.mark.parametrize(
    "row",
    [
        "2026-01-15,185 cm from top,measured,pellets,",
        "2026-01-15,0.6 t,measured,pellets,",
        "2026-01-15,40 bags,,pellets,",
        "2026-01-15,empty,,pellets,",
    ],
)
def test_measured_low_readings_are_asked_about_too(tmp_path: Path, row: str) -> None:
    """A tape, a weight, counted bags, an empty store: believed for the dates, and asked about."""
    found = ask(demo_with(tmp_path / "a", row))
    assert codes(found) == ["reading_disagrees"]
    assert found.stocks[0].kg < 800
    assert found.decision == "late"


def test_a_meter_that_jumps_is_asked_about(tmp_path: Path) -> None:
    """A counter that shows a tonne burned in six days: it is misread, or the store is that much emptier."""
    rows = ("2026-01-04,2000 kg,boiler counter,pellets,", "2026-01-10,3170 kg,boiler counter,pellets,")
    found, plain = ask(demo_with(tmp_path / "a", *rows)), ask(DEMO)
    assert codes(found) == ["reading_disagrees"]
    assert "meter reading of 10 January says 3170 kg" in str(found.questions[0].text)
    assert found.stocks[0].kg < plain.stocks[0].kg - 500
    usual = ask(demo_with(tmp_path / "b", rows[0], "2026-01-10,2170 kg,boiler counter,pellets,"))
    assert codes(usual) == []


@pytest.mark.parametrize("row", [LOW, HIGH])
def test_the_answer_to_the_question_settles_it(tmp_path: Path, row: str) -> None:
    """Right: the store is what was read. Wrong: as if it had not been read, and it is named. Look again: it
    stays asked.
    """
    plain, shown_kg = ask(DEMO), 603.0 if row == LOW else 5429.0
    for choice in ("right", "wrong", "look_again"):
        folder = demo_with(tmp_path / choice, row)
        answers.settle(folder, ask(folder).questions[0], choice, as_of=DAY)
        settled = ask(folder)
        assert codes(settled) == (["reading_disagrees"] if choice == "look_again" else [])
        if choice == "right":
            assert settled.stocks[0].kg == pytest.approx(shown_kg, abs=250)
            assert settled.stocks[0].reading_on == DAY
        elif choice == "wrong":
            assert settled.stocks[0].kg == pytest.approx(plain.stocks[0].kg, abs=1.0)
            aside = [(e.line, str(e.reason)) for e in settled.set_aside]
            assert aside == [(12, "You said that it is wrong.")]
        else:
            assert "You wanted to look again." in str(settled.questions[0].text)


def test_a_second_look_settles_the_first(tmp_path: Path) -> None:
    """A week after a look of 10 % a second one tells which was wrong: near 10 % it is borne out, near what
    was expected the first is set aside; both are said.
    """
    early = "2026-01-08,10 %,by eye,pellets,"
    low = ask(demo_with(tmp_path / "low", early, "2026-01-15,8 %,by eye,pellets,"))
    assert codes(low) == []
    assert low.stocks[0].kg < 800
    assert any("bears it out" in text for text in map(str, low.warnings))
    usual = ask(demo_with(tmp_path / "usual", early, "2026-01-15,30 %,by eye,pellets,"))
    assert codes(usual) == []
    assert usual.stocks[0].kg == pytest.approx(1900, abs=200)
    assert [(e.line, "was set aside" in str(e.reason)) for e in usual.set_aside] == [(12, True)]


def test_a_new_house_with_a_low_look_is_asked(tmp_path: Path) -> None:
    """Filled full in October, 10 % today, and nothing else known: asked, and the dates follow the 10 %."""
    folder = make_site(
        tmp_path / "a",
        readings="date,reading,how\n2020-11-20,10 %,by eye\n",
        deliveries="delivered_on,delivered,filled_full\n2020-10-15,4 t,yes\n",
    )
    found = ask(folder, date(2020, 11, 20))
    assert codes(found) == ["reading_disagrees"]
    assert found.stocks[0].kg < 1100
    assert found.stocks[0].p90_kg > 4500


@pytest.mark.parametrize("history", [True, False])
def test_more_delivered_than_fits_is_asked_about(tmp_path: Path, history: bool) -> None:
    """90 % of a store of six tonnes on one day, four tonnes on the next: one of the two is wrong."""
    if history:
        row = "2026-01-13,90 %,by eye,pellets,"
        folder = demo_with(tmp_path / "a", row, delivered="pellets,,,,,2026-01-14,4 t,yes,no,delivered,")
        day = DAY
    else:
        folder = make_site(
            tmp_path / "a",
            readings="date,reading,how\n2020-11-18,90 %,by eye\n",
            deliveries="delivered_on,delivered\n2020-11-19,4 t\n",
        )
        day = date(2020, 11, 20)
    found = ask(folder, day)
    assert codes(found) == ["reading_disagrees"]
    assert "more than the store of 6 t can hold" in str(found.questions[0].text)
    assert [row.file for row in found.questions[0].about] == ["readings.csv", "deliveries.csv"]
    answers.settle(folder, found.questions[0], "right", as_of=day)
    settled = ask(folder, day)
    assert codes(settled) == []
    assert any("cannot all have gone in" in text for text in map(str, settled.warnings))
    assert settled.stocks[0].kg < 6300


def test_a_delivery_entered_twice_is_remarked(tmp_path: Path) -> None:
    """Two drops of 3.5 t in a week on top of a level that was as expected: it is the deliveries that are
    asked about.
    """
    twice = "pellets,,,,,2026-01-10,3.5 t,yes,no,delivered,\npellets,,,,,2026-01-12,3.5 t,yes,no,delivered,"
    found = ask(demo_with(tmp_path / "a", delivered=twice))
    assert codes(found) == ["read_first"]
    assert str(found.questions[0].headline) == "Read your store first."
    assert "has a delivery been entered twice?" in str(found.questions[0].text)
    assert [(r.file, r.line) for r in found.questions[0].about] == [("deliveries.csv", 7)]


def test_what_is_averaged_is_said() -> None:
    """Read by eye every week, one look of 2.2 of its errors too low is within chance: it is weighed with what
    was expected, and both figures are named. The same look of somebody who reads six times a year is asked
    about.
    """
    first, capacity_kg = date(2015, 1, 1), 6000.0
    weather = weather_of(np.full(500, 6.0), first)
    prior = Prior(1.0, 0.5, 16.0, 0.1, 0.3, 1.0)  # 10.5 kg a day at 6 degC
    for every_days, asked in ((7, False), (56, True)):
        days = range(399 - 56 * 7, 399, every_days)
        seen = [
            readings.percent(first + timedelta(days=i), (5800 - 10.5 * i) / capacity_kg, capacity_kg)
            for i in days
        ]
        low = (5800 - 10.5 * 399) / capacity_kg - 0.235
        seen.append(readings.percent(first + timedelta(days=399), low, capacity_kg))
        found = learn(prior, weather, seen, [], seen[-1].day, capacity_kg=capacity_kg)
        assert (found.doubt is not None) is asked
        assert (
            any("both count, each by how well it is known" in str(text) for text in found.notes) is not asked
        )


def test_two_readings_of_one_day_that_disagree_are_asked_about(tmp_path: Path) -> None:
    """Close together they are weighed; 30 % and then 4 % on one day are not averaged."""
    both = ("2026-01-15,30 %,by eye,pellets,", "2026-01-15,28 %,by eye,pellets,")
    assert codes(ask(demo_with(tmp_path / "a", *both))) == []
    found = ask(demo_with(tmp_path / "b", both[0], "2026-01-15,4 %,by eye,pellets,"))
    assert codes(found) == ["reading_disagrees"]
    assert found.questions[0].about[0].line == 13


def test_careful_readers_are_rarely_asked() -> None:
    """Readings by eye whose errors are those they are taken for lead to at most one needless question in two
    years, over six years of an invented house with tankers and uneven days.
    """
    rng, years, capacity_kg = np.random.default_rng(5), 6, 6000.0
    first, mean_c = date(2010, 10, 1), wave_c(365 * 7 + 60)
    weather = weather_of(mean_c, first)
    prior = Prior(1.2, 0.5, 16.0, 0.3, 0.5, 1.5)
    seen: list[readings.Observation] = []
    came: list[readings.Delivery] = []
    level, asked = 4500.0, set[date]()
    for i in range(365 * years):
        day = first + timedelta(days=i)
        level -= max(0.0, 16.5 - float(mean_c[i])) * 1.25 * rng.lognormal(0, 0.15)
        if level < 1500:
            came.append(readings.delivery(day, 3000.0))
            level += 3000
        if i % 45 == 0:
            share = min(max(level / capacity_kg + rng.normal(0, 0.10), 0.0), 1.0)
            seen.append(readings.percent(day, round(share, 2), capacity_kg))
            doubt = learn(prior, weather, seen, came, day, capacity_kg=capacity_kg).doubt
            asked |= set() if doubt is None else {doubt.day}
    assert len(seen) == 49
    assert len(asked) <= years / 2
