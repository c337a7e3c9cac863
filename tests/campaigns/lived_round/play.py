"""One life from its first evening to its last."""

from __future__ import annotations

import shutil
import tempfile
import time
from datetime import date
from pathlib import Path

from tests.campaigns.lived_round import driving, events, worlds
from tests.campaigns.lived_round.life import Budget, Life
from tests.campaigns.lived_round.tally import Tally
from tests.campaigns.lived_round.two_at_once import two_at_once

WORLDS = {"demo": worlds.demo_world, "made": worlds.made_world}
TWO_AT_ONCE = 0.05


def play(world: str, seed: int, days: int, budget: Budget) -> Tally:
    """Live so many working days in a round; return what was done and found."""
    tally = Tally(world, seed)
    begun = time.monotonic()
    place = Path(tempfile.mkdtemp(prefix="lived_round_"))
    try:
        folder = place / "round"
        life = Life(folder, WORLDS[world](folder, seed), tally, seed, budget)
        waiting: tuple[date, list[str], list[str]] | None = None
        for _ in range(days):
            waiting = one_day(life, waiting)
    finally:
        shutil.rmtree(place, ignore_errors=True)
    tally.seconds = time.monotonic() - begun
    return tally


def one_day(
    life: Life, before: tuple[date, list[str], list[str]] | None
) -> tuple[date, list[str], list[str]]:
    """An evening, a morning, and the road; `before` is what was forgotten the day before."""
    events.evening(life)
    plan = life.plan(publish=True)
    if plan is not None and before is not None:
        driving.forgotten(life, plan, *before)
    if life.rng.random() < TWO_AT_ONCE:
        two_at_once(life)
    if plan is not None:
        words = driving.morning(life, plan)
        if words:
            plan = driving.upset(life, plan, words) or plan
    day = driving.next_day(plan, life.as_of)
    night = life.as_of
    while night < day:
        night = night.fromordinal(night.toordinal() + 1)
        events.arrivals(life, night)
    life.sleep_until(day)
    forgot = driving.drive(life, plan, day)
    life.tally.days += 1
    life.look()
    return day, *forgot
