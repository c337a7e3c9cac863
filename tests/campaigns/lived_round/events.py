"""What happens to a supplier: orders, looks at stores, customers who come and go."""

from __future__ import annotations

import math
from datetime import date, timedelta

from tests.campaigns.lived_round import program
from tests.campaigns.lived_round.life import Life
from tests.campaigns.lived_round.tables import Row, iso
from tests.campaigns.lived_round.truth import House
from tests.campaigns.lived_round.worlds import _reading


def evening(life: Life) -> None:
    """What comes in by the evening; all of it is written by hand into the folder's files."""
    looks(life)
    orders(life)
    for chance, happening in (
        (0.10, leaves), (0.15, comes), (0.12, credit_stop), (0.08, lifted), (0.10, stop_ends), (0.12, window),
        (0.06, holiday), (0.25, wish),
    ):  # fmt: skip
        if life.rng.random() < chance:
            happening(life)
    stock(life)


def looks(life: Life) -> None:
    """Some customers tell what lies in their store."""
    here = [r["customer"] for r in life.rows("customers")]
    for name in life.rng.sample(here, min(len(here), life.rng.randint(2, 6))):
        life.enter("readings", _reading(life.rng, name, life.as_of, life.truth.houses[name]))


def orders(life: Life) -> None:
    """Who orders himself rings when little is left; some are empty already, some want it full, some share."""
    waiting = {r["customer"] for r in life.rows("orders")} | {
        r["customer"] for r in life.rows("published") if r["date"] > iso(life.as_of)
    }
    rows = {r["customer"]: r for r in life.rows("customers")}
    for name, row in rows.items():
        house = life.truth.houses[name]
        share = house.level_kg / house.store_kg
        rings = row["contract"] == "on request" and share < 0.2 and life.rng.random() < 0.5
        urgent = house.level_kg <= 0
        if name in waiting or row.get("left_on") or row.get("credit_stop") == "yes" or not (rings or urgent):
            continue
        order(life, name, row, urgent, "")
        if life.rng.random() < 0.15:
            near = sorted(
                (r for r in rows.values() if r["customer"] not in waiting | {name}),
                key=lambda r: _apart(r, row),
            )
            mate = next(
                (r for r in near[:3] if r["classes"] == row["classes"] and not r.get("left_on")), None
            )
            if mate is not None and life.truth.houses[mate["customer"]].fits_kg() > 2000:
                number = life.rows("orders")[-1]["order"]
                life.change("orders", number, "split_with", mate["customer"])
                order(life, mate["customer"], mate, False, name)
                waiting.add(mate["customer"])
        waiting.add(name)


def order(life: Life, name: str, row: Row, urgent: bool, shared: str) -> None:
    """Write an order."""
    house = life.truth.houses[name]
    amount = max(1000, 100 * math.floor(house.fits_kg() * life.rng.uniform(0.5, 0.85) / 100))
    last = life.as_of + timedelta(days=1 + life.rng.randint(0, 2) if urgent else life.rng.randint(3, 8))
    while last.weekday() > 4:
        last += timedelta(days=1)
    life.enter("orders", {
        "order": life.number("L"), "customer": name, "class": row["classes"][:2],
        "kg": "full" if life.rng.random() < 0.2 and not shared else str(amount), "from": "", "to": iso(last),
        "price_per_t": "329", "credit_stop": "no", "call_ahead": "no",
        "already_empty": "yes" if urgent else "no", "split_with": shared,
    })  # fmt: skip


def _apart(a: Row, b: Row) -> float:
    return math.dist(
        (float(a["latitude"]), float(a["longitude"])), (float(b["latitude"]), float(b["longitude"]))
    )


def _somebody(life: Life, told: float = 0.5) -> str:
    """Return a customer: with a chance one who has been told a stop to come."""
    coming = [r["customer"] for r in life.rows("published") if r["date"] > iso(life.as_of)]
    here = [r["customer"] for r in life.rows("customers") if not r.get("left_on")]
    coming = [c for c in coming if c in here]
    return life.rng.choice(coming if coming and life.rng.random() < told else here)


def leaves(life: Life) -> None:
    """A customer leaves: his end date is written down, or – where the folder knows none – his row goes."""
    name = _somebody(life)
    for row in life.rows("orders"):
        if row["customer"] == name:
            life.take_out("orders", "order", row["order"])
    if program.knows("left_on"):
        life.change("customers", name, "left_on", iso(life.as_of + timedelta(days=life.rng.randint(0, 4))))
    else:
        row = next(r for r in life.rows("customers") if r["customer"] == name)
        life.take_out("customers", "customer", name)
        life.put_back = row


def comes(life: Life) -> None:
    """A customer comes of whom nothing is known but the store."""
    names = list(life.rows("customers")[0])
    like = life.rng.choice(life.rows("customers"))
    name, store = life.number("N"), life.rng.choice((4000, 6000, 9000))
    row = dict.fromkeys(names, "") | {
        "customer": name, "name": f"New house {name}", "area": like.get("area", ""),
        "classes": like["classes"],
        "latitude": f"{float(like['latitude']) + 0.002:.5f}", "longitude": like["longitude"],
        "store_kg": str(store), "contract": life.rng.choice(("top-up", "on request")),
    }  # fmt: skip
    life.enter("customers", {k: v for k, v in row.items() if v})
    life.truth.houses[name] = House(
        store, store * life.rng.uniform(0.7, 1.2), 0.15, store * life.rng.uniform(0.1, 0.9)
    )
    life.truth.area_of[name] = like.get("area") or next(iter(life.truth.skies))


def credit_stop(life: Life) -> None:
    """A customer, or one order, is stopped."""
    open_orders = life.rows("orders")
    if open_orders and life.rng.random() < 0.4:
        life.change("orders", life.rng.choice(open_orders)["order"], "credit_stop", "yes")
    else:
        life.change("customers", _somebody(life), "credit_stop", "yes")


def lifted(life: Life) -> None:
    """A named person lets one order through."""
    stopped = {r["customer"] for r in life.rows("customers") if r.get("credit_stop") == "yes"}
    kept = [r["order"] for r in life.rows("orders") if r["credit_stop"] == "yes" or r["customer"] in stopped]
    if kept and program.knows("lifted_by"):
        life.change("orders", life.rng.choice(kept), "lifted_by", "Anna")


def stop_ends(life: Life) -> None:
    """A customer has paid."""
    stopped = [r["customer"] for r in life.rows("customers") if r.get("credit_stop") == "yes"]
    if stopped:
        life.change("customers", life.rng.choice(stopped), "credit_stop", "no")


def window(life: Life) -> None:
    """A customer takes fuel at other hours from now on."""
    name = _somebody(life, 0.8)
    first, last = life.rng.choice((("", "11:00"), ("12:00", ""), ("08:00", "12:00"), ("", "14:00")))
    life.change("customers", name, "from", first)
    life.change("customers", name, "to", last)


def holiday(life: Life) -> None:
    """A day on which no tanker drives."""
    day = life.as_of + timedelta(days=life.rng.randint(1, 6))
    if day.weekday() > 4:
        return

    def close(document: object) -> None:
        rules = document["rules"]  # type: ignore[index]
        rules["closed"] = sorted({*rules.get("closed", ()), day})

    life.edit_round(close)
    life.ledger.closed.add(iso(day))
    life.tally.entries["closed day"] += 1


def wish(life: Life) -> None:
    """A person's word: keep away from somebody on a day, or go there on one."""
    name = _somebody(life)
    day = life.as_of + timedelta(days=life.rng.randint(1, 5))
    while day.weekday() > 4:
        day += timedelta(days=1)
    kind = life.rng.choice(("forbid", "forbid", "pin", "move"))
    life.enter("wishes", {"customer": name, "wish": kind, "date": iso(day), "by": "Anna", "why": "asked for"})


def stock(life: Life) -> None:
    """Every evening the dispatcher writes down what lies at the depots, and orders more where it is short."""
    truth = life.truth

    def counted(document: object) -> None:
        for depot in document["depot"]:  # type: ignore[index]
            for grade in list(depot["stock"]):
                depot["stock"][grade] = f"{max(0.0, truth.stock_kg[depot['name'], grade]) / 1000:.2f} t"
            coming = [a for a in depot.get("arriving", []) if _day(a["on"]) > life.as_of]
            for grade in list(depot["stock"]):
                if truth.stock_kg[depot["name"], grade] < 30_000 and not any(
                    a["class"] == grade for a in coming
                ):
                    day = life.as_of + timedelta(days=life.rng.randint(1, 4))
                    coming.append({"on": day, "class": grade, "amount": "60 t"})
            depot["arriving"] = coming

    life.edit_round(counted)


def arrivals(life: Life, day: date) -> None:
    """What was ordered comes."""
    from tests.campaigns.lived_round import tables

    for depot in tables.read_toml(life.folder / "round.toml")["depot"]:
        for a in depot.get("arriving", []):
            if _day(a["on"]) == day:
                life.truth.stock_kg[depot["name"], a["class"]] += 1000 * float(str(a["amount"]).split()[0])


def _day(value: object) -> date:
    return value if isinstance(value, date) else date.fromisoformat(str(value))
