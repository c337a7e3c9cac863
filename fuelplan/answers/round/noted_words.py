"""What a dispatcher has noted, in words; days as 2026-01-20."""

from __future__ import annotations

from fuelplan import units
from fuelplan.records.round import Happening, Round, Wish


def wish_said(round_: Round, wish: Wish) -> str:
    """Return a wish in words."""
    on = "" if wish.day is None else f" {'to' if wish.wish == 'move' else 'on'} {wish.day.isoformat()}"
    by = "" if wish.tanker is None else f" with {wish.tanker}"
    why = f" ({wish.why})" if wish.why else ""
    return f"{wish.wish} {customer_said(round_, wish.customer)}{on}{by}{why}"


def happening_said(round_: Round, what: Happening) -> str:
    """Return a happening in words."""
    of = what.tanker or what.depot or ""
    if what.customer is not None:
        of = customer_said(round_, what.customer)
    if what.what == "slow roads":
        of = f"× {what.factor:g}" + (f" around {what.depot}" if what.depot else "")
    if what.kg is not None:
        of += f", {units.show_as(what.kg, 'kg')}"
    if what.grade:
        of += f", {what.grade}"
    until = f" to {what.until.isoformat()}" if what.until != what.day else ""
    why = f" ({what.reason})" if what.reason else ""
    return f"{what.what}: {of}, {what.day.isoformat()}{until}{why}"


def customer_said(round_: Round, customer: str) -> str:
    """Return a customer with number and name."""
    number = round_.customers.number_of.get(customer)
    name = "" if number is None else str(round_.customers.name[number])
    return f"{customer} {name}".strip()
