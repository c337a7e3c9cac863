"""What a run plan was made from: a token for it, and what has changed since."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from fuelplan.answers.round.noted_words import happening_said, wish_said
from fuelplan.messages import Day, Listed, Message, Own, counted_message, message
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

    The same folder, day, seed and budget give the same token, whoever reads the plan.
    """
    whole = answer.to_json()
    document = {key: whole[key] for key in ("round", "as_of", "seed", "days")}
    document["runs"] = [_without_words(run) for run in whole["runs"]]
    own = _mark(json.dumps(document, ensure_ascii=False, sort_keys=True), PLAN_MARK)
    return f"{own}-{''.join(_marks(round_))}"


def _without_words(run: dict[str, Any]) -> dict[str, Any]:
    """Return a run of a document without what is said of it: that follows from what the plan is made from."""
    stops = [{key: stop[key] for key in stop if key != "why"} for stop in run["stops"]]
    return {**{key: run[key] for key in run if key != "faults"}, "stops": stops}


def changed_for_token(token: str, now: str) -> tuple[Message, ...]:
    """Return what is different between the plan of one token and that of another."""
    then_plan, _, then = token.strip().partition("-")
    now_plan, _, parts = now.partition("-")
    if len(then) != len(parts) or not then_plan:
        return (
            message(
                "runs.no_token",
                '"{token}" is not a valid token of a plan; take the one that --json prints as "plan"',
                token=Own(token),
            ),
        )
    pieces = [slice(MARK * k, MARK * (k + 1)) for k in range(len(PARTS))]
    changed = tuple(
        has_changed(name) for name, at in zip(PARTS, pieces, strict=True) if then[at] != parts[at]
    )
    if not changed and then_plan != now_plan:
        return (COMES_OUT_DIFFERENTLY,)
    return changed


COMES_OUT_DIFFERENTLY = message(
    "runs.comes_out_differently",
    "the plan comes out differently: another day, seed, budget, number of days or weather",
)


def has_changed(part: str) -> Message:
    """Return that a part of the folder has changed."""
    return message("runs.has_changed", "{part} has changed", part=Own(part))


def changed_since(then: Round, now: Round, plan: Iterable[Run]) -> tuple[Message, ...]:
    """Return what of a round has changed since a plan was made from it.

    Stops that were published just as the `plan` has them are no change.
    """
    if then.path == now.path and _marks(then) == _marks(now):
        return ()
    out = [has_changed("round.toml")] if _table(then) != _table(now) else []
    out += _of_customers(then.customers, now.customers)
    out += _of_orders(then, now)
    out += _of_rows(then.wishes, now.wishes, lambda w: wish_said(_with(then, now, w.customer), w))
    out += _of_rows(
        then.happenings, now.happenings, lambda h: happening_said(_with(then, now, h.customer), h)
    )
    out += _of_published(then, now, plan)
    if _arrays(then.deliveries, then) != _arrays(now.deliveries, now):
        more = len(now.deliveries.day) - len(then.deliveries.day)
        out.append(
            counted_message("runs.notes_came", "{n} weigh note came in", "{n} weigh notes came in", more)
            if more > 0
            else message("runs.deliveries_changed", "deliveries have changed")
        )
    if _arrays(then.readings, then) != _arrays(now.readings, now):
        more = len(now.readings.day) - len(then.readings.day)
        out.append(
            counted_message(
                "runs.readings_came", "{n} level reading came in", "{n} level readings came in", more
            )
            if more > 0
            else message("runs.readings_changed", "readings have changed")
        )
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


def _of_customers(then: Customers, now: Customers) -> list[Message]:
    """Return which customers came, went, or are described differently."""
    if _customers_text(then) == _customers_text(now):
        return []
    old, new = then.number_of, now.number_of
    names = [f.name for f in fields(then) if f.name not in ("row", "split_with")]

    def described(customers: Customers, i: int) -> list[str]:
        return [str(getattr(customers, name)[i]) for name in names]

    said = [
        message("runs.customer_changed", "customer {customer} is described differently", customer=Own(name))
        for name, i in new.items()
        if name in old and described(then, old[name]) != described(now, i)
    ]
    said += [
        message("runs.customer_new", "customer {customer} is new", customer=Own(i))
        for i in new
        if i not in old
    ]
    said += [
        message("runs.customer_gone", "customer {customer} is gone", customer=Own(i))
        for i in old
        if i not in new
    ]
    if not said:
        return [message("runs.neighbours_changed", "the neighbours of customers have changed")]
    more = len(said) - MOST_NAMED
    rest = counted_message(
        "runs.more_customers", "{n} more change of customers", "{n} more changes of customers", more
    )
    return said if more <= 0 else [*said[:MOST_NAMED], rest]


def _of_orders(then: Round, now: Round) -> list[Message]:
    """Return which orders came in, went, or were changed."""

    def by_name(round_: Round) -> dict[str, Order]:
        return {o.order: replace(o, row=0) for o in round_.orders}

    old, new = by_name(then), by_name(now)
    said = []
    for name in {**old, **new}:
        order = new.get(name, old.get(name))
        assert order is not None
        own, who = Own(name), _with(then, now, order.customer).customers.said(order.customer)
        if name not in old:
            said.append(
                message("runs.order_in", "order {order} of {customer} came in", order=own, customer=who)
            )
        elif name not in new:
            said.append(
                message(
                    "runs.order_out", "order {order} of {customer} was taken out", order=own, customer=who
                )
            )
        elif old[name] != new[name]:
            said.append(
                message(
                    "runs.order_changed", "order {order} of {customer} was changed", order=own, customer=who
                )
            )
    more = len(said) - MOST_NAMED
    rest = counted_message(
        "runs.more_orders", "{n} more change of orders", "{n} more changes of orders", more
    )
    return said if more <= 0 else [*said[:MOST_NAMED], rest]


def _of_rows(then: Sequence[Any], now: Sequence[Any], said: Callable[[Any], Message]) -> list[Message]:
    """Return which lines were noted or taken back."""
    old, new = ({replace(row, row=0) for row in rows} for rows in (then, now))
    return [
        *(
            message("runs.noted", "noted: {entry}", entry=said(row))
            for row in (replace(r, row=0) for r in now)
            if row not in old
        ),
        *(
            message("runs.taken_back", "taken back: {entry}", entry=said(row))
            for row in (replace(r, row=0) for r in then)
            if row not in new
        ),
    ]


def place_of(stop: PublishedStop) -> PlaceOfStop:
    """Return what makes a published stop the same stop: day, run, place, customer and load."""
    return (stop.day, stop.tanker, stop.trip, stop.position, stop.customer, stop.grade, round(stop.kg))


def _of_published(then: Round, now: Round, plan: Iterable[Run]) -> list[Message]:
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
        who = tuple(Own(by) for by in sorted({s.by for s in mine if s.by}))
        if not mine:
            out.append(
                message("runs.stops_out", "published stops of {day} were taken out", day=Day(day))
            )
        elif who:
            out.append(
                counted_message(
                    "runs.stops_published_by",
                    "{n} other stop published for {day} by {who}",
                    "{n} other stops published for {day} by {who}",
                    len(mine), day=Day(day), who=Listed(who, ", "),
                )
            )  # fmt: skip
        else:
            out.append(
                counted_message(
                    "runs.stops_published",
                    "{n} other stop published for {day}", "{n} other stops published for {day}",
                    len(mine), day=Day(day),
                )
            )  # fmt: skip
    return out
