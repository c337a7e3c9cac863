"""Two people at work on one folder at once; on a copy, so that a life stays the same whoever wins."""

from __future__ import annotations

import shutil

from tests.campaigns.lived_round import program, tables
from tests.campaigns.lived_round.life import PUBLISHED_DAYS, Life
from tests.campaigns.lived_round.program import Said
from tests.campaigns.lived_round.tables import iso
from tests.plan_checker import check

REFUSED = 2


def two_at_once(life: Life) -> None:
    """Two publish, a third notes a word meanwhile: whoever was told that it was done finds it done."""
    copy = life.folder.with_name(f"{life.folder.name}_two")
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(life.folder, copy)
    day = life.tomorrow()
    while day.weekday() > 4:
        day = day.fromordinal(day.toordinal() + 1)
    name = life.rng.choice([r["customer"] for r in life.rows("customers") if r["contract"] == "top-up"])
    publish = ("--publish", str(PUBLISHED_DAYS))
    seeds = life.rng.sample(range(1, 1000), 2)
    commands = [
        program.plan_command(copy, life.as_of, life.budget.moves, 3, seeds[0], *publish),
        program.plan_command(copy, life.as_of, 2 * life.budget.moves, 3, seeds[1], *publish),
        program.plan_command(copy, life.as_of, 50, 1, 1, "--forbid", f"{name}:{iso(day)}"),
    ]
    started = [program.begun(*command) for command in commands]
    first, second, word = (program.ended(process) for process in started)
    life.tally.steps += 1
    life.tally.checks["two at once"] += 1
    for said in (first, second, word):
        if said.status not in (0, REFUSED) or (said.status == REFUSED and "error" not in said.document):
            life.tally.wrong("two at once", f"status {said.status}: {said.words[-200:]}")
    wishes = tables.read(copy / "wishes.csv")[1]
    noted = any(w["customer"] == name and w["date"] == iso(day) for w in wishes)
    if word.status == 0 and not noted:
        life.tally.wrong("two at once", f"forbid {name} was noted, and is gone")
    _stops(life, [s for s in (first, second) if s.status == 0], copy)
    after = program.called(*program.plan_command(copy, life.as_of, life.budget.moves, 3, 1))
    if after.status == 0:
        for breach in check(copy, after.document):
            if not breach.said and breach.rule in ("wish", "published"):
                life.tally.wrong("two at once", f"afterwards {breach}")


def _stops(life: Life, done: list[Said], copy: object) -> None:
    """Whoever published finds his stops in the folder, or named among the changes of the other."""
    from pathlib import Path

    rows = tables.read(Path(str(copy)) / "published.csv")[1]
    there = {(r["date"], r["tanker"], r["customer"]) for r in rows}
    for said in done:
        days = set(said.document["days"][:PUBLISHED_DAYS])
        mine = {
            (r["date"], r["tanker"], s["customer"])
            for r in said.document["runs"] if r["date"] in days for s in r["stops"]
        }  # fmt: skip
        others = [text for other in done if other is not said for text in other.document["changes"]]
        gone = [stop for stop in sorted(mine - there) if not any(stop[2] in text for text in others)]
        if gone:
            count = said.document["published_stops"]
            life.tally.wrong(
                "two at once", f"published {count} stops, {len(gone)} of them are gone, such as {gone[0]}"
            )
