"""Settings are changed without losing a comment or a line; every change is taken back whole or not at all."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import EditError, FieldFaults, SiteFaults, UndoError
from fuelplan.records.folder import undo
from fuelplan.records.site import edit
from tests.site_folders import make_site
from tests.ui_pages import WRONG, copy_of

COMMENTED = """\
# My own words, first line
format = 1   # the format
name = "Test house"

[place]
country = "DE"
time_zone = "Europe/Berlin"   # where we live

[weather]
source = "file"
file = "weather.csv"
[building]
pellets_a_year = "4 t"      # counted in bags
indoor = '20 degC'
hot_water = false
# a line between
[store]
capacity = "6 t"
reserve = "300 kg" # two weeks
[[offer]]
supplier = "A"
prices = [{from = "2 t", price = "336 EUR/t"},   # small
          {from = "4 t", price = "319 EUR/t"}]
# the end
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound folder whose settings are full of comments."""
    made = make_site(tmp_path / "house", readings="date,reading,how,fuel,note\n2020-11-01,4 t,measured,,\n")
    (made / "site.toml").write_text(COMMENTED, encoding="utf-8")
    answers.open_site(made)
    return made


def change(folder: Path, **entries: str) -> int:
    """Change settings; two underscores stand for the dot."""
    text = answers.site_text(folder)
    return answers.change_settings(folder, text, {k.replace("__", "."): v for k, v in entries.items()})


def test_a_change_touches_its_own_value_and_nothing_else(folder: Path) -> None:
    """Comments, odd spacing, quotes of another kind and arrays over lines all stay as they are."""
    assert change(folder, store__reserve="450 kg", building__indoor="21 degC") == 2
    expected = COMMENTED.replace('"300 kg" # two weeks', '"450 kg" # two weeks')
    assert answers.site_text(folder) == expected.replace("'20 degC'", '"21 degC"')


def test_a_line_taken_out_and_a_line_put_in(folder: Path) -> None:
    """An empty entry takes its line out; a new one goes into its table, a new table to the end."""
    change(folder, building__indoor="", building__people="4", risk__per_order="1 in 20")
    text = answers.site_text(folder)
    assert "indoor" not in text
    site = answers.open_site(folder)
    assert (site.table.building.people, site.table.risk.per_order) == (4, 0.05)
    kept = [line for line in COMMENTED.splitlines() if "indoor" not in line]
    assert [line for line in text.splitlines() if line and line in kept] == [line for line in kept if line]


@pytest.mark.parametrize("wrong", list(WRONG))
@pytest.mark.parametrize(
    "name",
    [
        "building.pellets_a_year",
        "building.indoor",
        "building.people",
        "boiler.rated",
        "boiler.installed",
        "store.capacity",
        "store.reserve",
        "supply.lead_time",
        "supply.smallest_drop",
        "supply.price",
        "risk.per_order",
        "risk.look_again_days",
        "place.country",
    ],
)
def test_wrong_settings_are_refused_at_their_field(folder: Path, name: str, wrong: str) -> None:
    """Whatever is written: a sentence at that setting, and not one byte of the file changed."""
    with pytest.raises(FieldFaults) as problem:
        answers.change_settings(folder, COMMENTED, {name: WRONG[wrong]})
    assert set(problem.value.faults) == {name}
    assert answers.site_text(folder) == COMMENTED
    assert answers.last_change(folder) is None


def test_what_cannot_be_left_out_is_said(folder: Path) -> None:
    """The name and the reserve are needed; without a yearly use there is no answer."""
    for name in ("name", "store.reserve", "building.pellets_a_year"):
        with pytest.raises(FieldFaults) as problem:
            answers.change_settings(folder, COMMENTED, {name: ""})
        assert set(problem.value.faults) == {name}


def test_somebody_else_was_quicker(folder: Path) -> None:
    """A file changed in an editor meanwhile is not written over."""
    seen = answers.site_text(folder)
    (folder / "site.toml").write_text(COMMENTED + "# mine\n", encoding="utf-8")
    with pytest.raises(EditError, match="changed meanwhile"):
        answers.change_settings(folder, seen, {"store.reserve": "450 kg"})
    with pytest.raises(EditError, match="changed meanwhile"):
        answers.change_site_text(folder, seen, COMMENTED.replace("300", "310"))
    assert answers.site_text(folder).endswith("# mine\n")


def test_the_whole_text_is_checked_before_it_is_written(folder: Path) -> None:
    """A text with faults is refused with their lines; a sound one is written as it is."""
    with pytest.raises(SiteFaults) as problem:
        answers.change_site_text(folder, COMMENTED, COMMENTED.replace('"300 kg"', '"300 kW"'))
    assert (problem.value.faults[0].key, problem.value.faults[0].line) == (
        "store.reserve",
        COMMENTED[: COMMENTED.index("reserve")].count("\n") + 1,
    )
    with pytest.raises(SiteFaults):
        answers.change_site_text(folder, COMMENTED, "this is [no TOML")
    assert answers.site_text(folder) == COMMENTED
    better = COMMENTED.replace("# the end", "# the very end")
    answers.change_site_text(folder, COMMENTED, better)
    assert answers.site_text(folder) == better


def test_an_older_fault_elsewhere_does_not_lock_the_settings(folder: Path) -> None:
    """A faulty row of readings is no reason to refuse a sound change of a setting."""
    with (folder / "readings.csv").open("a") as stream:
        stream.write("2020-11-20,much,\n")
    assert change(folder, store__reserve="450 kg") == 1


# Undo ------------------------------------------------------------------------------------------------------


def all_bytes(folder: Path) -> dict[str, bytes]:
    """Every file that is not one of the program's own."""
    return {f.name: f.read_bytes() for f in folder.iterdir() if not f.name.startswith(".")}


def test_every_kind_of_change_is_taken_back_to_the_byte(folder: Path) -> None:
    """Reading, order, delivery, outcome and setting: taken back in turn, each file is as it was before."""
    steps = [
        lambda: answers.record_reading(folder, date(2020, 11, 20), "3.5 t", note="ü, \"x\""),
        lambda: answers.record_order(folder, date(2020, 11, 21), "2 t"),
        lambda: answers.record_delivery(folder, date(2020, 12, 1), "2.1 t", ordered_on=date(2020, 11, 21)),
        lambda: change(folder, store__reserve="450 kg"),
    ]  # fmt: skip
    seen = [all_bytes(folder)]
    for step in steps:
        step()
        seen.append(all_bytes(folder))
    for earlier in reversed(seen[:-1]):
        assert answers.undo_change(folder, answers.last_change(folder)).what
        assert all_bytes(folder) == earlier
    with pytest.raises(UndoError, match="no change"):
        answers.undo_change(folder, answers.last_change(folder))


def test_a_row_written_since_is_never_lost(folder: Path) -> None:
    """Where somebody has added a row in an editor, nothing is taken back."""
    answers.record_reading(folder, date(2020, 11, 20), "3.5 t")
    with (folder / "readings.csv").open("a") as stream:
        stream.write("2020-11-25,3.2 t,\n")
    before = all_bytes(folder)
    with pytest.raises(UndoError, match="changed since"):
        answers.undo_change(folder, answers.last_change(folder))
    assert all_bytes(folder) == before


def test_a_change_that_never_reached_the_file_is_passed_over(folder: Path) -> None:
    """After a crash between remembering and writing, the change before it is the last one."""
    answers.record_reading(folder, date(2020, 11, 20), "3.5 t")
    text = (folder / "readings.csv").read_bytes().decode()
    kept = folder / undo.UNDO_FILE
    entries = json.loads(kept.read_text())
    kept.write_text(
        json.dumps([*entries, {**entries[-1], "what": "never", "before": text, "after_mark": "x"}])
    )
    change_seen = answers.last_change(folder)
    assert change_seen is not None and str(change_seen.what) != "never"
    answers.undo_change(folder, answers.last_change(folder))
    assert "2020-11-20" not in (folder / "readings.csv").read_text()


@pytest.mark.parametrize("file", ["../site.toml", ".fuelplan.lock", "/etc/hosts"])
def test_a_tampered_memory_reaches_no_other_file(folder: Path, file: str) -> None:
    """What is remembered of files outside the folder counts as nothing."""
    entry = {"what": "x", "when": "", "file": file, "before": "gone", "after_mark": "x"}
    (folder / undo.UNDO_FILE).write_text(json.dumps([entry]))
    assert answers.last_change(folder) is None


def test_memory_is_bounded(folder: Path) -> None:
    """The last twenty changes are kept, and no more than two million characters of them."""
    for day in range(1, 26):
        edit.house_books(folder).append(
            "readings", [{"date": f"2020-12-{day:02d}", "reading": "3 t", "note": "x" * 900}]
        )
    entries = json.loads((folder / undo.UNDO_FILE).read_text())
    assert len(entries) == undo.MOST_CHANGES
    (folder / "readings.csv").write_text("date,reading,note\n" + f"2020-11-01,3 t,{'x' * 9000}\n" * 200)
    edit.house_books(folder).append("readings", [{"date": "2020-12-30", "reading": "3 t"}])
    edit.house_books(folder).append("readings", [{"date": "2020-12-31", "reading": "3 t"}])
    entries = json.loads((folder / undo.UNDO_FILE).read_text())
    assert sum(len(e["before"]) for e in entries) <= undo.MOST_CHARACTERS
    assert answers.last_change(folder) is not None


def test_demo_settings_are_all_offered(tmp_path: Path) -> None:
    """What the demo house's file says is shown as it stands there."""
    found = answers.settings_of(copy_of("family_house", tmp_path / "house"))
    assert found["store.reserve"] == "350 kg"
    assert found["building.people"] == "4"
    assert found["supply.price"] == ""
    assert "store.capacity" not in found
