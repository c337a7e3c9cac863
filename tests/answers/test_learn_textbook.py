"""The textbook's line beside what was learned: its figures, what it leaves out, and where the two part."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.cli import main
from fuelplan.learning import (
    Estimate,
    Fit,
    Interval,
    Learned,
    Textbook,
    UseChange,
    degree_days_of,
    textbook_line,
)
from fuelplan.messages import Message, as_text, codes, message, render
from fuelplan.weather import DailyWeather, Origin, Place, Source
from tests.answers.test_learn import DEMO, history, learned
from tests.site_folders import make_site, wave_c

START = date(2020, 1, 1)
DAYS = 3 * 365
MEAN_C = wave_c(DAYS)
YEAR_C = MEAN_C[:365]
SLOPE, DAILY, BASE_C = 1.5, 2.0, 15.0
TRUE_YEAR = float((SLOPE * np.maximum(0, BASE_C - YEAR_C) + DAILY).sum())
NO_CHANGE = ("learn.line_parts_by_readings", "learn.line_parts_by_few", "learn.line_parts_by_prior")


def weather() -> DailyWeather:
    """Three years of the plain wave."""
    blank = np.full(DAYS, np.nan)
    return DailyWeather(
        START, MEAN_C, blank, blank, blank, np.full(DAYS, Origin.OBSERVED, np.uint8),
        np.zeros(DAYS, np.uint8), (Source("test", "", ""),), Place(),
    )  # fmt: skip


def stretches(edges: list[int], error: float = 0.0, sd_kg: float = 5.0, seed: int = 1) -> Fit:
    """Intervals between the mornings of some days, of a house of known signature; `error` in shares."""
    rng = np.random.default_rng(seed)
    out, spans = [], []
    for a, b in pairwise(edges):
        heating = float(np.maximum(0, BASE_C - MEAN_C[a:b]).sum())
        kg = (SLOPE * heating + DAILY * (b - a)) * (1 + error * rng.standard_normal())
        days = START + timedelta(a), START + timedelta(b)
        out.append(Interval(*days, float(b - a), heating, kg, sd_kg, kg, 0.0, "", False))
        spans.append((2 * a, 2 * b))
    return Fit(tuple(out), BASE_C, 0.0, 0.0, tuple(spans))


def believed(
    year_kg: float = TRUE_YEAR, daily: float = DAILY, base_c: float = BASE_C, *changes: UseChange
) -> Learned:
    """What was learned, each known to 5 %."""

    def about(value: float) -> Estimate:
        return Estimate(0.95 * value, value, 1.05 * value)

    return Learned(about(year_kg), about(SLOPE), about(daily), about(base_c), changes)


def line_of(fit: Fit, known: Learned, activity: np.ndarray | None = None) -> tuple[Textbook, Message]:
    """The line through a fit, which must be there."""
    book, said = textbook_line(fit, weather(), activity, YEAR_C, known)
    assert book is not None
    return book, said


UNEQUAL = [0, 20, 30, 75, 80, 140, 171, 290, 300, 330, 420, 500, 520, 611, 700]


def test_the_line_finds_the_house_that_made_the_readings() -> None:
    """From stretches of 5 to 119 days without an error: base, slope, daily part and a usual year."""
    book, said = line_of(stretches(UNEQUAL), believed())
    assert book.base_c == BASE_C and book.intervals == len(UNEQUAL) - 1
    assert book.kg_per_degree_day == pytest.approx(SLOPE)
    assert book.kg_per_day == pytest.approx(DAILY)
    assert book.year_kg == pytest.approx(TRUE_YEAR)
    assert book.r2 == pytest.approx(1.0) and book.cv_rmse < 1e-9
    assert codes(said) == ("learn.line_agrees",)
    for point, (a, b) in zip(book.points, pairwise(UNEQUAL), strict=True):
        assert point.degree_days == pytest.approx(np.maximum(0, BASE_C - MEAN_C[a:b]).sum())


def test_long_stretches_weigh_more_than_short_ones() -> None:
    """The coefficients are those of least squares weighted by days, at the base found; the points' residuals
    are what it leaves, and add up to nothing once weighted.
    """
    fit = stretches(UNEQUAL, 0.15)
    book, _ = line_of(fit, believed())
    bases_c, degree_days = degree_days_of(fit, MEAN_C, None, -1.0, 32.0)
    at = degree_days[int(np.flatnonzero(bases_c == book.base_c)[0])]
    days = np.diff(UNEQUAL).astype(float)
    x, w = np.column_stack([np.ones(len(days)), at / days]), np.sqrt(days)
    y = np.array([i.used_kg for i in fit.intervals]) / days
    daily, slope = np.linalg.lstsq(x * w[:, None], y * w, rcond=None)[0]
    assert (book.kg_per_day, book.kg_per_degree_day) == pytest.approx((daily, slope))
    left = np.array([p.residual_kg_per_day for p in book.points])
    assert left == pytest.approx(y - x @ [daily, slope])
    assert float(left @ days) == pytest.approx(0.0, abs=1e-6) and abs(left.sum()) > 0.1


def test_absences_count_for_the_line_as_for_what_was_learned() -> None:
    """Days without use have no degree-days: the line with them is the one without that stretch's half."""
    away = np.ones(DAYS)
    away[40:60] = 0.0
    fit = stretches(UNEQUAL)
    bases_c, all_days = degree_days_of(fit, MEAN_C, None, 14.0, 16.0)
    _, there = degree_days_of(fit, MEAN_C, away, 14.0, 16.0)
    at = int(np.flatnonzero(bases_c == BASE_C)[0])
    assert (all_days - there)[at, 2] == pytest.approx(np.maximum(0, BASE_C - MEAN_C[40:60]).sum())
    assert (all_days - there)[at].sum() == pytest.approx((all_days - there)[at, 2])


def test_stretches_set_aside_and_other_meters_are_left_out() -> None:
    """A flagged stretch, however wrong, moves nothing; of two meters the one with more stretches is taken."""
    fit = stretches(UNEQUAL, 0.1)
    plain, _ = line_of(Fit(fit.intervals[1:], BASE_C, 0, 0, fit.spans[1:]), believed())
    wrong = replace(fit.intervals[0], used_kg=9_999.0, flagged=True)
    flagged, _ = line_of(replace(fit, intervals=(wrong, *fit.intervals[1:])), believed())
    assert flagged.kg_per_degree_day == pytest.approx(plain.kg_per_degree_day, rel=1e-9)
    assert flagged.intervals == plain.intervals == len(fit.intervals) - 1
    other = tuple(replace(i, used_kg=3 * i.used_kg, meter="counter") for i in fit.intervals[:8])
    both = Fit((*fit.intervals, *other), BASE_C, 0, 0, (*fit.spans, *fit.spans[:8]))
    alone, _ = line_of(fit, believed())
    found, _ = line_of(both, believed())
    assert found.meter == "" and found.kg_per_degree_day == pytest.approx(alone.kg_per_degree_day, rel=1e-9)
    more = Fit((*other, *fit.intervals[:7]), BASE_C, 0, 0, (*fit.spans[:8], *fit.spans[:7]))
    assert line_of(more, believed())[0].meter == "counter"


def test_with_too_few_stretches_that_is_said_instead() -> None:
    """Five stretches give no line but a sentence with their number; six give one. So do readings from one
    season that do not tell cold from warm.
    """
    book, said = textbook_line(stretches(UNEQUAL[:6]), weather(), None, YEAR_C, believed())
    assert book is None and codes(said) == ("learn.no_line_yet",) and dict(said.values)["count"] == 5
    assert "at least 6 stretches" in render(said)
    assert textbook_line(stretches(UNEQUAL[:7]), weather(), None, YEAR_C, believed())[0] is not None
    assert codes(textbook_line(None, weather(), None, YEAR_C, believed())[1]) == ("learn.no_line_yet",)
    fit = stretches(UNEQUAL)
    backwards = tuple(replace(i, used_kg=50 * i.days - i.used_kg) for i in fit.intervals)
    book, said = textbook_line(replace(fit, intervals=backwards), weather(), None, YEAR_C, believed())
    assert book is None and codes(said) == ("learn.no_line",)


def reason_of(said: Message) -> str:
    """The code of the reason in a sentence."""
    inner = dict(said.values)["reason"]
    assert isinstance(inner, Message)
    return inner.code


@pytest.mark.parametrize(
    ("known", "code"),
    [
        (believed(1.3 * TRUE_YEAR), "learn.line_parts_on_year"),
        (believed(TRUE_YEAR, 0.5), "learn.line_parts_on_day"),
        (believed(TRUE_YEAR, DAILY, 18.0), "learn.line_parts_on_base"),
    ],
)
def test_where_they_part_is_named_with_both_figures(known: Learned, code: str) -> None:
    """The first of usual year, daily part and base in which the line lies outside of what was learned. Where
    the readings are exact and the line leaves nothing over, the settings are the reason.
    """
    book, said = line_of(stretches(UNEQUAL, sd_kg=0.0), known)
    assert codes(said) == (code,)
    assert reason_of(said) == "learn.line_parts_by_prior"
    shown = {"year": book.year_kg, "day": book.kg_per_day, "base": book.base_c}[code.rsplit("_", 1)[1]]
    assert dict(said.values)["line"].value == pytest.approx(shown)  # type: ignore[union-attr]
    text = render(said)
    assert text.endswith("the line by the readings alone.") and ". " not in text


def test_small_differences_are_no_parting() -> None:
    """Less than 3 % of a year's use, or than a kelvin, is no news, however sharply it was learned; a little
    more is, and its figures show no false digits.
    """
    fit = stretches(UNEQUAL, sd_kg=0.0)
    close, apart = (DAILY - share * TRUE_YEAR / 365 for share in (0.029, 0.031))
    assert codes(line_of(fit, believed(TRUE_YEAR, close))[1]) == ("learn.line_agrees",)
    assert codes(line_of(fit, believed(TRUE_YEAR, apart))[1]) == ("learn.line_parts_on_day",)
    assert codes(line_of(fit, believed(TRUE_YEAR, DAILY, BASE_C + 0.9))[1]) == ("learn.line_agrees",)
    assert codes(line_of(fit, believed(TRUE_YEAR, DAILY, BASE_C + 1.1))[1]) == ("learn.line_parts_on_base",)
    known = replace(believed(), kg_per_day=Estimate(0.0, 0.2, 0.41))
    assert "2 kg a day by the line, 0.0 to 0.4 kg by" in render(line_of(fit, known)[1])


def test_errors_of_the_readings_are_the_reason_where_they_could_do_it() -> None:
    """The same difference: with readings known to 300 kg they are the reason, and the sentence says so."""
    _, said = line_of(stretches(UNEQUAL, sd_kg=300.0), believed(TRUE_YEAR, 0.5))
    assert reason_of(said) == "learn.line_parts_by_readings"
    assert "by about 300 kg" in render(said)


def test_where_heating_begins_has_the_same_reasons() -> None:
    """The scatter is made of the readings' errors; or it is not, and the base's profile reaches as far."""
    known = believed(TRUE_YEAR, DAILY, 18.0)
    _, said = line_of(stretches(UNEQUAL, sd_kg=30.0), known)
    assert codes(said) == ("learn.line_parts_on_base",) and reason_of(said) == "learn.line_parts_by_readings"
    fit = stretches(UNEQUAL, 0.2, sd_kg=12.0)  # on 5 days 2.4 kg a day, on 119 days a tenth
    book, _ = line_of(fit, known)
    far = believed(book.year_kg, book.kg_per_day, book.base_c_high)
    _, said = line_of(fit, far)
    assert codes(said) == ("learn.line_parts_on_base",) and reason_of(said) == "learn.line_parts_by_few"
    beyond = believed(book.year_kg, book.kg_per_day, book.base_c_high + 3)
    assert reason_of(line_of(fit, beyond)[1]) == "learn.line_parts_by_prior"


def test_few_stretches_are_the_reason_where_the_line_is_that_unsure() -> None:
    """Exact readings of a house whose use scatters: the line's own error covers the difference."""
    fit = stretches(UNEQUAL[:8], 0.3, sd_kg=1.0, seed=3)
    book, _ = line_of(fit, believed())
    daily = book.kg_per_day + 1.2 * book.kg_per_day_se
    _, said = line_of(fit, believed(book.year_kg, daily, book.base_c))
    assert codes(said) == ("learn.line_parts_on_day",)
    assert reason_of(said) == "learn.line_parts_by_few"
    assert "7 stretches" in render(said)


def changed_on(day: date) -> UseChange:
    """A change found on a day."""
    return UseChange(
        "slope", day, day, day, -0.25, -0.3, -0.2, -0.4, 0.0, 100.0, message("test.changed", "It changed.")
    )


def test_a_change_is_the_reason_where_a_line_since_then_agrees() -> None:
    """A house that burns a quarter less after the middle: the line through all of it lies between, one
    through the time since then agrees with what was learned. A change that explains nothing is not blamed.
    """
    fit = stretches(list(range(0, 720, 30)))
    middle = START + timedelta(360)
    later = tuple(replace(i, used_kg=0.75 * i.used_kg) if i.first_day >= middle else i for i in fit.intervals)
    bent = replace(fit, intervals=later)
    book, said = line_of(bent, believed(0.75 * TRUE_YEAR, 0.75 * DAILY, BASE_C, changed_on(middle)))
    assert codes(said) == ("learn.line_parts_on_year",)
    assert reason_of(said) == "learn.line_parts_by_change"
    assert "something changed around 26 December 2020" in render(said)
    assert book.left_limits_on is not None and book.left_limits_on > middle
    _, said = line_of(fit, believed(0.75 * TRUE_YEAR, DAILY, BASE_C, changed_on(middle)))
    assert reason_of(said) in NO_CHANGE


def test_a_house_of_known_signature_from_its_folder(tmp_path: Path) -> None:
    """Three years of fortnightly weighed readings: the line finds what made them, through the whole way from
    the folder; a reading that was set aside is in neither.
    """
    readings, deliveries = history(1.6, 0.4, 15.0)
    found = learned(make_site(tmp_path / "a", readings=readings, deliveries=deliveries), date(2020, 9, 30))
    book = found.textbook
    assert book is not None
    assert book.kg_per_degree_day == pytest.approx(1.6, rel=0.02)
    assert book.base_c == pytest.approx(15.0, abs=0.5)
    assert book.kg_per_day == pytest.approx(0.4, abs=0.15)
    lines = readings.splitlines()
    day, kg, how = lines[30].split(",")
    lines[30] = f"{day},{float(kg.split()[0]) - 1200:.1f} kg,{how}"
    spoilt = make_site(tmp_path / "b", readings="\n".join(lines) + "\n", deliveries=deliveries)
    again = learned(spoilt, date(2020, 9, 30))
    assert again.flags and again.textbook is not None
    assert again.textbook.intervals == sum(not i.flagged for i in again.intervals)
    assert again.textbook.kg_per_degree_day == pytest.approx(book.kg_per_degree_day, rel=0.01)


def test_json_and_command_line_hold_the_line(capsys: pytest.CaptureFixture[str]) -> None:
    """The document has the line under a key of its own, all older keys as they were; the text says where the
    two part, coefficients with their tests, each stretch with its place in the plot, and the sum.
    """
    with pytest.raises(SystemExit):
        main(["learn", str(DEMO), "--json"])
    found = json.loads(capsys.readouterr().out)
    book = found["textbook"]
    for name in ("kg_per_degree_day", "kg_per_day"):
        assert book[f"{name}_t"] == pytest.approx(book[name] / book[f"{name}_se"], rel=1e-4)
        assert 0 <= book[f"{name}_p"] <= 1
    assert book["base_c_low"] <= book["base_c"] <= book["base_c_high"]
    assert len(book["points"]) == book["intervals"] == len(found["intervals"])
    assert found["textbook_sentence"]["text"].startswith("The textbook line and what was learned")
    assert found["warming"]["years"] >= 20 and "Newey–West" in found["warming_sentence"]["text"]
    assert not [key for key in found if key.endswith("_said")]
    with pytest.raises(SystemExit):
        main(["learn", str(DEMO)])
    text = capsys.readouterr().out
    assert "t 11.1, p below 0.001" in text and "R², CV(RMSE)" in text and "stays between its limits" in text
    plot = [line for line in text.splitlines() if "·" in line and "K·d" not in line]
    assert len(plot) == book["intervals"]
    for line, point in zip(plot, book["points"], strict=True):
        marks = next(word for word in line.split() if "·" in word)
        assert len(marks) == 21
        sides = np.sign(marks.index("o") - 10)
        assert sides in (0, np.sign(point["residual_kg_per_day"]))


def test_one_reading_gives_no_line_but_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In JSON the line is null; both faces say why."""
    folder = make_site(tmp_path / "a")
    with pytest.raises(SystemExit):
        main(["learn", str(folder), "--as-of", "2020-12-01", "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["textbook"] is None and "there are 0 so far" in found["textbook_sentence"]["text"]
    with pytest.raises(SystemExit):
        main(["learn", str(folder), "--as-of", "2020-12-01"])
    assert "There is no textbook line yet" in capsys.readouterr().out


def test_the_warming_is_the_one_that_an_order_goes_by() -> None:
    """Learning and ordering correct past winters by one figure."""
    site = answers.open_site(DEMO)
    day = date(2026, 1, 15)
    found = learned(DEMO, day)
    order = answers.order(site, answers.weather_for(site, day), day)
    assert found.warming is not None
    figure = f"a warming of {found.warming.used_k_per_decade:.2f} K per decade"
    assert any(figure in as_text(line) for line in order.explanation)
