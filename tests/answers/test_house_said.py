"""What is wrong with the entries of a house is said in messages: no room reads its words, and every reader is
written to in a language, units and dates of their own.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import FieldFaults, NewHouse, SheetPlan
from fuelplan.messages import Message, as_message, render, strict
from fuelplan.units import Reader
from tests.pseudo_language import outside, speak_pseudo
from tests.site_folders import make_site

DAY = date(2020, 12, 1)
TOMORROW = date(2020, 12, 2)
WRONG = (
    NewHouse(),
    NewHouse(burns="peat", use="5 t", store="9 g", level="40 m", country="AT", town="nowhere at all"),
    NewHouse(use="1 g", store="99999 t", level="2 t", country="AT", weather="monthly", monthly_means="1 2 3"),
    NewHouse(use="2 m", store="6 t", delivered_on=TOMORROW, weather="monthly", monthly_means="one"),
    NewHouse(use="5 t", store="6 t", delivered="2 t", latitude="99", longitude="x", weather="file"),
    NewHouse(
        use="5 t", store="6 t", level="2 t", people="many", installed="2099", lead_time="900", risk="1 in 2"
    ),
    NewHouse(use="5 t" * 60, store="6 t", level="2 t", weather="monthly", monthly_means="-99 " * 12),
    NewHouse(use="5 t", store="6 t", level="2 t", weather="monthly", latitude="47", price="1000 EUR/kg"),
)
"""Forms with a fault in nearly every field."""

SHEET = """\
delivered on,delivered,weighed
2020-11-31,2 t,yes
31.1.2020,2 t,perhaps
2020-03-01,2,yes
,,
2020-02-30 8,2 \u202et,yes
"""


def form_faults(folder: Path) -> list[Message]:
    """Everything that is wrong with the forms above."""
    found = []
    for form in WRONG:
        with pytest.raises(FieldFaults) as problem:
            answers.draft_house(form, folder, DAY)
        found += [as_message(said) for said in problem.value.faults.values()]
    return found


def sheet_faults(folder: Path) -> list[Message]:
    """Everything that is wrong with the rows of the sheet above."""
    sheet = answers.read_sheet("a.csv", SHEET.encode())
    plan = SheetPlan("deliveries", {0: "delivered_on", 1: "delivered", 2: "weighed"})
    return [said for row in answers.preview_sheet(folder, sheet, plan, DAY) for said in row.faults]


def test_faults_of_entries_go_through_the_catalogue(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the pseudo-language no word of a fault is left outside, and none was made a text on the way."""
    pseudo = speak_pseudo(monkeypatch, tmp_path / "catalogues")
    house = make_site(tmp_path / "house")
    with strict():
        found = [*form_faults(tmp_path / "drafts"), *sheet_faults(house)]
    assert len({said.code for said in found}) > 20
    assert [render(said) for said in found if outside(render(said, pseudo))] == []


def test_a_fault_is_written_for_its_reader(tmp_path: Path) -> None:
    """The same fault has the month first for a person who writes it so."""
    late = NewHouse(use="5 t", store="6 t", delivered="2 t", delivered_on=TOMORROW, weather="monthly")
    with strict(), pytest.raises(FieldFaults) as problem:
        answers.draft_house(late, tmp_path, DAY)
    said = as_message(problem.value.faults["delivered_on"])
    assert render(said, Reader()) == "2 December 2020 has not come yet"
    assert render(said, Reader("us", "month first")) == "December 2, 2020 has not come yet"


def test_all_faults_of_a_form_are_one_sentence(tmp_path: Path) -> None:
    """The error names each field with its fault, also for who writes a program."""
    with pytest.raises(FieldFaults) as problem:
        answers.draft_house(replace(WRONG[-1], price=""), tmp_path, DAY)
    assert str(problem.value).startswith("longitude: latitude and longitude belong together; monthly_means: ")


def test_comments_of_a_new_house_are_in_the_language_of_who_made_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every comment in `site.toml` is a message, as the page writes it; a library user gets English."""
    house = NewHouse(name="Mill", country="DE", use="5 t", store="13 m3", level="2 t", weather="monthly",
                     monthly_means="-2 0 4 9 13 17 19 18 14 9 3 -1")  # fmt: skip
    pseudo = speak_pseudo(monkeypatch, tmp_path / "catalogues")

    def comments(written: Callable[[Message], str]) -> list[str]:
        made = answers.draft_house(house, tmp_path, DAY, written=written)
        lines = (made / "site.toml").read_text().splitlines()
        return [line.removeprefix("# ") for line in lines if line.startswith("#")]

    translated = comments(lambda said: render(said, pseudo))
    assert len(translated) == 5 and [outside(line) for line in translated] == [""] * 5
    english = comments(str)
    assert english[-1] == (
        "13 m3 of room, two thirds of it usable, at 650 kg/m³. The reserve is ten days of midwinter, from "
        "the yearly use."
    )
