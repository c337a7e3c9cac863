"""`fuelplan note`: a look or a delivery becomes a line of the folder, and is taken back."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from fuelplan.cli import main

FARM = Path(__file__).parents[2] / "demo_sites" / "farmhouse"


def note(folder: Path, *given: str) -> int:
    """Run the verb and return its exit status."""
    with pytest.raises(SystemExit) as left:
        main(["note", str(folder), *given])
    return int(left.value.code or 0)


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """The farmhouse with its two stacks."""
    shutil.copytree(FARM, tmp_path / "farm")
    return tmp_path / "farm"


@pytest.mark.parametrize(
    ("given", "file", "row"),
    [
        (("4 stacked m3", "--stack", "south wall"), "readings.csv", "4 stacked m3,,logs,,south wall"),
        (
            ("900 kg", "--fuel", "logs", "--stack", "behind the barn", "--water", "17 % wet"),
            "readings.csv",
            "900 kg,,logs,,behind the barn,17 % wet",
        ),
        (("2.1 t", "--how", "measured"), "readings.csv", "2.1 t,measured,pellets,,"),
        (
            ("6 stacked m3", "--came", "--stack", "behind the barn", "--wood", "spruce", "--water", "green"),
            "deliveries.csv",
            "6 stacked m3,yes,no,delivered,,behind the barn,spruce,green",
        ),
    ],
)
def test_what_is_noted_is_a_line_and_can_be_taken_back(
    farm: Path, given: tuple[str, ...], file: str, row: str
) -> None:
    """Logs of a stack, logs by weight, pellets, logs that came; --undo leaves the file as it was."""
    before = (farm / file).read_text()
    assert note(farm, *given, "--on", "2026-01-15") == 0
    assert (farm / file).read_text().splitlines()[-1].endswith(row)
    assert note(farm, "--undo") == 0
    assert (farm / file).read_text() == before


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ((), "write an amount"),
        (("4 stacked m3", "--fuel", "logs"), "which stack was counted"),
        (("4 stacked m3",), "not in cubic metres of stacked wood"),
        (("4 stacked m3", "--stack", "shed"), '"shed" is not the name of a stack'),
        (("4 stacked m3", "--came", "--stack", "south wall"), "how wet"),
        (("4 stacked m3", "--stack", "south wall", "--wood", "oak"), "leave --wood out"),
        (("2 t", "--came", "--how", "by eye"), "--how is of a look"),
    ],
)
def test_what_leaves_something_open_is_asked_back(
    farm: Path, capsys: pytest.CaptureFixture[str], given: tuple[str, ...], says: str
) -> None:
    """Nothing is written, and the sentence says what is missing."""
    before = [(farm / f).read_text() for f in ("readings.csv", "deliveries.csv")]
    assert note(farm, *given) == 2
    assert says in capsys.readouterr().err
    assert [(farm / f).read_text() for f in ("readings.csv", "deliveries.csv")] == before


def test_the_document_tells_the_line(farm: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--json gives the message as every document does."""
    assert note(farm, "4 stacked m3", "--stack", "south wall", "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["schema"] == 2 and "south wall was added to readings.csv" in found["noted"]["text"]


def test_the_buffer_is_noted_and_taken_back(farm: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three temperatures with their time become settings; `order` tells of tonight; --undo leaves none."""
    before = (farm / "site.toml").read_text()
    assert note(farm, "79 78 76", "--buffer", "--at", "20:00", "--on", "2026-01-15") == 0
    assert "the buffer at 79, 78, 76 °C on 2026-01-15, 20:00" in capsys.readouterr().out.replace("\n", " ")
    with pytest.raises(SystemExit):
        main(["order", str(farm), "--as-of", "2026-01-15"])
    shown = capsys.readouterr().out
    assert "Tonight:" in shown and "16 January, 17:00" in shown
    assert note(farm, "--undo") == 0
    assert (farm / "site.toml").read_text() == before


@pytest.mark.parametrize(
    "given", [("66 58", "--buffer", "--stack", "south wall"), ("2.1 t", "--at", "18:00")]
)
def test_what_does_not_go_with_the_buffer_is_refused(farm: Path, given: tuple[str, ...]) -> None:
    """Nothing that is given stays without effect."""
    before = (farm / "site.toml").read_text()
    assert note(farm, *given) != 0
    assert (farm / "site.toml").read_text() == before
