"""Days: when tankers drive, when customers take fuel, and what has happened to a day."""

from __future__ import annotations

from datetime import date, timedelta

from tests.plan_checker import quantities as q
from tests.plan_checker.context import Check
from tests.plan_checker.folder import WEEKDAYS
from tests.plan_checker.roads import covers


def drives(check: Check, day: date) -> bool:
    """Tell whether tankers drive on a day: its weekday, days closed, and the place's bank holidays."""
    rules, place = check.folder.rules, check.folder.toml.get("place", {})
    if WEEKDAYS[day.weekday()] not in rules.get("weekdays", WEEKDAYS[:5]):
        return False
    if day in {q.day(d) for d in rules.get("closed", ())}:
        return False
    if rules.get("bank_holidays", True) and place.get("country"):
        import holidays

        return day not in holidays.country_holidays(place["country"], subdiv=place.get("subdivision"))
    return True


def days(check: Check) -> None:
    """The plan's days are the next days on which tankers drive (a published day may be one more); no run on
    another, none by a tanker that is out of service, no stop on a weekday the customer does not take fuel.
    """
    published = {q.day(r["date"]) for r in check.folder.published}
    day, k = check.as_of + timedelta(days=1), 0
    while k < len(check.days):
        if check.days[k] == day and not drives(check, day):
            k += 1
            if day not in published:
                check.say("closed day", None, f"{day} is planned, but no tanker drives")
        elif check.days[k] == day:
            k += 1
        elif drives(check, day) and day < check.days[k]:
            check.say("closed day", None, f"{day} is no day of the plan")
        elif day > check.days[k]:
            check.say("closed day", None, f"{check.days[k]} is out of order")
            k += 1
            continue
        day += timedelta(days=1)
    for run in check.runs():
        day = q.day(run["date"])
        if day not in check.days:
            check.say("closed day", run, "no day of the plan")
        elif not drives(check, day):
            check.say("closed day", run, "no tanker drives that day")
        if day in check.tanker(run).out_of_service:
            check.say("out of service", run, "out of service by round.toml")
        for row in check.folder.happenings:
            if row["what"] == "tanker out" and row["tanker"] == run["tanker"] and covers(row, day):
                check.say("out of service", run, "the tanker is out that day")
        for stop in run["stops"]:
            if day.weekday() not in check.customer(stop).weekdays:
                check.say("weekday", run, f"{WEEKDAYS[day.weekday()]} is not one of theirs", stop)
            for row in check.folder.happenings:
                if row["what"] == "failed drop" and row["customer"] == stop["customer"] and covers(row, day):
                    check.say("failed drop", run, "the drop has failed on that day", stop)


def wishes(check: Check) -> None:
    """A person's word outweighs the plan: no stop that is forbidden, and a pin is kept or spoken of."""
    when: dict[str, list[tuple[date, str]]] = {}
    for run, stop in check.stops():
        when.setdefault(stop["customer"], []).append((q.day(run["date"]), run["tanker"]))
        for row in check.folder.wishes:
            if (
                row["wish"] == "forbid"
                and row["customer"] == stop["customer"]
                and row.get("date", "") in ("", run["date"])
                and row.get("tanker", "") in ("", run["tanker"])
            ):
                check.say("wish", run, "forbidden", stop)
    for row in check.folder.wishes:
        if row["wish"] == "forbid" or not row.get("date") or q.day(row["date"]) not in check.days:
            continue
        there = [
            1
            for day, tanker in when.get(row["customer"], [])
            if day == q.day(row["date"]) and row.get("tanker", "") in ("", tanker)
        ]
        if not there and not _spoken_of(check, row["customer"]):
            check.say("wish", None, f"{row['customer']} is not served on {row['date']}, and nothing says why")


def _spoken_of(check: Check, customer: str) -> bool:
    """Tell whether the plan says something of a customer whom it does not serve as wished."""
    named = [n["customer"] for n in (*check.plan["not_served"], *check.plan.get("wishes_not_kept", ()))]
    told = [*check.plan["changes"], *check.plan["notes"], *check.plan["sentences"]]
    return customer in named or any(customer in text for text in told)
