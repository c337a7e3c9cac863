"""The small round planned with a small budget, for tests of the run plan and of the lists beside it."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from fuelplan import answers
from fuelplan.answers import Round, RunsAnswer
from tests.round_folders import make_round

ORDERS_HEAD = "order,customer,kg,class,from,to,price_per_t,credit_stop,call_ahead,already_empty,split_with\n"
TODAY = date(2026, 1, 12)
MOVES = 1500


def planned(folder: Path, **given: Any) -> tuple[Round, RunsAnswer]:
    """Open a round and plan it with a small budget."""
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    return round_, answers.runs(round_, weather, TODAY, **{"moves": MOVES, "days": 8, **given})


def stops(answer: RunsAnswer) -> list[tuple[date, str, str, float]]:
    """Return (day, tanker, customer, kg) of every stop."""
    return [(r.day, r.tanker, s.customer, s.kg) for r in answer.runs for s in r.stops]


@cache
def usual(place: Path) -> tuple[Round, RunsAnswer]:
    """Plan the small round once."""
    return planned(make_round(place / "usual"))
