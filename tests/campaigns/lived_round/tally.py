"""What a life of a round did and what it found."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

SHOWN = 1


@dataclass
class Tally:
    """Counts of one life, or of many together."""

    world: str
    seed: int = 0
    days: int = 0
    steps: int = 0
    plans: int = 0
    stops: int = 0
    seconds: float = 0.0
    entries: Counter[str] = field(default_factory=Counter)
    checks: Counter[str] = field(default_factory=Counter)
    violations: Counter[str] = field(default_factory=Counter)
    samples: dict[str, str] = field(default_factory=dict)
    empty_days: int = 0
    house_days: int = 0
    said: int = 0

    def wrong(self, kind: str, text: str) -> None:
        """Note a violation."""
        self.violations[kind] += 1
        self.samples.setdefault(kind, f"{self.world} seed {self.seed}: {text}")

    def add(self, other: Tally) -> None:
        """Add what another life did."""
        for name in ("days", "steps", "plans", "stops", "empty_days", "house_days", "said"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.seconds += other.seconds
        for name in ("entries", "checks", "violations"):
            getattr(self, name).update(getattr(other, name))
        for kind, text in other.samples.items():
            self.samples.setdefault(kind, text)

    def line(self) -> str:
        """Return one line for one life."""
        found = ", ".join(f"{n} {k}" for k, n in sorted(self.violations.items())) or "nothing"
        return (
            f"{self.world:<5} seed {self.seed:>3}: {self.days} days, {self.steps} steps, {self.plans} plans, "
            f"{self.stops} stops; found {found} ({self.seconds:.0f} s)"
        )

    def to_json(self) -> dict[str, Any]:
        """Return everything as a document."""
        return {k: dict(v) if isinstance(v, Counter) else v for k, v in vars(self).items()}


def table(tallies: list[Tally]) -> str:
    """Return the table of all lives, by world and in all, as Markdown."""
    worlds: dict[str, Tally] = {}
    counts: Counter[str] = Counter()
    for t in tallies:
        worlds.setdefault(t.world, Tally(t.world)).add(t)
        counts[t.world] += 1
    whole = Tally("all")
    for t in worlds.values():
        whole.add(t)
    columns = [*worlds.values(), whole]
    counts["all"] = sum(counts.values())
    lines = ["| | " + " | ".join(t.world for t in columns) + " |", "|---" * (len(columns) + 1) + "|"]

    def row(name: str, cells: list[object]) -> None:
        lines.append(f"| {name} | " + " | ".join(str(c) for c in cells) + " |")

    row("lives", [counts[t.world] for t in columns])
    for name in ("days", "steps", "plans", "stops"):
        row(name, [f"{getattr(t, name):,}" for t in columns])
    row("entries made", [f"{sum(t.entries.values()):,}" for t in columns])
    row("rules looked at", [f"{sum(t.checks.values()):,}" for t in columns])
    row("broken and said by the plan itself", [t.said for t in columns])
    row(
        "days a top-up store was empty, of house-days",
        [f"{t.empty_days} of {t.house_days:,}" for t in columns],
    )
    row("**violations**", [f"**{sum(t.violations.values())}**" for t in columns])
    for kind in sorted(whole.violations):
        row(kind, [t.violations[kind] for t in columns])
    lines += ["", *(f"- {kind}: {text}" for kind, text in sorted(whole.samples.items()))]
    lines += ["", "entries: " + ", ".join(f"{k} {n}" for k, n in sorted(whole.entries.items()))]
    return "\n".join(lines)
