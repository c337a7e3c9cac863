"""The demo round, opened once for all tests that ask something of it."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

from fuelplan import answers

FOLDER = Path(__file__).parent.parent / "demo_sites" / "round_quellmark"
AS_OF = date(2026, 1, 15)
ROUND = answers.open_round(FOLDER)
WEATHER = answers.weather_for_round(ROUND)


@cache
def believed() -> answers.Beliefs:
    """What is believed on the demo's own day, 90 days ahead."""
    return answers.believe(ROUND, WEATHER, AS_OF, 1, 90)
