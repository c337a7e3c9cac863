"""The outlook of a round in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from fuelplan import units
from fuelplan.answers.who_is_due.answer import CustomerTable, LatePromise, Weekly, day_of
from fuelplan.answers.who_is_due.doubts import ReadingDoubted, asked
from fuelplan.messages import Said


def sentences_of(
    table: CustomerTable,
    weekly: Weekly,
    burned: Weekly,
    due: Sequence[int],
    to_ring: Sequence[int],
    late: Sequence[LatePromise],
    until: date,
    doubted: Sequence[ReadingDoubted] = (),
) -> tuple[Said, ...]:
    """Return the answer in sentences, most important first."""
    said: list[Said] = [_tonnes(weekly, burned), _due(table, due, until), _rings(table, to_ring)]
    if doubted:
        said.append(asked(doubted))
    if late:
        one = late[0]
        more = f", and {len(late) - 1} more" if len(late) > 1 else ""
        verb = "is" if len(late) == 1 else "are"
        said.append(
            f"{_count(len(late), 'promise')} {verb} later than the fuel surely lasts: {one.name} is promised "
            f"for {units.show_date(one.promised_to)} at the latest, deliver by "
            f"{units.show_date(one.deliver_by)}{more}."
        )
    stopped = int((table.credit_stop & _soon(table, until)).sum())
    if stopped:
        said.append(
            f"{_count(stopped, 'customer')} with a credit stop will need fuel by {units.show_date(until)}."
        )
    unknown = np.flatnonzero(np.isnat(table.told_day) & ~table.left)
    if len(unknown):
        one = unknown[0]
        text = f"Nothing tells what lies in the stores of {_count(len(unknown), 'customer')}"
        said.append(f"{text}, such as {table.name[one] or table.customer[one]}: ask for a reading first.")
    return tuple(said)


def _tonnes(weekly: Weekly, burned: Weekly) -> str:
    if not weekly.p50:
        return "The days asked for are less than a week, so no weekly tonnes are given."
    first = weekly.first_day[0]
    text = (
        f"Customers will need about {_t(weekly.p50[0])} in the week from {units.show_date(first)} "
        f"({_span(weekly, 0)})"
    )
    if len(weekly.p50) > 1:
        text += f" and {_t(weekly.p50[1])} in the week after ({_span(weekly, 1)})"
    return f"{text}; they burn about {_t(burned.p50[0])} a week now."


def _due(table: CustomerTable, rows: Sequence[int], until: date) -> str:
    if not rows:
        return f"No top-up customer is due by {units.show_date(until)}."
    overdue = int(table.overdue[list(rows)].sum())
    first = rows[0]
    day = day_of(table.deliver_by[first])
    assert day is not None
    verb = "is" if len(rows) == 1 else "are"
    text = f"{_count(len(rows), 'top-up customer')} {verb} due by {units.show_date(until)}"
    if overdue:
        text += f", {overdue} of them at once" if overdue < len(rows) else ", all of them at once"
    name = table.name[first] or table.customer[first]
    return f"{text}; the most urgent is {name}: deliver by {units.show_date(day)}."


def _rings(table: CustomerTable, rows: Sequence[int]) -> str:
    if not rows:
        return "No on-request customer needs to be rung."
    first = rows[0]
    out = day_of(table.run_out[first, 1])
    when = f", who may run out by {units.show_date(out)}" if out is not None else ""
    return (
        f"{_count(len(rows), 'on-request customer')} should be rung, first "
        f"{table.name[first] or table.customer[first]}{when}."
    )


def _soon(table: CustomerTable, until: date) -> np.ndarray:
    return ~np.isnat(table.deliver_by) & (table.deliver_by <= np.datetime64(until, "D"))


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"


def _t(tonnes: float) -> str:
    return units.show(1000.0 * tonnes, "mass")


def _span(weekly: Weekly, week: int) -> str:
    return units.show_range(1000.0 * weekly.p10[week], 1000.0 * weekly.p90[week], "mass")
