"""The outlook of a round in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from fuelplan.answers.who_is_due.answer import CustomerTable, LatePromise, Weekly, day_of
from fuelplan.answers.who_is_due.doubts import ReadingDoubted, asked
from fuelplan.messages import Day, Message, Own, Quantity, Range, counted_message, message


def sentences_of(
    table: CustomerTable,
    weekly: Weekly,
    burned: Weekly,
    due: Sequence[int],
    to_ring: Sequence[int],
    late: Sequence[LatePromise],
    until: date,
    doubted: Sequence[ReadingDoubted] = (),
) -> tuple[Message, ...]:
    """Return the answer in sentences, most important first."""
    said = [_tonnes(weekly, burned), _due(table, due, until), _rings(table, to_ring)]
    if doubted:
        said.append(asked(doubted))
    if late:
        said.append(_late(late))
    stopped = int((table.credit_stop & _soon(table, until)).sum())
    if stopped:
        said.append(
            counted_message(
                "outlook.credit_stop",
                "{n} customer with a credit stop will need fuel by {day}.",
                "{n} customers with a credit stop will need fuel by {day}.",
                stopped,
                day=Day(until),
            )
        )
    unknown = np.flatnonzero(np.isnat(table.told_day) & ~table.left)
    if len(unknown):
        said.append(
            counted_message(
                "outlook.nothing_known",
                "What is in the store of {name} is not known: ask for a reading first.",
                "What is in the stores of {n} customers, such as {name}, is not known: ask for readings "
                "first.",
                len(unknown),
                name=_name(table, int(unknown[0])),
            )
        )
    return tuple(said)


def _tonnes(weekly: Weekly, burned: Weekly) -> Message:
    if not weekly.p50:
        return message(
            "outlook.no_week", "The days asked for are less than a week, so no weekly tonnes are given."
        )
    first, now = Day(weekly.first_day[0]), _t(burned.p50[0])
    if len(weekly.p50) == 1:
        return message(
            "outlook.week",
            "Customers will need about {need} in the week from {day} ({range}); they burn about {burned} a "
            "week now.",
            need=_t(weekly.p50[0]), day=first, range=_span(weekly, 0), burned=now,
        )  # fmt: skip
    return message(
        "outlook.two_weeks",
        "Customers will need about {need} in the week from {day} ({range}) and {next} in the week after "
        "({next_range}); they burn about {burned} a week now.",
        need=_t(weekly.p50[0]), day=first, range=_span(weekly, 0),
        next=_t(weekly.p50[1]), next_range=_span(weekly, 1), burned=now,
    )  # fmt: skip


def _due(table: CustomerTable, rows: Sequence[int], until: date) -> Message:
    if not rows:
        return message("outlook.nobody_due", "No top-up customer is due by {until}.", until=Day(until))
    overdue = int(table.overdue[list(rows)].sum())
    day = day_of(table.deliver_by[rows[0]])
    assert day is not None
    first, by, last = _name(table, rows[0]), Day(day), Day(until)
    if not overdue:
        return counted_message(
            "outlook.due",
            "{n} top-up customer is due by {until}; the most urgent is {first}: deliver by {by}.",
            "{n} top-up customers are due by {until}; the most urgent is {first}: deliver by {by}.",
            len(rows),
            until=last, first=first, by=by,
        )  # fmt: skip
    if overdue == len(rows):
        return counted_message(
            "outlook.due_all_at_once",
            "{n} top-up customer is due by {until}, at once: {first}, deliver by {by}.",
            "{n} top-up customers are due by {until}, all of them at once; the most urgent is {first}: "
            "deliver by {by}.",
            len(rows),
            until=last, first=first, by=by,
        )  # fmt: skip
    return counted_message(
        "outlook.due_some_at_once",
        "{n} top-up customer is due by {until}, {overdue} of them at once; the most urgent is {first}: "
        "deliver by {by}.",
        "{n} top-up customers are due by {until}, {overdue} of them at once; the most urgent is {first}: "
        "deliver by {by}.",
        len(rows),
        overdue=overdue,
        until=last, first=first, by=by,
    )  # fmt: skip


def _rings(table: CustomerTable, rows: Sequence[int]) -> Message:
    if not rows:
        return message("outlook.nobody_to_ring", "No on-request customer needs to be rung.")
    first, out = _name(table, rows[0]), day_of(table.run_out[rows[0], 1])
    if out is None:
        return counted_message(
            "outlook.to_ring",
            "{n} on-request customer should be rung, first {first}.",
            "{n} on-request customers should be rung, first {first}.",
            len(rows),
            first=first,
        )
    return counted_message(
        "outlook.to_ring_by",
        "{n} on-request customer should be rung, first {first}, who may run out by {day}.",
        "{n} on-request customers should be rung, first {first}, who may run out by {day}.",
        len(rows),
        first=first,
        day=Day(out),
    )


def _late(late: Sequence[LatePromise]) -> Message:
    one, more = late[0], len(late) - 1
    name, promised, by = Own(one.name or one.customer), Day(one.promised_to), Day(one.deliver_by)
    if not more:
        return message(
            "outlook.late_promise",
            "1 promise is later than the fuel surely lasts: {name} is promised for {promised} at the latest, "
            "deliver by {by}.",
            name=name, promised=promised, by=by,
        )  # fmt: skip
    return message(
        "outlook.late_promises",
        "{count} promises are later than the fuel surely lasts: {name} is promised for {promised} at the "
        "latest, deliver by {by}, and {more} more.",
        count=len(late), name=name, promised=promised, by=by, more=more,
    )  # fmt: skip


def _name(table: CustomerTable, row: int) -> Own:
    return Own(str(table.name[row] or table.customer[row]))


def _soon(table: CustomerTable, until: date) -> np.ndarray:
    return ~np.isnat(table.deliver_by) & (table.deliver_by <= np.datetime64(until, "D"))


def _t(tonnes: float) -> Quantity:
    return Quantity(1000.0 * tonnes, "mass")


def _span(weekly: Weekly, week: int) -> Range:
    return Range(1000.0 * weekly.p10[week], 1000.0 * weekly.p90[week], "mass")
