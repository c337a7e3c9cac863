"""What of heating with logs cannot be is told by `check`, at its key and with what to write instead."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.messages import as_text

FARM = Path(__file__).parents[2] / "demo_sites" / "farmhouse"
DAY = date(2026, 1, 15)


def farm(folder: Path, *changes: tuple[str, str]) -> Path:
    """The farmhouse with changes of its settings."""
    shutil.copytree(FARM, folder)
    text = (folder / "site.toml").read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    (folder / "site.toml").write_text(text)
    return folder


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ('load = "24 kg"', 'load = "70 kg"', "logs.load", "more than the rated 25 kW; write a longer"),
        ('load = "24 kg"', 'load = "0 kg"', "logs.load", "must be more than 0"),
        ('burn = "5 h"', 'burn = "0 h"', "logs.burn", "must be more than 0"),
        ('burn = "5 h"', 'burn = "5 h"\nchamber = "20 litre"', "logs.load", "more than the chamber of 20 l"),
        ('water = "18 % wet"\nload', 'water = "61 % wet"\nload', "logs.water", "more than green wood holds"),
        ("last_swept = 2025-11-20", "last_swept = 2026-01-16", "upkeep.last_swept", "has not come yet"),
        ("ash_emptied = 2026-01-06", "ash_emptied = 2026-02-01", "upkeep.ash_emptied", "has not come yet"),
        ("store_cleaned = 2024-06-02", "store_cleaned = 2026-06-02", "upkeep.store_cleaned", "not come yet"),
    ],
)
def test_what_cannot_be_is_a_fault(tmp_path: Path, old: str, new: str, key: str, words: str) -> None:
    """One fault, at the key that is to be changed."""
    faults = answers.check_folder(farm(tmp_path / "a", (old, new)), DAY)[1]
    assert [f.key for f in faults] == [key], faults
    assert words in faults[0].message


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ('"2000 litre"', '"50 litre"', "buffer.volume", "not even half a load fits"),
        ('burn = "5 h"', 'burn = "5 h"\nchamber = "40 litre"', "logs.load", "fill about 48 l when stacked"),
        ('water = "18 % wet"\nload', 'water = "30 % wet"\nload', "logs.water", "tar that can end in a"),
    ],
)
def test_what_is_odd_is_a_warning(tmp_path: Path, old: str, new: str, key: str, words: str) -> None:
    """The folder is used all the same."""
    site = answers.open_site(farm(tmp_path / "a", (old, new)))
    warned = answers.check_plausible(site)
    assert [(f.key, f.warning) for f in warned] == [(key, True)]
    assert words in warned[0].message


def test_the_demo_farmhouse_is_plausible() -> None:
    """None of these is said of a sound house."""
    assert answers.check_plausible(answers.open_site(FARM)) == []


def test_a_buffer_too_small_is_the_reason_told(tmp_path: Path) -> None:
    """"No logs were loaded" comes with why."""
    said = loading(farm(tmp_path / "a", ('"2000 litre"', '"50 litre"')))
    assert "No logs were loaded" in said and "not even half a load fits" in said


def test_burning_wet_logs_is_never_a_saving(tmp_path: Path) -> None:
    """Who burns logs of 45 % water is told what they do, not what they save."""
    said = loading(farm(tmp_path / "a", ('water = "18 % wet"\nload', 'water = "45 % wet"\nload')))
    assert "chimney fire" in said and "saves" not in said


def loading(folder: Path) -> str:
    """What the order answer says about loading."""
    found = ask(folder, DAY)
    assert found.logs is not None
    return as_text(found.logs.loading)


def ask(folder: Path, as_of: date) -> answers.OrderAnswer:
    """The answer for a folder."""
    site = answers.open_site(folder)
    return answers.order(site, answers.weather_for(site, as_of), as_of)


def test_a_day_before_the_last_sweeping_is_answered(tmp_path: Path) -> None:
    """Asked as on a day before chimney, ash box and store were done, nobody knows of it yet."""
    folder = farm(tmp_path / "a", ("last_swept = 2025-11-20", "last_swept = 2026-01-10"))
    found = ask(folder, date(2026, 1, 4))
    assert {e.kind for e in found.upkeep} >= {"ash", "sweeping"}


def test_ash_is_that_of_logs_with_bark() -> None:
    """Logs leave 1.5 % of ash with their bark (common practice): the box of 45 l, emptied on 6 January, is
    full before the middle of February where half a percent would last into March.
    """
    ash = next(e for e in ask(FARM, DAY).upkeep if e.kind == "ash")
    assert date(2026, 1, 20) < ash.day < date(2026, 2, 15)
