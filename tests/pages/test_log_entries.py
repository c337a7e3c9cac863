"""The page's entries about logs: a stack counted, logs that came; each becomes a line of its stack."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.heat.fuels import MoistureWet
from tests.page_texts import common as texts
from tests.ui_pages import click, field_faults, opened, words

FARM = Path(__file__).parents[2] / "demo_sites" / "farmhouse"


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """The farmhouse as a house of one's own."""
    shutil.copytree(FARM, tmp_path / "farm")
    return tmp_path / "farm"


def test_a_stack_is_counted(farm: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Logs, the barn, 9 m³ at 17 %: a row of that stack, and the answer counts it from then on."""
    page = opened("when_to_order", farm, monkeypatch)
    page.segmented_control(key="record-fuel-0").set_value("logs").run()
    assert list(page.selectbox(key="record-stack-0").options) == ["south wall", "behind the barn"]
    page.selectbox(key="record-stack-0").set_value("behind the barn")
    page.text_input(key="record-counted-0").set_value("9 stacked m3")
    page.text_input(key="record-measured-water-0").set_value("17 % wet")
    click(page, texts.SAVE)
    row = answers.open_site(farm).readings[-1]
    assert (row.fuel, row.said, row.stack, row.water) == (
        "logs", "9 stacked m3", "behind the barn", MoistureWet(0.17),
    )  # fmt: skip
    assert "behind the barn, 9 m³ of stacked beech: dry enough" in words(page)


def test_logs_by_weight_are_no_pellets(farm: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """900 kg of logs are a count of a stack, not a level of the pellet store."""
    page = opened("when_to_order", farm, monkeypatch)
    page.segmented_control(key="record-fuel-0").set_value("logs").run()
    page.text_input(key="record-counted-0").set_value("900 kg")
    click(page, texts.SAVE)
    row = answers.open_site(farm).readings[-1]
    assert (row.fuel, row.said, row.stack) == ("logs", "900 kg", "south wall")


def test_logs_that_came_say_their_wood_and_their_water(
    farm: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without its water a delivery is asked back at the form; green spruce then lies in its stack, wet."""
    page = opened("when_to_order", farm, monkeypatch)
    page.segmented_control(key="record-kind-0").set_value("delivery").run()
    page.segmented_control(key="record-fuel-0").set_value("logs").run()
    page.selectbox(key="record-stack-0").set_value("behind the barn")
    page.text_input(key="record-logs-came-0").set_value("6 stacked m3")
    page.selectbox(key="record-logs-wood-0").set_value("spruce")
    click(page, texts.SAVE)
    assert ["how wet" in fault for fault in field_faults(page)] == [True]
    page.text_input(key="record-logs-water-0").set_value("green")
    click(page, texts.SAVE)
    row = answers.open_site(farm).deliveries[-1]
    assert (row.fuel, row.stack, row.wood, row.water) == ("logs", "behind the barn", "spruce", "green")
    assert "6 m³ of stacked spruce: do not burn them yet. Wet logs leave tar" in words(page)


def test_the_buffer_is_read(farm: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three temperatures and a time: the page then tells what may be loaded and when a full load fits."""
    page = opened("when_to_order", farm, monkeypatch)
    assert "Tonight" not in [heading.value for heading in page.subheader]
    page.segmented_control(key="record-kind-0").set_value("buffer").run()
    page.text_input(key="record-buffer-shows-0").set_value("50 58 66")
    click(page, texts.SAVE)
    assert ["put the hottest, the top, first" in fault for fault in field_faults(page)] == [True]
    page.text_input(key="record-buffer-shows-0").set_value("79 78 76")
    page.text_input(key="record-buffer-at-0").set_value("20:00")
    click(page, texts.SAVE)
    assert answers.open_site(farm).table.buffer.now_c == (79.0, 78.0, 76.0)
    assert "Tonight" in [heading.value for heading in page.subheader]
    assert "16 January, 17:00" in words(page)


def test_a_house_without_logs_is_not_asked_for_a_fuel(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One fuel, one form."""
    shutil.copytree(FARM.parent / "family_house", tmp_path / "house")
    page = opened("when_to_order", tmp_path / "house", monkeypatch)
    keys = [w.key for w in page.get("button_group")]
    assert "record-kind-0" in keys and "record-fuel-0" not in keys
