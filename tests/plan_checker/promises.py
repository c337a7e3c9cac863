"""Orders, what customers have been told, and whoever is due."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from typing import Any

from tests.plan_checker import quantities as q
from tests.plan_checker.access import stopped
from tests.plan_checker.context import KG, MINUTE, Check, Run, Stop, hour
from tests.plan_checker.folder import Order
from tests.plan_checker.roads import covers

EMPTYING_PER_DAY = 0.02
"""No house burns more of its year in a day than this (value from memory: a cold day is about 1 %)."""


def orders(check: Check) -> None:
    """An order comes once, with its kilograms and class, not before its first day; late only if said."""
    seen: dict[str, list[tuple[Run, Stop]]] = defaultdict(list)
    for run, stop in check.stops():
        if stop["order"] is not None:
            seen[stop["order"]].append((run, stop))
    at_risk = {p["order"] for p in check.plan["promises_at_risk"]}
    for number, places in seen.items():
        order = check.orders.get(number)
        run, stop = places[0]
        if order is None:
            check.say("order", run, f"{number} is no open order", stop)
            continue
        if len(places) > 1:
            check.say("twice", run, f"{number} is on {len(places)} stops", stop)
        if stop["customer"] != order.customer:
            check.say("order", run, f"{number} is that of {order.customer}", stop)
        if order.kg is not None and abs(stop["kg"] - order.kg) > KG and not _is_rest(check, order, stop):
            check.say("order amount", run, f"{stop['kg']} kg, ordered were {order.kg:.0f}", stop)
        if stop["product"] != order.grade:
            check.say("order", run, f"{stop['product']}, ordered was {order.grade}", stop)
        day = q.day(run["date"])
        if day < order.first:
            check.say("promise", run, f"comes before {order.first}", stop)
        if day > order.last and number not in at_risk:
            check.say("promise", run, f"promised by {order.last}, and not among the promises at risk", stop)
        told = stop["promised_to"]
        if told is not None and q.day(told) != order.last:
            check.say("promise", run, f"promised by {order.last}, told as {told}", stop)


def _is_rest(check: Check, order: Order, stop: Stop) -> bool:
    """Tell whether a part of the order has come by weigh notes, the stop brings what is left of it to the
    kilogram, and the plan says so with both amounts.
    """
    came = [
        float(row["kg"])
        for row in check.folder.deliveries
        if row["customer"] == order.customer
        and row.get("class", "") in ("", stop["product"])
        and q.day(row["date"]) <= check.as_of
    ]
    for kg in came:
        if abs(order.kg - kg - stop["kg"]) <= KG and any(
            f"Order {order.order} " in note and f"{kg:,.0f} of {order.kg:,.0f} kg came" in note
            for note in check.plan["notes"]
        ):
            return True
    return False


def shared(check: Check) -> None:
    """Two neighbours' tickets for one class and days that meet come on one run, unless one is not served or
    a note names both, because no tanker or weekday is right for the two.
    """
    at = {s["order"]: (r, s) for r, s in check.stops() if s["order"] is not None}
    by_customer = {o.customer: o for o in check.folder.orders}
    for order in check.folder.orders:
        other = by_customer.get(order.split_with)
        if other is None or other.split_with != order.customer or order.customer > other.customer:
            continue
        meets = order.grade == other.grade and max(order.first, other.first) <= min(order.last, other.last)
        if not meets or order.order not in at or other.order not in at:
            continue
        (run, stop), (run_b, _) = at[order.order], at[other.order]
        told = any(order.order in note and other.order in note for note in check.plan["notes"])
        if run is not run_b and not told:
            check.say("shared drop", run, f"{other.order} of the neighbour is elsewhere", stop)


def unasked(check: Check) -> None:
    """On-request customers are served on an order, a published stop or a person's word, and not otherwise."""
    told = {(r["date"], r["customer"]) for r in check.folder.published}
    wished = {w["customer"] for w in check.folder.wishes if w["wish"] in ("pin", "move")}
    for run, stop in check.stops():
        known = check.customer(stop).top_up or stop["order"] is not None
        if not known and (run["date"], stop["customer"]) not in told and stop["customer"] not in wished:
            check.say("unasked", run, "orders when fuel is wanted, and has not", stop)


def twice(check: Check) -> None:
    """No customer is served twice on a day with one class, nor gets more in all than a full store and what
    could be burned meanwhile.
    """
    seen: set[tuple[str, str, str]] = set()
    kg: dict[str, float] = defaultdict(float)
    where: dict[str, tuple[Run, Stop]] = {}
    for run, stop in check.stops():
        key = (run["date"], stop["customer"], stop["product"])
        if key in seen:
            check.say("twice", run, "is served twice that day", stop)
        seen.add(key)
        kg[stop["customer"]] += stop["kg"]
        where[stop["customer"]] = (run, stop)
    span = (check.days[-1] - check.as_of).days if check.days else 0
    for name, total in kg.items():
        customer = check.folder.customers[name]
        burned = EMPTYING_PER_DAY * span * max(customer.kg_per_year or 0.0, customer.store_kg)
        if total > customer.store_kg + burned + KG:
            run, stop = where[name]
            check.say("twice", run, f"{total:.0f} kg in {span} days into {customer.store_kg:.0f}", stop)


def published(check: Check) -> None:
    """Every stop that was told stays on its day, with its tanker, its amount and within the window that was
    told; what does not is named in the changes.
    """
    stops = {(r["date"], s["customer"], s["product"]): (r, s) for r, s in check.stops()}
    told = [*check.plan["changes"], *(f"{n['customer']} {n['reason']}" for n in check.plan["not_served"])]
    for row in check.folder.published:
        day = q.day(row["date"])
        if not check.days or not check.as_of < day <= check.days[-1]:
            continue
        if any(row["customer"] in text for text in told):
            continue
        found = stops.get((row["date"], row["customer"], row["class"]))
        if found is None:
            check.say(
                "published",
                None,
                f"{row['customer']} was told {row['date']}: gone, no change is told",
            )
            continue
        run, stop = found
        if abs(stop["kg"] - q.kg(row["kg"])) > KG:
            check.say("published", run, f"{stop['kg']} kg, told were {row['kg']}, no change is told", stop)
        if run["tanker"] != row["tanker"]:
            check.say("published", run, f"told was {row['tanker']}, no change is told", stop)
        window = _told_window(check, row)
        if window is not None:
            first, last = window
            if not first - 0.51 * MINUTE <= hour(stop["start"]) <= last + 0.51 * MINUTE:
                text = f"begins {stop['start']}, told {first:.2f} to {last:.2f} h"
                check.say("told time", run, text, stop)
            now = (stop.get("told_from"), stop.get("told_to"))
            if row.get("told_from") and now != (row["told_from"], row["told_to"]):
                check.say(
                    "told time", run, f"{now} in the place of {row['told_from']}, {row['told_to']}", stop
                )


def _told_window(check: Check, row: dict[str, str]) -> tuple[float, float] | None:
    """Return the window that a published stop was told; without one, its arrival and half the customer's
    hours before and after. [hours of the clock]
    """
    if row.get("told_from") and row.get("told_to"):
        return q.clock(row["told_from"]), q.clock(row["told_to"])
    if not row.get("arrive"):
        return None
    half = check.folder.customers[row["customer"]].told_window_h / 2
    return q.clock(row["arrive"]) - half, q.clock(row["arrive"]) + half


def due(check: Check) -> None:
    """Every customer due within the plan is on a run or in `not_served`, with a reason."""
    served = {s["customer"] for _, s in check.stops()}
    carried = {s["order"] for _, s in check.stops()}
    reasons: dict[tuple[str, str | None], str] = {
        (n["customer"], n["order"]): str(n["reason"]) for n in check.plan["not_served"]
    }
    named = {customer for customer, _ in reasons}
    for (name, number), reason in reasons.items():
        if not reason.strip():
            check.say("due", None, f"{name} {number or ''} is not served without a reason")
    if not check.days:
        return
    for order in check.folder.orders:
        customer = check.folder.customers[order.customer]
        gone = customer.left_on is not None and customer.left_on < check.days[0]
        if order.order in carried or (order.customer, order.order) in reasons or gone:
            continue
        if _has_come(check, order):
            continue
        done = any(f"Order {order.order} " in note for note in check.plan["notes"])
        if order.last <= check.days[-1] and not done:
            check.say("due", None, f"order {order.order} of {order.customer} is on no run, no word why")
    for name, last in _deadlines(check).items():
        if last <= check.days[-1] and name not in served and name not in named:
            check.say("due", None, f"{name}, deliver by {last}, is on no run, no word why")


def _deadlines(check: Check) -> dict[str, date]:
    """Return by when each top-up customer must be served: as the outlook says, where it was given, and those
    whose last reading lies below the reserve with no delivery since.
    """
    out = dict(check.due or {})
    latest: dict[str, tuple[date, float]] = {}
    for row in check.folder.readings:
        customer, day = check.folder.customers.get(row["customer"]), q.day(row["date"])
        if customer is None or day > check.as_of or row.get("checked") == "wrong":
            continue
        level = (
            q.kg(row["kg"]) if row.get("kg") else customer.store_kg * q.kg(row["percent"].rstrip("% ")) / 100
        )
        if row["customer"] not in latest or day >= latest[row["customer"]][0]:
            latest[row["customer"]] = (day, level)
    came: dict[str, date] = {}
    for row in check.folder.deliveries:
        if q.day(row["date"]) <= check.as_of:
            came[row["customer"]] = max(came.get(row["customer"], date.min), q.day(row["date"]))
    for row in check.folder.happenings:
        if row["what"] == "came" and q.day(row["day"]) <= check.as_of:
            came[row["customer"]] = max(came.get(row["customer"], date.min), q.day(row["day"]))
    for name, (day, level) in latest.items():
        customer = check.folder.customers[name]
        gone = customer.left_on is not None and customer.left_on < check.days[0]
        if customer.top_up and not gone and level < customer.reserve_kg and came.get(name, date.min) < day:
            out.setdefault(name, check.days[0])
    return out


def deadlines_of(outlook: dict[str, Any]) -> dict[str, date]:
    """Return the top-up customers and their last day, from the document of `fuelplan outlook`."""
    out = {}
    for row in outlook["customers"] or ():
        last = row.get("deliver_by", row.get("must_go_by"))
        if row["contract"] in ("top-up", "managed") and last is not None:
            out[row["customer"]] = q.day(last)
    return out


def upset(check: Check) -> None:
    """A tanker that is out leaves no published stop of its own in silence."""
    last = (check.days or [check.as_of])[-1]
    for row in check.folder.published:
        day = q.day(row["date"])
        out = any(
            h["what"] == "tanker out" and h["tanker"] == row["tanker"] and covers(h, day)
            for h in check.folder.happenings
        )
        told = any(row["customer"] in text for text in check.plan["changes"])
        if out and not told and check.as_of < day <= last:
            check.say("published", None, f"{row['customer']}: its tanker is out, no change is told")


def _has_come(check: Check, order: Order) -> bool:
    """Tell whether the plan says of an order that it has come, or asks whether it has."""
    asked = {a.get("order") for a in check.plan.get("to_confirm", ())}
    words = {word.strip(".,:;()") for text in check.plan["notes"] for word in str(text).split()}
    return order.order in asked or order.order in words


def credit_reasons(check: Check) -> None:
    """Whoever a credit stop keeps from an order or from due fuel is named."""
    named = {n["customer"] for n in check.plan["not_served"]}
    for order in check.folder.orders:
        kept = stopped(order, check.folder.customers[order.customer].credit_stop)
        if kept and order.customer not in named and not _has_come(check, order):
            check.say("credit stop", None, f"order {order.order} is kept back, and nothing says it")
