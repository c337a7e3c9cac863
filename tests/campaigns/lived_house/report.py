"""The table at the end: what was lived, what was checked, what was wrong, what was only counted."""

from __future__ import annotations

from collections import Counter
from dataclasses import asdict, dataclass
from typing import Any

from tests.campaigns.lived_house.bounds import binomial_bounds
from tests.campaigns.lived_house.checks import TITLES
from tests.campaigns.lived_house.life import Counted, Life, live

SAMPLES = 3


@dataclass(frozen=True)
class Lived:
    """What is left of one life: plain values, so that it can cross from one process to another."""

    seed: int
    days: int
    what: str
    made: dict[str, int]
    wrong: list[tuple[str, str, str, str]]
    counted: dict[str, int]
    moved_why: list[str]


def lived(life: Life, days: int) -> Lived:
    """Return what is kept of a life."""
    world, person = life.world, life.person
    what = (
        f"{world.store.form}, holds {world.store.holds_kg / 1000:.1f} t, "
        f"looks every {person.every_days} days, {'with' if world.had_notes else 'without'} notes from before"
    )
    wrong = [(v.kind, v.day.isoformat(), v.text, v.why) for v in life.found.wrong]
    return Lived(life.seed, days, what, life.found.made, wrong, asdict(life.counted), life.moved_why)


def one_life(task: tuple[int, int]) -> Lived:
    """Live one seed for so many days."""
    seed, days = task
    return lived(live(seed, days), days)


def line_of(one: Lived) -> str:
    """Return a few words on one life."""
    kinds = Counter(kind for kind, *_ in one.wrong)
    said = ", ".join(f"{n} × {kind}" for kind, n in kinds.most_common()) or "nothing wrong"
    return f"seed {one.seed}: {one.what}; {one.counted['asks']} asks, {sum(one.made.values())} checks: {said}"


def document(lives: list[Lived]) -> dict[str, Any]:
    """Return the whole result as plain values."""
    total = Counted()
    for one in lives:
        for name, value in one.counted.items():
            setattr(total, name, getattr(total, name) + value)
    made, wrong = Counter[str](), Counter[str]()
    for one in lives:
        made.update(one.made)
        wrong.update(kind for kind, *_ in one.wrong)
    looked = made["faces differ"]
    return {
        "seeds": len(lives),
        "days": sum(one.days for one in lives),
        "counted": asdict(total),
        "checks": {kind: made[kind] for kind in TITLES},
        "violations": {kind: wrong[kind] for kind in TITLES},
        "jumps_by_why": dict(
            Counter(w for one in lives for k, _, _, w in one.wrong if k == "order-by date jumps")
        ),
        "moved_between_asks": _share(total.moved_again, total.asked_again),
        "moved_by_why": dict(Counter(why for one in lives for why in one.moved_why)),
        "band": _share(total.inside, looked),
        "below_band": _share(total.below, looked),
        "orders_below_reserve": _share(total.late_orders, total.orders),
        "empty_stores_per_order": _share(total.empty, total.orders),
        "samples": {kind: _samples(lives, kind) for kind in TITLES if wrong[kind]},
        "lives": [asdict(one) for one in lives],
    }


def _share(count: int, tried: int) -> dict[str, float]:
    low, high = binomial_bounds(count, tried)
    return {"count": count, "of": tried, "low": round(low, 4), "high": round(high, 4)}


def _samples(lives: list[Lived], kind: str) -> list[str]:
    found = [
        f"seed {one.seed}, {day}: {text}{f' [{why}]' if why else ''}"
        for one in lives
        for k, day, text, why in one.wrong
        if k == kind
    ]
    step = max(1, len(found) // SAMPLES)
    return found[::step][:SAMPLES]


def table(result: dict[str, Any]) -> str:
    """Return the table as text."""
    counted = result["counted"]
    lines = [
        f"{result['seeds']} seeds, {result['days']:,} days, {counted['asks']:,} asks, "
        f"{counted['entries']:,} entries ({counted['slips']} with a slip, {counted['refused']} refused)",
        "",
        f"{'check':<26}{'made':>8}{'wrong':>8}",
    ]
    lines += [f"{k:<26}{result['checks'][k]:>8,}{result['violations'][k]:>8,}" for k in TITLES]
    if result["jumps_by_why"]:
        lines += ["", "jumps, by what else changed overnight:"]
        lines += [
            f"  {n:>4}  {why}" for why, n in sorted(result["jumps_by_why"].items(), key=lambda i: -i[1])
        ]
    for kind, samples in result["samples"].items():
        lines += ["", f"{kind}:", *(f"  {text}" for text in samples)]
    lines += ["", "counted:"]
    for name, title in (
        ("band", "the level's 80 % band holds the truth"),
        ("below_band", "the truth lies below the band"),
        ("moved_between_asks", "order-by date moves by over a week in 5 days without an entry"),
        ("orders_below_reserve", "orders that came after the level fell below the reserve"),
        ("empty_stores_per_order", "empty stores, to the orders"),
    ):
        one = result[name]
        share = one["count"] / one["of"] if one["of"] else 0.0
        bounds = f"{one['low']:.1%} to {one['high']:.1%}"
        lines.append(f"  {title}: {one['count']:,} of {one['of']:,}, {share:.1%} ({bounds})")
    lines.append(f"  questions asked: {counted['asked_back']}, of them needless: {counted['needless']}")
    return "\n".join(lines)
