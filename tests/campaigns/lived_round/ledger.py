"""What was entered and what was published, held against the folder after every step."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from tests.campaigns.lived_round import tables
from tests.campaigns.lived_round.tables import Row

Key = tuple[str, str, str]
KEYS = {"orders": "order", "customers": "customer"}


@dataclass
class Ledger:
    """Every entry that a person made and did not take back, and every stop that was told."""

    rows: list[tuple[str, Row]] = field(default_factory=list)
    cells: dict[tuple[str, str, str], str] = field(default_factory=dict)
    closed: set[str] = field(default_factory=set)
    told: dict[Key, Row] = field(default_factory=dict)

    def entered(self, file: str, row: Row) -> None:
        """A row was added."""
        self.rows.append((file, {k: v for k, v in row.items() if v}))

    def changed(self, file: str, who: str, column: str, value: str) -> None:
        """A cell was written over."""
        self.cells[file, who, column] = value
        for name, row in self.rows:
            if name == file and row.get(KEYS[file]) == who:
                row.pop(column, None)

    def taken_out(self, file: str, column: str, value: str) -> None:
        """A person took rows out."""
        self.rows = [(f, r) for f, r in self.rows if f != file or r.get(column) != value]
        self.cells = {k: v for k, v in self.cells.items() if k[:2] != (file, value)}

    def lost(self, folder: Path) -> list[str]:
        """Return the entries that are no longer in the folder as they were made."""
        out = []
        files = {file: tables.read(folder / f"{file}.csv")[1] for file in {*(f for f, _ in self.rows), *KEYS}}
        for file, row in self.rows:
            if not any(all(_same(there.get(k, ""), v) for k, v in row.items()) for there in files[file]):
                out.append(f"{file}.csv has lost {row}")
        for (file, who, column), value in self.cells.items():
            found = [r.get(column, "") for r in files[file] if r[KEYS[file]] == who]
            if found != [value]:
                out.append(f"{file}.csv: {column} of {who} is {found}, was set to {value!r}")
        closed = {str(d) for d in tables.read_toml(folder / "round.toml").get("rules", {}).get("closed", ())}
        out += [f"round.toml has lost the closed day {d}" for d in sorted(self.closed - closed)]
        return out

    def published(self, folder: Path, plan: dict[str, Any], as_of: date) -> list[str]:
        """Take over what `published.csv` says now; return what was told before and is gone or other without a
        word in the plan that was published.
        """
        now = {_key(r): r for r in tables.read(folder / "published.csv")[1]}
        said = [*plan.get("changes", ()), *(n["customer"] for n in plan.get("not_served", ()))]
        out = []
        for key, before in self.told.items():
            row = now.get(key)
            past = date.fromisoformat(key[0]) <= as_of
            if row is None:
                if past or not any(key[1] in text for text in said):
                    out.append(f"the stop told to {key[1]} for {key[0]} is gone from published.csv")
            elif past or not any(key[1] in text for text in said):
                out += [
                    f"{key[1]} on {key[0]}: {name} was told as {before[name]}, now {row[name]}"
                    for name in ("tanker", "kg", "told_from", "told_to", *(("arrive",) if past else ()))
                    if name in before and not _same(row.get(name, ""), before[name])
                ]
        self.told = now
        return out


def _key(row: Row) -> Key:
    return row["date"], row["customer"], row["class"]


def _same(a: str, b: str) -> bool:
    """Tell whether two cells say the same: as text or as numbers."""
    if a.strip() == b.strip():
        return True
    try:
        return abs(float(a) - float(b)) < 1e-6
    except ValueError:
        return False
