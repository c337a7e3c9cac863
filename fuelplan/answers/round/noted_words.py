"""What a dispatcher has noted, in words."""

from __future__ import annotations

from datetime import date

from fuelplan.messages import Day, Message, Number, Own, Quantity, Value, as_message, message
from fuelplan.records.round import Happening, Round, Wish

WISHES = {
    "pin": message("wish.pin", "pin"),
    "move": message("wish.move", "move"),
    "forbid": message("wish.forbid", "forbid"),
}
HAPPENINGS = {
    "failed drop": message("happening.failed_drop", "failed drop"),
    "came": message("happening.came", "came"),
    "tanker out": message("happening.tanker_out", "tanker out"),
    "slow roads": message("happening.slow_roads", "slow roads"),
    "depot out of stock": message("happening.out_of_stock", "depot out of stock"),
}


def wish_said(round_: Round, wish: Wish) -> Message:
    """Return a wish in words."""
    said = wish_words(wish.wish, round_.customers.said(wish.customer), wish.day, wish.tanker)
    return message("wish.why", "{wish} ({why})", wish=said, why=Own(wish.why)) if wish.why else said


def wish_words(kind: str, who: Value, day: date | None, tanker: str | None) -> Message:
    """Return a person's word on a stop, without the reason."""
    wish = WISHES.get(kind) or as_message(kind)
    if day is None:
        if tanker is None:
            return message("wish.alone", "{wish} {customer}", wish=wish, customer=who)
        return message(
            "wish.with", "{wish} {customer} with {tanker}", wish=wish, customer=who, tanker=Own(tanker)
        )
    if tanker is None:
        if kind == "move":
            return message("wish.to", "{wish} {customer} to {day}", wish=wish, customer=who, day=Day(day))
        return message("wish.on", "{wish} {customer} on {day}", wish=wish, customer=who, day=Day(day))
    if kind == "move":
        return message(
            "wish.to_with", "{wish} {customer} to {day} with {tanker}",
            wish=wish, customer=who, day=Day(day), tanker=Own(tanker),
        )  # fmt: skip
    return message(
        "wish.on_with", "{wish} {customer} on {day} with {tanker}",
        wish=wish, customer=who, day=Day(day), tanker=Own(tanker),
    )  # fmt: skip


def happening_said(round_: Round, what: Happening) -> Message:
    """Return a happening in words."""
    kind, about = HAPPENINGS.get(what.what) or as_message(what.what), _about(round_, what)
    if what.until != what.day:
        said = message(
            "happening.days", "{what}: {about}, {first} to {last}",
            what=kind, about=about, first=Day(what.day), last=Day(what.until),
        )  # fmt: skip
    else:
        said = message(
            "happening.day", "{what}: {about}, {day}", what=kind, about=about, day=Day(what.day)
        )
    if what.reason:
        return message("happening.why", "{happening} ({why})", happening=said, why=Own(what.reason))
    return said


def _about(round_: Round, what: Happening) -> Value:
    """Return whom or what it is about, with an amount or a class."""
    of: Value = Own(what.tanker or what.depot or "")
    if what.customer is not None:
        of = round_.customers.said(what.customer)
    if what.what == "slow roads":
        of = message("happening.factor", "× {factor}", factor=_factor(what.factor))
        if what.depot:
            of = message("happening.around", "{factor} around {depot}", factor=of, depot=Own(what.depot))
    if what.kg is not None:
        of = message("happening.kg", "{about}, {kg}", about=of, kg=Quantity(what.kg, "weighed_mass"))
    if what.grade:
        of = message("happening.grade", "{about}, {grade}", about=of, grade=Own(what.grade))
    return of


def _factor(factor: float) -> Number:
    """Return a factor with as many decimals as it has: 2, 1.25."""
    return Number(factor, len(f"{factor:g}".partition(".")[2]))
