"""The run plan in plain words, most important first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fuelplan.answers.round.came import ToConfirm
from fuelplan.answers.weather_of_site import if_invented
from fuelplan.answers.which_runs.answer import DayTotals, DueCustomer, Run, RunsAnswer
from fuelplan.answers.who_is_due import doubts as round_doubts
from fuelplan.messages import (
    Day,
    Listed,
    Message,
    Own,
    Quantity,
    Value,
    counted_message,
    message,
)

MOST_ORDERS, MOST_CUSTOMERS = 4, 6  # that are named in a sentence


def sentences_of(answer: RunsAnswer) -> tuple[Message, ...]:
    """Return the answer: the next day's runs, the week, who is due and at risk, whom to ring."""
    runs, per_day = answer.runs, answer.per_day
    due, risky, ring, left = answer.due, answer.promises_at_risk, answer.to_ring, answer.not_served
    asked, doubted, wishes = answer.to_confirm, answer.readings_doubted, answer.wishes_not_kept
    out = [*if_invented(answer.invented), _next_day(runs, per_day), _week(runs, per_day)]
    if due:
        out.append(_due(due, per_day[-1].day))
    if risky:
        orders = [
            message(
                "runs.order_of_customer", "{order} ({customer})",
                order=Own(p.order), customer=Own(p.customer),
            )
            for p in risky
        ]  # fmt: skip
        out.append(
            counted_message(
                "runs.promises_in_danger",
                "{n} promised delivery whose store may run low first: {orders}.",
                "{n} promised deliveries whose stores may run low first: {orders}.",
                len(risky), orders=first_named(orders, MOST_ORDERS),
            )
        )  # fmt: skip
    if ring:
        out.append(
            counted_message(
                "runs.ring",
                "Ring {n} on-request customer whose fuel is getting low: {customers}.",
                "Ring {n} on-request customers whose fuel is getting low: {customers}.",
                len(ring), customers=_customers([r.customer for r in ring]),
            )
        )  # fmt: skip
    if left:
        out.append(
            counted_message(
                "runs.without_run",
                "{n} customer or order without a run, each with its reason.",
                "{n} customers or orders without a run, each with its reason.",
                len(left),
            )
        )
    if answer.changes:
        out.append(
            counted_message(
                "runs.had_to_change",
                "{n} published stop had to change.", "{n} published stops had to change.",
                len(answer.changes),
            )
        )  # fmt: skip
    if asked:
        out.append(_asked(asked))
    if doubted:
        out.append(round_doubts.asked(doubted))
    faulty = sum(run.frozen and bool(run.faults) for run in runs)  # by what is known now
    if faulty:
        out.append(
            counted_message(
                "runs.cannot_stay",
                "{n} published run cannot stay as published: please look.",
                "{n} published runs cannot stay as published: please look.",
                faulty,
            )
        )
    if wishes:
        out.append(
            counted_message(
                "runs.wishes_not_kept",
                "{n} wish cannot be kept, each with its reason: {customers}.",
                "{n} wishes cannot be kept, each with its reason: {customers}.",
                len(wishes), customers=_customers([w.customer for w in wishes], len(wishes)),
            )
        )  # fmt: skip
    return tuple(out)


def _customers(numbers: Sequence[str], most: int = MOST_CUSTOMERS) -> Value:
    return first_named([Own(number) for number in numbers], most)


def first_named(names: Sequence[Value], most: int) -> Value:
    """Return the first of some names, with a mark where there are more."""
    first = Listed(tuple(names[:most]), ", ")
    return first if len(names) <= most else message("runs.and_more", "{names} …", names=first)


def _due(due: Sequence[DueCustomer], until: date) -> Message:
    """Return how many watched stores must be served, and how many may be too low before a tanker comes."""
    late = sum(d.overdue for d in due)
    if not late:
        return counted_message(
            "runs.due", "{n} top-up customer is due by {day}.", "{n} top-up customers are due by {day}.",
            len(due), day=Day(until),
        )  # fmt: skip
    return counted_message(
        "runs.due_at_risk",
        "{n} top-up customer is due by {day}; {late} of them may fall below the reserve before delivery.",
        "{n} top-up customers are due by {day}; {late} of them may fall below the reserve before delivery.",
        len(due), day=Day(until), late=late,
    )  # fmt: skip


def _asked(asked: Sequence[ToConfirm]) -> Message:
    """Return the question whether published drops came, and how is planned until it is answered."""
    return counted_message(
        "runs.did_they_come",
        "Did they come? {n} published stop of past days without a weigh note: {customers}. Until you say "
        "so, their orders wait; days follow as if nothing had come, amounts as if all had.",
        "Did they come? {n} published stops of past days without a weigh note: {customers}. Until you say "
        "so, their orders wait; days follow as if nothing had come, amounts as if all had.",
        len(asked), customers=_customers([stop.customer for stop in asked]),
    )  # fmt: skip


def counted_runs(number: int) -> Message:
    """Return "3 runs"."""
    return counted_message("runs.runs", "{n} run", "{n} runs", number)


def counted_stops(number: int) -> Message:
    """Return "3 stops"."""
    return counted_message("runs.stops", "{n} stop", "{n} stops", number)


def _next_day(runs: Sequence[Run], per_day: Sequence[DayTotals]) -> Message:
    if not per_day:
        return message("runs.no_working_day", "No working day lies in the days asked for.")
    first = per_day[0].day
    mine = [r for r in runs if r.day == first]
    if not mine:
        later = [d.day for d in per_day if d.runs]
        if not later:
            return message(
                "runs.nobody_all_days", "Nobody needs a tanker on {day}, nor on any day of the plan.",
                day=Day(first),
            )  # fmt: skip
        return message(
            "runs.nobody_next_day", "Nobody needs a tanker on {day}; the next run is on {next}.",
            day=Day(first), next=Day(later[0]),
        )  # fmt: skip
    tankers = dict.fromkeys(r.tanker for r in mine)
    return message(
        "runs.next_day", "On {day}: {runs} by {tankers}, {stops}, {mass}, about {road}.",
        day=Day(first), runs=counted_runs(len(mine)),
        tankers=Listed(tuple(Own(tanker) for tanker in tankers), ", "),
        stops=counted_stops(sum(len(r.stops) for r in mine)),
        mass=Quantity(sum(r.kg for r in mine), "mass", 3, "t", 1),
        road=Quantity(sum(r.km for r in mine), "distance", 3, decimals=0),
    )  # fmt: skip


def _week(runs: Sequence[Run], per_day: Sequence[DayTotals]) -> Message:
    kg, km = sum(r.kg for r in runs), sum(r.km for r in runs)
    days = counted_message("runs.working_days", "{n} working day", "{n} working days", len(per_day))
    if not runs:
        return message("runs.planned_none", "{days} planned, no run.", days=days)
    return message(
        "runs.week", "{days}: {runs}, {mass}, {road}, {each}.",
        days=days, runs=counted_runs(len(runs)), mass=Quantity(kg, "mass", 3, "t", 0),
        road=Quantity(km, "distance", 3, decimals=0),
        each=Quantity(1000 * km / kg, "distance_per_mass", decimals=1),
    )  # fmt: skip
