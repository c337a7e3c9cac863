"""One life: a folder, its truth, and the steps that people take with the program, each looked at."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from tests.campaigns.lived_round import program, tables
from tests.campaigns.lived_round.ledger import Ledger
from tests.campaigns.lived_round.tables import Row, iso
from tests.campaigns.lived_round.tally import Tally
from tests.campaigns.lived_round.truth import Truth
from tests.campaigns.lived_round.worlds import HEADS
from tests.plan_checker import RULES, check

Plan = dict[str, Any]
PUBLISHED_DAYS = 2


@dataclass
class Budget:
    """How much a plan may cost: moves of the search, and working days looked ahead."""

    moves: int = 400
    days: int = 5


class Life:
    """A supplier's days with one folder."""

    def __init__(self, folder: Path, truth: Truth, tally: Tally, seed: int, budget: Budget) -> None:
        self.folder, self.truth, self.tally, self.budget = folder, truth, tally, budget
        self.rng = random.Random(f"life {tally.world} {seed}")
        self.ledger = Ledger()
        self.as_of = truth.day
        self.numbers = 0
        self.put_back: Row | None = None

    # what a person writes

    def rows(self, file: str) -> list[Row]:
        """Return the rows of a table."""
        return tables.read(self.folder / f"{file}.csv")[1]

    def enter(self, file: str, row: Row) -> None:
        """Add a row by hand."""
        tables.add(self.folder / f"{file}.csv", row, HEADS[file].split(",") if file in HEADS else list(row))
        self.ledger.entered(file, row)
        self.tally.entries[file] += 1

    def change(self, file: str, who: str, column: str, value: str) -> None:
        """Write over a cell by hand."""
        key = {"orders": "order", "customers": "customer"}[file]
        tables.set_cell(self.folder / f"{file}.csv", key, who, column, value)
        self.ledger.changed(file, who, column, value)
        self.tally.entries[f"{file}: {column}"] += 1

    def take_out(self, file: str, column: str, value: str) -> None:
        """Delete rows by hand."""
        tables.drop(self.folder / f"{file}.csv", column, value)
        self.ledger.taken_out(file, column, value)

    def edit_round(self, change: Callable[[Any], None]) -> None:
        """Change `round.toml` by hand."""
        document = tables.read_toml(self.folder / "round.toml")
        change(document)
        tables.write_toml(self.folder / "round.toml", document)

    def number(self, letter: str) -> str:
        """Return a new number for an order or a customer."""
        self.numbers += 1
        return f"{letter}{self.numbers:03d}"

    # what the program is asked

    def plan(self, *more: str, publish: bool = False) -> Plan | None:
        """Ask for a plan, hold it against the folder, and publish its first days if asked to."""
        before = (
            (self.folder / "published.csv").read_bytes() if (self.folder / "published.csv").exists() else None
        )
        words = [*more, *(("--publish", str(PUBLISHED_DAYS)) if publish else ())]
        seed = self.rng.randrange(1, 1000)
        said = program.called(
            *program.plan_command(self.folder, self.as_of, self.budget.moves, self.budget.days, seed, *words)
        )
        self.tally.steps += 1
        if said.status != 0:
            kind = "traceback" if said.status == -1 else "refused"
            self.tally.wrong(kind, f"{iso(self.as_of)} runs {' '.join(words)}: {said.words[-300:]}")
            if self.put_back is not None:  # a person who is refused puts back what was deleted last
                self.enter("customers", self.put_back)
                self.put_back = None
            return None
        plan = said.document
        self.tally.plans += 1
        self.tally.stops += sum(len(r["stops"]) for r in plan["runs"])
        outlook = program.called(
            "outlook",
            str(self.folder),
            "--as-of",
            iso(self.as_of),
            "--json",
            "--days",
            "30",
            "--seed",
            str(seed),
        )
        self._checked(plan, outlook.document or None, before)
        if publish:
            self._published(plan)
        self.look()
        return plan

    def _checked(self, plan: Plan, outlook: Plan | None, before: bytes | None) -> None:
        """Hold a plan against the folder as it was when the plan was made."""
        beside = self.folder.with_name(f"{self.folder.name}_seen")
        shutil.rmtree(beside, ignore_errors=True)
        beside.mkdir()
        for file in self.folder.iterdir():
            if file.suffix in (".csv", ".toml") and not file.name.startswith(("weather", ".")):
                shutil.copy(file, beside / file.name)
        if before is None:
            (beside / "published.csv").unlink(missing_ok=True)
        else:
            (beside / "published.csv").write_bytes(before)
        self.tally.checks.update(RULES.keys())
        for breach in check(beside, plan, outlook):
            if breach.said:
                self.tally.said += 1
            else:
                self.tally.wrong(breach.rule, f"as of {iso(self.as_of)}, {breach}")
        wanted = len(self.rows("wishes")) + len(self.rows("happenings"))
        self.tally.checks["noted"] += 1
        if len(plan.get("noted", ())) != wanted:
            self.tally.wrong("noted", f"{len(plan['noted'])} notes are listed, the folder has {wanted}")

    def _published(self, plan: Plan) -> None:
        """What was published stands in the folder, stop for stop."""
        days = set(plan["days"][:PUBLISHED_DAYS])
        wanted = {
            (r["date"], r["tanker"], s["customer"], s["product"], s["kg"])
            for r in plan["runs"] if r["date"] in days for s in r["stops"]
        }  # fmt: skip
        found = {
            (r["date"], r["tanker"], r["customer"], r["class"], round(float(r["kg"])))
            for r in self.rows("published") if r["date"] in days
        }  # fmt: skip
        self.tally.checks["published"] += 1
        if wanted != found or plan["published_stops"] != len(wanted):
            text = f"{plan['published_stops']} stops said, {len(wanted)} planned, {len(found)} in the folder"
            self.tally.wrong("published stops lost", text)
        for text in self.ledger.published(self.folder, plan, self.as_of):
            self.tally.wrong("told stops lost", text)

    def look(self) -> None:
        """Nothing that was entered is lost."""
        self.tally.checks["entries"] += len(self.ledger.rows) + len(self.ledger.cells)
        for text in self.ledger.lost(self.folder):
            self.tally.wrong("entries lost", text)

    # what goes by

    def sleep_until(self, day: date) -> None:
        """Let the days up to and with `day` go by, and write their weather down."""
        while self.truth.day < day:
            mean_c = self.truth.next_day()
            for area, value in mean_c.items():
                name = "weather.csv" if (self.folder / "weather.csv").exists() else f"weather_{area}.csv"
                tables.add(self.folder / name, {"date": iso(self.truth.day), "mean_c": str(value)}, [])
            top_up = {r["customer"] for r in self.rows("customers") if r["contract"] == "top-up"}
            self.tally.house_days += len(top_up)
            self.tally.empty_days += sum(self.truth.houses[m].level_kg <= 0 for m in top_up)
        self.as_of = day

    def tomorrow(self) -> date:
        """Return the next calendar day."""
        return self.as_of + timedelta(days=1)
