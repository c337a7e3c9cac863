"""A customer's reading that disagrees with what was expected: dates, amounts, and the question about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers.which_runs import presented
from fuelplan.answers.which_runs.answer import RunsAnswer
from fuelplan.answers.who_is_due.answer import OutlookAnswer
from fuelplan.cli import main
from fuelplan.dispatch.outlook import learned_here, unsolved, weigh_readings
from fuelplan.learning import Prior, learn
from fuelplan.learning.readings import Delivery, Observation
from fuelplan.messages import as_text
from fuelplan.pages.runs import words as runs_words
from fuelplan.records.tables import RoundFaults
from tests.round_folders import READINGS, make_round
from tests.signature_worlds import FIRST_DAY, YEARS_DAYS, invent, weather_of

AS_OF = date(2026, 1, 12)
STORE_KG = 5200.0
DROP = ("customers.csv", "08:00,16:00,2000,6100", "08:00,16:00,1000,6100")
LOW = "K-01,2026-01-12,,3,"
"""Three per cent in a store that held 3,600 kg eight days before."""


def folder_with(tmp_path: Path, *rows: str) -> Path:
    """Return the test round with further readings."""
    head, *old = READINGS.replace("K-01,2026-01-04,2400,", "K-01,2026-01-04,3600,").splitlines()
    text = "\n".join([f"{head},checked", *(f"{row}," for row in old), *rows]) + "\n"
    folder = tmp_path / f"r{len(list(tmp_path.iterdir()))}"
    return make_round(folder, files={"readings.csv": text}, changes=[DROP])


def outlook_with(tmp_path: Path, *rows: str) -> OutlookAnswer:
    """Return the outlook of the test round with further readings."""
    round_ = answers.open_round(folder_with(tmp_path, *rows))
    return answers.outlook(round_, answers.weather_for_round(round_), AS_OF)


def runs_with(tmp_path: Path, *rows: str) -> RunsAnswer:
    """Return the run plan of the test round with further readings."""
    round_ = answers.open_round(folder_with(tmp_path, *rows))
    return answers.runs(round_, answers.weather_for_round(round_), AS_OF, moves=1500)


def row_of(found: OutlookAnswer, customer: str = "K-01") -> dict[str, Any]:
    """Return one customer as the JSON document has it."""
    return next(row for row in found.customers.rows() if row["customer"] == customer)


def dropped_kg(found: RunsAnswer) -> Sequence[float]:
    """Return what each stop brings K-01. [kg]"""
    return [s.kg for run in found.runs for s in run.stops if s.customer == "K-01"]


def test_a_low_reading_moves_the_deadline_forward_and_is_asked_about(tmp_path: Path) -> None:
    """A reading far below what was expected is not averaged away: the date goes by it, and it is named."""
    without, found = outlook_with(tmp_path), outlook_with(tmp_path, LOW)
    before, after = row_of(without), row_of(found)
    assert before["deliver_by"] is None or before["deliver_by"] > date(2026, 2, 1)
    assert after["level_kg"]["p50"] < 0.2 * STORE_KG and after["overdue"]
    (asked,) = found.readings_doubted
    assert (asked.customer, asked.name, asked.date) == ("K-01", "Hofer", AS_OF)
    assert asked.read_kg == pytest.approx(0.03 * STORE_KG, abs=1)
    assert asked.expected_kg == pytest.approx(before["level_kg"]["p50"], rel=0.03)
    (row,) = found.to_json()["readings_doubted"]
    assert {k: row[k] for k in ("customer", "name", "date")} == {
        "customer": "K-01", "name": "Hofer", "date": "2026-01-12",
    }  # fmt: skip
    assert (row["read_kg"], row["expected_kg"]) == (156, round(asked.expected_kg))
    said = map(as_text, found.sentences)
    assert any("K-01" in one or "Hofer" in one for one in said if "reading" in one)


def test_a_high_reading_moves_no_deadline_back(tmp_path: Path) -> None:
    """A reading far above what was expected leaves the date where it was, and is asked about."""
    high = "K-01,2026-01-12,5100,,"
    without, found = row_of(outlook_with(tmp_path)), outlook_with(tmp_path, high)
    assert [(d.customer, d.read_kg) for d in found.readings_doubted] == [("K-01", 5100)]
    assert row_of(found)["deliver_by"] == without["deliver_by"]
    assert row_of(found)["level_kg"]["p50"] == pytest.approx(without["level_kg"]["p50"], rel=0.02)


def test_other_customers_are_not_moved(tmp_path: Path) -> None:
    """A doubted reading moves the draws of its own customer alone, to the bit."""
    round_ = answers.open_round(folder_with(tmp_path, LOW))
    many = answers.believe(round_, answers.weather_for_round(round_), AS_OF).many
    standing = np.zeros_like(many.customers.standing)
    plainly = replace(many, customers=replace(many.customers, standing=standing))
    averaged, found = (learned_here(m).cov for m in (plainly, many))
    moved = (averaged != found).any(axis=(1, 2))
    assert np.flatnonzero(moved).tolist() == [round_.customers.number_of["K-01"]]


def test_an_amount_fits_whichever_is_right(tmp_path: Path) -> None:
    """Before the doubt is settled a drop is no larger than what fits if the reading is wrong; if it is
    confirmed, the drop is what fits then.
    """
    level_kg = row_of(outlook_with(tmp_path))["level_kg"]
    open_, right = runs_with(tmp_path, LOW), runs_with(tmp_path, LOW + "right")
    assert dropped_kg(open_) and dropped_kg(right)
    assert max(dropped_kg(open_)) <= STORE_KG - level_kg["p50"]
    assert max(dropped_kg(right)) > STORE_KG - level_kg["p10"]
    assert [d.customer for d in open_.readings_doubted] == ["K-01"] and not right.readings_doubted


@pytest.mark.parametrize("second, low", [("K-01,2026-01-12,140,,", True), ("K-01,2026-01-12,,65,", False)])
def test_a_later_reading_settles_it(tmp_path: Path, second: str, low: bool) -> None:
    """The next reading decides whether the low one was right; nobody is asked, and it is said."""
    found = outlook_with(tmp_path, "K-01,2026-01-11,,3,", second)
    assert not found.readings_doubted
    assert (row_of(found)["level_kg"]["p50"] < 500) is low
    if not low:
        assert row_of(found)["level_kg"]["p50"] > 0.6 * STORE_KG
    notes = [note for note in map(as_text, found.notes) if "K-01" in note]
    assert len(notes) == 1 and ("set aside" in notes[0]) is not low


def test_the_word_of_a_person_settles_it(tmp_path: Path) -> None:
    """`checked` right takes the reading as it is, wrong leaves it out: both end the question."""
    right, wrong = outlook_with(tmp_path, LOW + "right"), outlook_with(tmp_path, LOW + "wrong")
    assert not right.readings_doubted and not wrong.readings_doubted
    assert row_of(right)["level_kg"]["p50"] < 0.1 * STORE_KG
    assert row_of(wrong) == row_of(outlook_with(tmp_path))


def test_a_word_that_is_unknown_is_refused(tmp_path: Path) -> None:
    """Another word in `checked` is a fault of its row."""
    with pytest.raises(RoundFaults, match="checked"):
        answers.open_round(folder_with(tmp_path, LOW + "perhaps"))


def test_an_agreeing_reading_is_not_asked_about(tmp_path: Path) -> None:
    """A reading within its own error of what was expected opens no question."""
    assert not outlook_with(tmp_path, "K-01,2026-01-12,,60,").readings_doubted


def test_faces_name_the_customer_with_both_figures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Outlook and run plan name the customer and both figures on the command line, the page lists them."""
    folder = folder_with(tmp_path, LOW)
    for call in (["outlook"], ["runs", "--moves", "500"]):
        with pytest.raises(SystemExit) as left:
            main([call[0], str(folder), "--as-of", "2026-01-12", *call[1:]])
        assert left.value.code == 0
        said = " ".join(capsys.readouterr().out.split())
        assert "K-01" in said and "says 156 kg" in said and "were expected" in said and "right?" in said
    round_ = answers.open_round(folder)
    found = answers.runs(round_, answers.weather_for_round(round_), AS_OF, moves=500)
    (row,) = runs_words.shown(presented.doubted(found).rows)
    assert "K-01" in row[0] and row[1] == "555 0101" and "156" in row[3]
    assert found.to_json()["readings_doubted"][0]["customer"] == "K-01"


def test_depots_by_themselves_ask_the_same(tmp_path: Path) -> None:
    """Planned depot by depot, the question is the same one."""
    round_ = answers.open_round(folder_with(tmp_path, LOW))
    found = answers.runs_by_depot(round_, answers.weather_for_round(round_), AS_OF, moves=500)
    assert [(d.customer, round(d.read_kg)) for d in found.readings_doubted] == [("K-01", 156)]


def test_many_are_doubted_as_one_house_is() -> None:
    """Sixty customers at once, every third with a last reading far off: asked about as one by one."""
    world = invent(60, 8, seed=4)
    as_of = FIRST_DAY + timedelta(YEARS_DAYS - 1)
    kg = world.customers.reading_kg.copy()
    kg[::3, -1] = (
        np.where(kg[::3, -1] > 0.5 * world.customers.capacity_kg[::3], 0.0, 0.9)
        * (world.customers.capacity_kg[::3])
    )
    c = replace(world.customers, reading_kg=np.maximum(kg, 0.0))
    found = weigh_readings(unsolved(world.priors, FIRST_DAY, world.mean_c, c, as_of))[1]
    asked = dict(zip(found.customer.tolist(), found.expected_kg.tolist(), strict=True))
    p, alone, both = world.priors, dict[int, float](), set[int]()
    for i in range(60):
        told = learn(
            Prior(p.slope[i], p.day_kg[i], p.base_c[i], 0.3, 0.5, 1.5),
            weather_of(world.mean_c[c.station[i]]),
            [
                Observation(FIRST_DAY + timedelta(int(d)), float(x), float(s), "percent")
                for d, x, s in zip(c.reading_day[i], c.reading_kg[i], c.reading_sd_kg[i], strict=True)
            ],
            [
                Delivery(FIRST_DAY + timedelta(int(d)), float(x), float(s), False)
                for d, x, s in zip(c.delivery_day[i], c.delivery_kg[i], c.delivery_sd_kg[i], strict=True)
                if d >= 0
            ],
            as_of,
            capacity_kg=float(c.capacity_kg[i]),
        )
        if told.doubt is not None:
            both.add(i)
            if told.doubt.delivery_day is None:  # else the house asks about a delivery in the same breath
                alone[i] = told.doubt.expected_kg
    assert len(alone) >= 15 and alone.keys() <= asked.keys() <= both
    assert [asked[i] for i in alone] == pytest.approx(list(alone.values()), rel=0.01, abs=1)
