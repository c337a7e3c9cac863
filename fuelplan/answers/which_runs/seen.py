"""What a run plan was made from: a token for it, and in words what has changed since."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from fuelplan.answers.round.noted_words import customer_said, happening_said, wish_said
from fuelplan.records.round import Customers, Order, PublishedStop, Round

if TYPE_CHECKING:
    from fuelplan.answers.which_runs.answer import Run, RunsAnswer

PARTS = (
    "round.toml", "customers", "orders.csv", "wishes.csv", "happenings.csv", "published.csv", "deliveries",
    "readings",
)  # fmt: skip
"""What a plan is made from, in the order in which the token has their marks."""

MARK = 6  # letters for each part
PLAN_MARK = 10
MOST_NAMED = 5

PlaceOfStop = tuple[object, ...]


def token_of(round_: Round, answer: RunsAnswer) -> str:
    """Return what tells a plan from every other one: its own mark, and one of each part it is made from.

    The same folder, day, seed and budget give the same token.
    """
    whole = answer.to_json()
    document = {key: whole[key] for key in ("round", "as_of", "seed", "days", "runs")}
    own = _mark(json.dumps(document, ensure_ascii=False, sort_keys=True), PLAN_MARK)
    return f"{own}-{''.join(_marks(round_))}"


def changed_for_token(token: str, now: str) -> tuple[str, ...]:
    """Return in words what is different between the plan of one token and that of another."""
    then_plan, _, then = token.strip().partition("-")
    now_plan, _, parts = now.partition("-")
    if len(then) != len(parts) or not then_plan:
        return (f'"{token}" is not a valid token of a plan; take the one that --json prints as "plan"',)
    pieces = [slice(MARK * k, MARK * (k + 1)) for k in range(len(PARTS))]
    changed = tuple(
        f"{name} has changed" for name, at in zip(PARTS, pieces, strict=True) if then[at] != parts[at]
    )
    if not changed and then_plan != now_plan:
        return ("the plan comes out differently: another day, seed, budget, number of days or weather",)
    return changed


def changed_since(then: Round, now: Round, plan: Iterable[Run]) -> tuple[str, ...]:
    """Return in words what of a round has changed since a plan was made from it.

    Stops that were published just as the `plan` has them are no change.
    """
    if then.path == now.path and _marks(then) == _marks(now):
        return ()
    out = [f"{what}" for what in ("round.toml has changed",) if _table(then) != _table(now)]
    out += _of_customers(then.customers, now.customers)
    out += _of_orders(then, now)
    out += _of_rows(then.wishes, now.wishes, lambda w: wish_said(_with(then, now, w.customer), w))
    out += _of_rows(
        then.happenings, now.happenings, lambda h: happening_said(_with(then, now, h.customer), h)
    )
    out += _of_published(then, now, plan)
    for part, what in (("deliveries", "weigh note"), ("readings", "level reading")):
        more = len(getattr(now, part).day) - len(getattr(then, part).day)
        if _arrays(getattr(then, part), then) != _arrays(getattr(now, part), now):
            said = f"{more} {what}{'s' if more > 1 else ''} came in" if more > 0 else f"{part} have changed"
            out.append(said)
    return tuple(out)


def _with(then: Round, now: Round, customer: str | None) -> Round:
    """Return the round that knows a customer."""
    return now if customer is None or customer in now.customers.number_of else then


def _marks(round_: Round) -> list[str]:
    parts = (
        _table(round_),
        _customers_text(round_.customers),
        *(_rows_text(rows) for rows in (round_.orders, round_.wishes, round_.happenings, round_.published)),
        _arrays(round_.deliveries, round_),
        _arrays(round_.readings, round_),
    )
    return [_mark(text, MARK) for text in parts]


def _mark(text: str, letters: int) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:letters]


def _table(round_: Round) -> str:
    return round_.table.model_dump_json()


def _rows_text(rows: Sequence[Any]) -> str:
    return "\n".join(sorted(repr(replace(row, row=0)) for row in rows))


def _arrays(history: Any, round_: Round) -> str:
    """Return the rows of deliveries or readings as text; customers by id, for their numbers may shift."""
    names = [f.name for f in fields(history) if f.name not in ("customer", "row")]
    ids = np.asarray(round_.customers.id, str)[history.customer] if len(history.customer) else []
    return "\x1e".join(["\x1f".join(map(str, ids)), *(_column(getattr(history, name)) for name in names)])


def _column(values: Any) -> str:
    return "\x1f".join(map(str, np.asarray(values).tolist()))


def _customers_text(customers: Customers) -> str:
    return "\x1e".join(_column(getattr(customers, f.name)) for f in fields(customers) if f.name != "row")


def _of_customers(then: Customers, now: Customers) -> list[str]:
    """Return which customers came, went, or are described differently."""
    if _customers_text(then) == _customers_text(now):
        return []
    old, new = then.number_of, now.number_of
    names = [f.name for f in fields(then) if f.name not in ("row", "split_with")]

    def described(customers: Customers, i: int) -> list[str]:
        return [str(getattr(customers, name)[i]) for name in names]

    said = [
        f"customer {name} is described differently"
        for name, i in new.items()
        if name in old and described(then, old[name]) != described(now, i)
    ]
    said += [f"customer {i} is new" for i in new if i not in old]
    said += [f"customer {i} is gone" for i in old if i not in new]
    return _few(said, "customers") or ["the neighbours of customers have changed"]


def _of_orders(then: Round, now: Round) -> list[str]:
    """Return which orders came in, went, or were changed."""

    def by_name(round_: Round) -> dict[str, Order]:
        return {o.order: replace(o, row=0) for o in round_.orders}

    old, new = by_name(then), by_name(now)
    said = []
    for name in {**old, **new}:
        order = new.get(name, old.get(name))
        assert order is not None
        what = f"order {name} of {customer_said(_with(then, now, order.customer), order.customer)}"
        if name not in old:
            said.append(f"{what} came in")
        elif name not in new:
            said.append(f"{what} was taken out")
        elif old[name] != new[name]:
            said.append(f"{what} was changed")
    return _few(said, "orders")


def _of_rows(then: Sequence[Any], now: Sequence[Any], said: Callable[[Any], str]) -> list[str]:
    """Return which lines were noted or taken back."""
    old, new = ({replace(row, row=0) for row in rows} for rows in (then, now))
    return [
        *(f"noted: {said(row)}" for row in (replace(r, row=0) for r in now) if row not in old),
        *(f"taken back: {said(row)}" for row in (replace(r, row=0) for r in then) if row not in new),
    ]


def place_of(stop: PublishedStop) -> PlaceOfStop:
    """Return what makes a published stop the same stop: day, run, place, customer and load."""
    return (stop.day, stop.tanker, stop.trip, stop.position, stop.customer, stop.grade, round(stop.kg))


def _of_published(then: Round, now: Round, plan: Iterable[Run]) -> list[str]:
    """Return which days were published otherwise than the plan has them, and by whom."""
    old = {place_of(s): s for s in then.published}
    new = {place_of(s): s for s in now.published}
    own = {
        (run.day, run.tanker, run.trip, s.position, s.customer, s.grade, round(s.kg))
        for run in plan
        for s in run.stops
    }
    came = [s for place, s in new.items() if place not in old and place not in own]
    went = [s for place, s in old.items() if place not in new]
    if went and not came and {s.day for s in went} <= {s.day for p, s in new.items() if p not in old}:
        went = []  # a day published again as this plan has it
    out = []
    for day in sorted({s.day for s in (*came, *went)}):
        mine = [s for s in came if s.day == day]
        who = ", ".join(sorted({s.by for s in mine if s.by}))
        if mine:
            stops = f"{len(mine)} other stop{'s' if len(mine) > 1 else ''}"
            out.append(f"{stops} published for {day.isoformat()}{f' by {who}' if who else ''}")
        else:
            out.append(f"published stops of {day.isoformat()} were taken out")
    return out


def _few(said: list[str], what: str) -> list[str]:
    if len(said) <= MOST_NAMED:
        return said
    return [*said[:MOST_NAMED], f"{len(said) - MOST_NAMED} more changes of {what}"]
