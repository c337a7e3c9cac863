"""A day on the road: what comes, what does not, and what is written down of it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from tests.campaigns.lived_round import program
from tests.campaigns.lived_round.life import Life, Plan
from tests.campaigns.lived_round.tables import Row, iso

REASONS = ("boiler on", "no access", "nobody there", "other")


def morning(life: Life, plan: Plan) -> list[str]:
    """Return what upsets the day that has been published, as words for `--happened`; often nothing."""
    day = plan["days"][0]
    tankers = sorted({r["tanker"] for r in plan["runs"] if r["date"] == day})
    depots = sorted({r["depot"] for r in plan["runs"] if r["date"] == day})
    words = []
    if tankers and life.rng.random() < 0.12:
        words.append(f"tanker out: {life.rng.choice(tankers)}: {day}")
    if depots and life.rng.random() < 0.05:
        words.append(f"depot out of stock: {life.rng.choice(depots)}: A2")
    if life.rng.random() < 0.08:
        words.append("slow roads: 1.3")
    return words


def upset(life: Life, plan: Plan, words: list[str]) -> Plan | None:
    """Note what happened for the next driving day, plan anew and publish; see that it fell on that day."""
    before = len(life.rows("happenings"))
    more = [part for word in words for part in ("--happened", word)]
    again = life.plan(*more, publish=True)
    rows = life.rows("happenings")[before:]
    if again is None:
        return None
    for word, row in zip(words, rows, strict=False):
        life.ledger.entered("happenings", row)
        life.tally.entries["happenings"] += 1
        life.tally.checks["happening's day"] += 1
        if not row["date"] <= plan["days"][0] <= (row["until"] or row["date"]):
            life.tally.wrong("happening's day", f'"{word}" noted on {iso(life.as_of)} falls on {row["date"]}')
    if len(rows) != len(words):
        life.tally.wrong("entries lost", f"{len(words)} happenings noted, {len(rows)} written")
    return again


def drive(life: Life, plan: Plan | None, day: date) -> tuple[list[str], list[str]]:
    """Drive a day's stops; return the customers whose weigh note, and those whose order, was forgotten."""
    no_note, no_order = [], []
    rng, failed = life.rng, []
    here = {r["customer"] for r in life.rows("customers")}
    out = {
        r["tanker"] for r in life.rows("happenings")
        if r["what"] == "tanker out" and r["date"] <= iso(day) <= (r["until"] or r["date"])
    }  # fmt: skip
    for stop in [r for r in life.rows("published") if r["date"] == iso(day)]:
        name = stop["customer"]
        if name not in here or stop["tanker"] in out:
            continue
        if rng.random() < 0.04:
            failed.append(name)
            continue
        kg, full = life.truth.deliver(name, float(stop["kg"]))
        life.truth.stock_kg[_depot(life, stop["tanker"]), stop["class"]] -= kg
        if rng.random() < 0.04:
            no_note.append(name)
            continue
        _weigh_note(life, stop, kg, full)
        for order in [o for o in life.rows("orders") if o["customer"] == name]:
            if rng.random() < 0.08:
                no_order.append(name)
            else:
                life.take_out("orders", "order", order["order"])
    if plan is not None:
        _odometers(life, plan, day)
    for name in failed:
        _failed(life, name, day)
    return no_note, no_order


def _weigh_note(life: Life, stop: Row, kg: float, full: bool) -> None:
    """Write a weigh note into the books."""
    life.enter("deliveries", {
        "customer": stop["customer"], "date": stop["date"], "kg": f"{kg:.0f}", "class": stop["class"],
        "tanker": stop["tanker"], "filled_full": "yes" if full else "no",
    })  # fmt: skip


def _odometers(life: Life, plan: Plan, day: date) -> None:
    """Write down what some tankers drove: a little more or less than the plan said."""
    for tanker in sorted({r["tanker"] for r in plan["runs"] if r["date"] == iso(day)}):
        if life.rng.random() < 0.3:
            planned = sum(r["km"] for r in plan["runs"] if (r["date"], r["tanker"]) == (iso(day), tanker))
            km = planned * life.rng.gauss(1.02, 0.04)
            life.enter("odometer", {"date": iso(day), "tanker": tanker, "km": f"{km:.0f}"})


def _failed(life: Life, name: str, day: date) -> None:
    """Note a failed drop in the evening of its day, on the command line; it is that day's."""
    before = len(life.rows("happenings"))
    word = f"failed drop: {name}: {life.rng.choice(REASONS)}"
    said = program.called(*program.plan_command(life.folder, day, 100, 1, 1, "--happened", word))
    life.tally.steps += 1
    life.tally.checks["happening's day"] += 1
    rows = life.rows("happenings")[before:]
    if said.status != 0:
        life.tally.wrong("traceback" if said.status == -1 else "refused", f"{word}: {said.words[-200:]}")
    elif len(rows) != 1 or rows[0]["date"] != iso(day):
        life.tally.wrong(
            "happening's day", f'"{word}" of {iso(day)} is written as {[r["date"] for r in rows]}'
        )
    for row in rows:
        life.ledger.entered("happenings", row)
        life.tally.entries["happenings"] += 1


def forgotten(life: Life, plan: Plan, day: date, no_note: list[str], no_order: list[str]) -> None:
    """A stop without a weigh note is asked about; an order that has come is not brought again in silence."""
    asked = _said(plan)
    for name in no_note:
        life.tally.checks["asked"] += 1
        if name not in asked:
            life.tally.wrong(
                "not asked", f"{name} was published for {iso(day)}, no weigh note, and nobody asks"
            )
    for name in no_order:
        numbers = {o["order"] for o in life.rows("orders") if o["customer"] == name}
        life.tally.checks["brought again"] += 1
        again = [s["order"] for r in plan["runs"] for s in r["stops"] if s["order"] in numbers]
        if again and name not in asked:
            life.tally.wrong(
                "brought again", f"order {again[0]} of {name} came on {iso(day)} and is planned again"
            )


def _said(plan: Plan) -> str:
    """Return all that a plan says beside its runs."""
    quiet = {"runs", "to_ring", "noted", "per_day", "totals"}
    parts: list[Any] = [v for k, v in plan.items() if k not in quiet]
    return repr(parts)


def _depot(life: Life, tanker: str) -> str:
    from tests.campaigns.lived_round import tables

    for row in tables.read_toml(life.folder / "round.toml")["tanker"]:
        if row["name"] == tanker:
            return str(row["depot"])
    raise KeyError(tanker)


def next_day(plan: Plan | None, as_of: date) -> date:
    """Return the next day on which tankers drive."""
    if plan is not None and plan["days"]:
        return date.fromisoformat(plan["days"][0])
    day = as_of + timedelta(days=1)
    while day.weekday() > 4:
        day += timedelta(days=1)
    return day
