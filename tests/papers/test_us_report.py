"""`order`, `size` and `report` with `--us`: no metric quantity is left in what a person reads."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.cli.main import main
from fuelplan.cli.size import answer_for
from fuelplan.papers.document import document_of
from fuelplan.units import Reader, written_for

HOUSE = str(Path(__file__).parents[2] / "demo_sites" / "family_house")
CELLAR = "2.1 x 2.6 x 2.2 m"
METRIC = re.compile(r"\d[\d.,]*[ \u00a0](?:kg|t|m|cm|m³|°C|K|kW|kWh)(?![\w/³²])")


def texts_of(data: object) -> list[str]:
    if isinstance(data, str):
        return [data]
    parts = data.values() if isinstance(data, dict) else data if isinstance(data, list) else []
    return [text for part in parts for text in texts_of(part)]


@pytest.fixture(scope="module")
def answer() -> answers.SizeAnswer:
    """The size answer of the demo house with a cellar, written for a person in the United States."""
    with written_for(Reader("us", "month first")):
        return answer_for(HOUSE, "2026-01-15", 1, CELLAR)


def test_the_report_is_written_in_the_readers_units(answer: answers.SizeAnswer) -> None:
    """Pounds, feet and degrees Fahrenheit, the month before the day; for everybody else as before."""
    with written_for(Reader("us", "month first")):
        us = texts_of(document_of(answer))
    metric = texts_of(document_of(answer_for(HOUSE, "2026-01-15", 1, CELLAR)))
    assert sum(bool(METRIC.search(text)) for text in metric) > 40
    assert [text for text in us if METRIC.search(text)] == []
    assert "January 15, 2026" in us and "15 January 2026" in metric
    assert any("6.9 ft x 8.5 ft x 7.2 ft" in text for text in us)


def test_the_command_writes_in_us_units_and_keeps_its_columns(capsys: pytest.CaptureFixture[str]) -> None:
    """`fuelplan size --us`: no metric quantity, and every row of the sizes as wide as its head."""
    asked = ["size", HOUSE, "--as-of", "2026-01-15", "--cellar", CELLAR, "--us"]
    with pytest.raises(SystemExit, match="0"):
        main(asked)
    said = capsys.readouterr().out
    assert METRIC.findall(said) == []
    lines = said.splitlines()
    head = next(k for k, line in enumerate(lines) if "Winters empty" in line and "Room" in line)
    rows = [line.partition(" <- ")[0] for line in lines[head + 1 : lines.index("", head)]]
    whole = [row for row in rows if "can never work" not in row]
    assert len(whole) >= 5
    assert {len(row) for row in whole} == {len(lines[head])}


def test_the_order_is_told_in_us_units_to_the_last_line(capsys: pytest.CaptureFixture[str]) -> None:
    """`fuelplan order --us --since`: the bill, the changes, the sources and the cautions, too."""
    asked = ["order", HOUSE, "--as-of", "2026-01-15", "--since", "2026-01-02"]
    with pytest.raises(SystemExit, match="0"):
        main([*asked, "--us"])
    us = capsys.readouterr().out
    assert METRIC.findall(us) == []
    assert "January 15, 2026" in us and "4,410 lb at" in us and "per short ton" in us
    with pytest.raises(SystemExit, match="0"):
        main(asked)
    assert len(METRIC.findall(capsys.readouterr().out)) > 20
