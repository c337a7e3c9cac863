"""Folders of an older format are opened as they are, and become ones of the newest when a change is saved."""

from __future__ import annotations

import shutil
from collections.abc import MutableMapping
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import tomlkit
from pydantic import BaseModel, ConfigDict

from fuelplan import answers
from fuelplan.answers import EditError, SiteFaults
from fuelplan.messages import as_message
from fuelplan.records.folder.toml_edit import changed_text
from fuelplan.records.folder.toml_file import toml_of_text
from fuelplan.records.round import open_round
from fuelplan.records.schema.formats import ROUND_STEPS, SITE_STEPS, Step, lift, numbered
from fuelplan.records.tables import RoundFaults
from tests.round_folders import make_round
from tests.site_folders import make_site

OLD = """\
# what our grandparents wrote
format = 1
name = "House"  # ours

[bin]
holds = "4 t" # by the maker
"""


def to_two(table: MutableMapping[str, Any]) -> None:
    """Lift a made-up format 1 to a made-up 2: a table has another name, and a key in it, too."""
    if "bin" in table:
        table["store"] = table.pop("bin")
        table["store"]["capacity"] = table["store"].pop("holds")


def to_three(table: MutableMapping[str, Any]) -> None:
    """Lift a made-up 2 to a made-up 3: a name is written in small letters."""
    table["name"] = table["name"].lower()


STEPS: tuple[Step, ...] = (numbered, to_two, to_three)


class Newest(BaseModel):
    """The made-up format 3."""

    model_config = ConfigDict(extra="forbid")
    format: int
    name: str
    store: dict[str, str]


NEEDS = as_message("name")


def test_an_older_text_is_read_step_by_step() -> None:
    """All steps from its own number on are taken, in their order."""
    found, faults = toml_of_text("x.toml", OLD, Newest, steps=STEPS, needs=NEEDS)
    assert faults == []
    assert found == Newest(format=3, name="house", store={"capacity": "4 t"})
    old = OLD.replace("format = 1\n", "")
    assert toml_of_text("x.toml", old, Newest, steps=STEPS, needs=NEEDS)[0] == found
    now = OLD.replace("= 1", "= 3").replace("bin", "store").replace("holds", "capacity")
    newest, _ = toml_of_text("x.toml", now, Newest, steps=STEPS, needs=NEEDS)
    assert newest is not None
    assert newest.name == "House"  # no step is taken twice


def test_a_saved_change_writes_the_newest_format_and_keeps_the_comments() -> None:
    """The first change lifts the text; comments, order and what no step knows stay."""
    text = changed_text(OLD, {("store", "reserve"): "300 kg"}, STEPS)
    assert tomlkit.parse(text).unwrap() == {
        "format": 3,
        "name": "house",
        "store": {"capacity": "4 t", "reserve": "300 kg"},
    }
    assert "# what our grandparents wrote" in text
    assert "# ours" in text
    assert changed_text(text, {}, STEPS) == text


@pytest.mark.parametrize("number", ["", "format = 0\n"])
def test_a_house_from_before_there_were_numbers(tmp_path: Path, number: str) -> None:
    """A site folder without a number opens as it is; a change saved numbers it, every other line kept."""
    folder = make_site(tmp_path / "house")
    toml = folder / "site.toml"
    old = toml.read_text(encoding="utf-8").replace("format = 1\n", f"# mine\n{number}")
    toml.write_text(old, encoding="utf-8")
    assert answers.open_site(folder).table.format == 1
    assert toml.read_text(encoding="utf-8") == old
    reserve = answers.settings_of(folder)["store.reserve"]
    answers.change_settings(folder, old, {"store.reserve": "321 kg"})
    new = toml.read_text(encoding="utf-8")
    assert [line for line in new.splitlines() if line.startswith("format")] == ["format = 1"]
    changed = {number.strip(), f'reserve = "{reserve}"'}
    kept = [line for line in old.splitlines() if line not in changed]
    assert [line for line in new.splitlines() if line in kept] == kept
    answers.undo_change(folder, answers.last_change(folder))
    assert toml.read_text(encoding="utf-8") == old


def test_a_round_from_before_there_were_numbers(tmp_path: Path) -> None:
    """A round folder without a number opens as it is, and one of a format to come asks for an update."""
    folder = make_round(tmp_path / "round")
    toml = folder / "round.toml"
    text = toml.read_text(encoding="utf-8")
    toml.write_text(text.replace("format = 2\n", ""), encoding="utf-8")
    assert open_round(folder).table.format == 2
    toml.write_text(text.replace("format = 2", f"format = {len(ROUND_STEPS) + 1}"), encoding="utf-8")
    with pytest.raises(RoundFaults, match="Update fuelplan"):
        open_round(folder)


def as_format_1(folder: Path, *, parquet: bool) -> Path:
    """Write the round of a folder as format 1 wrote it: contracts are managed or will-call."""
    toml, csv = folder / "round.toml", folder / "customers.csv"
    toml.write_text(toml.read_text(encoding="utf-8").replace("format = 2", "format = 1"), encoding="utf-8")
    text = csv.read_text(encoding="utf-8").replace(",top-up,", ",managed,")
    csv.write_text(text.replace(",on request,", ",will-call,"), encoding="utf-8")
    assert {"managed", "will-call"} <= set(pd.read_csv(csv, dtype=str).contract)
    if parquet:
        pd.read_csv(csv, dtype=str).to_parquet(folder / "customers.parquet")
        csv.unlink()
    return folder


@pytest.mark.parametrize("parquet", [False, True], ids=["csv", "parquet"])
def test_a_round_with_the_contracts_of_format_1(tmp_path: Path, parquet: bool) -> None:
    """Who was managed is a top-up customer and who was will-call orders on request, from CSV and Parquet, and
    no file is touched.
    """
    now = open_round(make_round(tmp_path / "now")).customers
    folder = as_format_1(make_round(tmp_path / "old"), parquet=parquet)
    files = {file: file.read_bytes() for file in folder.iterdir()}
    old = open_round(folder)
    assert old.table.format == 2
    assert old.customers.top_up.tolist() == now.top_up.tolist()
    assert 0 < now.top_up.sum() < len(now)
    assert {file: file.read_bytes() for file in folder.iterdir()} == files


def test_contracts_of_both_formats_in_one_table(tmp_path: Path) -> None:
    """A table that was brought in from elsewhere may use old and new words, whatever the number."""
    change = ("customers.csv", "A1,7000,,top-up", "A1,7000,,Managed")
    folder = make_round(tmp_path / "round", changes=[change])
    mixed, now = open_round(folder).customers, open_round(make_round(tmp_path / "now")).customers
    assert mixed.top_up.tolist() == now.top_up.tolist()


@pytest.mark.parametrize("target", ["contract", "contract [J=managed; N=will-call]"])
def test_an_import_writes_the_words_of_today(tmp_path: Path, target: str) -> None:
    """Old words in a supplier's own sheet, or in what says how it is written, become those of today."""
    words = ("managed", "will-call") if target == "contract" else ("J", "N")
    file = tmp_path / "own.csv"
    rows = "".join(f"X-{i},47.2,11.4,valley,4000,{word}\n" for i, word in enumerate(words))
    file.write_text(f"customer,latitude,longitude,area,store_kg,Art\n{rows}", encoding="utf-8")
    folder = make_round(tmp_path / "round")
    look = answers.look_at_import(folder, file, "customers", {"Art": target})
    answers.take_import(look)
    lines = (folder / "customers.csv").read_text(encoding="utf-8").splitlines()[-2:]
    assert [next(word for word in ("top-up", "on request") if f",{word}," in line) for line in lines] == [
        "top-up", "on request",
    ]  # fmt: skip


def test_a_format_to_come_is_neither_opened_nor_written(tmp_path: Path) -> None:
    """The person is told to update, whether the folder is opened or a setting of it changed."""
    folder = make_site(tmp_path / "house")
    toml = folder / "site.toml"
    text = toml.read_text(encoding="utf-8").replace("format = 1", f"format = {len(SITE_STEPS) + 1}")
    toml.write_text(text, encoding="utf-8")
    with pytest.raises(SiteFaults, match="Update fuelplan"):
        answers.open_site(folder)
    with pytest.raises(EditError, match="Update fuelplan"):
        answers.change_settings(folder, text, {"store.reserve": "321 kg"})
    assert toml.read_text(encoding="utf-8") == text


def test_a_byte_order_mark_stays_before_the_text(tmp_path: Path) -> None:
    """A file from an editor that writes a byte order mark can be changed like any other."""
    folder = make_site(tmp_path / "house")
    toml = folder / "site.toml"
    plain = toml.read_bytes()
    toml.write_bytes(b"\xef\xbb\xbf" + plain)
    assert answers.settings_of(folder)["name"]
    answers.change_settings(folder, answers.site_text(folder), {"name": "Hut"})
    assert toml.read_bytes().startswith(b"\xef\xbb\xbf")
    assert answers.open_site(folder).name == "Hut"


def test_every_demo_folder_is_of_the_newest_format(tmp_path: Path) -> None:
    """What the program ships needs no step, and lifting it changes nothing."""
    demos = Path(__file__).parents[2] / "demo_sites"
    files = sorted(demos.glob("*/*.toml"))
    assert len(files) == 4
    for file in files:
        text = shutil.copy(file, tmp_path / "x.toml")
        table = tomlkit.parse(Path(text).read_text(encoding="utf-8"))
        before = table.unwrap()
        steps = ROUND_STEPS if file.name == "round.toml" else SITE_STEPS
        assert lift(table, steps) == len(steps)
        assert table.unwrap() == before
