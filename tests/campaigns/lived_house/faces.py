"""Whether sentence, command line, JSON, calendar and page of one answer say the same."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import fuelplan.answers.when_to_order as order_words
from fuelplan.answers.when_to_order.answer import OrderAnswer
from fuelplan.cli.order import as_text
from fuelplan.messages import as_text as shown
from fuelplan.papers.calendars import order_calendar
from tests.plan_checker.texts import texts

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip
_DATE = re.compile(rf"(\d{{1,2}}) ({'|'.join(MONTHS)})(?: (\d{{4}}))?")
_MASS = re.compile(r"(\d[\d,]*(?:\.\d+)?) (t|kg)\b")
_RANGE = re.compile(r"(\d[\d,]*(?:\.\d+)?) to (\d[\d,]*(?:\.\d+)?) (t|kg)\b")
LAST_DAY = "last day to order"
UNIT_KG = {"t": 1000.0, "kg": 1.0}


def disagreements(answer: OrderAnswer) -> list[str]:
    """Return what the faces of an answer say differently, a sentence each."""
    document = texts(json.loads(json.dumps(answer.to_json())))
    text = as_text(answer)
    found = [*_sentence(document, str(answer.sentence)), *_command_line(document, text, str(answer.sentence))]
    found += _calendar(document, order_calendar(answer))
    found += _page(document, str(order_words.headline(answer)), order_words.facts(answer))
    return found


def _sentence(document: dict[str, Any], sentence: str) -> list[str]:
    stock, order, day = document["stocks"][0], document["order"], document["as_of"]
    found = []
    level = _RANGE.search(sentence)
    if level is not None and not _is_range(level.group(0), stock["p10_kg"], stock["p90_kg"]):
        found.append(
            f"sentence: level {level.group(0)}, JSON {stock['p10_kg']:.0f} to {stock['p90_kg']:.0f} kg"
        )
    if order is None:
        return found
    if document["decision"] == "wait" and order["order_by"] not in dates_in(sentence, day):
        found.append(f"sentence: no {order['order_by']}, the JSON's order_by")
    if document["decision"] == "late" and "today" not in sentence:
        found.append("sentence: late in JSON, and not said to order today")
    if not any(_near(kg, order["amount_kg"], step) for kg, step in _masses(sentence)):
        found.append(f"sentence: no {order['amount_kg']:.0f} kg, the JSON's amount")
    return found


def _command_line(document: dict[str, Any], text: str, sentence: str) -> list[str]:
    found = (
        [] if sentence in text.replace("\n", " ") or sentence in text else ["command line: another sentence"]
    )
    order, day = document["order"], document["as_of"]
    rows: dict[str, list[str]] = {}
    for name, value in re.findall(r"^  ([A-Z][\w ,]+): +(.+)$", text, flags=re.MULTILINE):
        rows.setdefault(name, []).append(value)
    if (order is None) != ("Order by" not in rows):
        found.append("command line: an order where the JSON has none, or none where it has one")
    if order is not None and "Order by" in rows:
        if dates_in(rows["Order by"][0], day) != [order["order_by"]]:
            found.append(f"command line: order by {rows['Order by'][0]}, JSON {order['order_by']}")
        if not _says(rows["Amount"][0], order["amount_kg"]):
            found.append(f"command line: amount {rows['Amount'][0]}, JSON {order['amount_kg']:.0f} kg")
        if dates_in(rows["Delivery between"][0], day)[-1:] != [order["deliver_to"]]:
            found.append(f"command line: delivery {rows['Delivery'][0]}, JSON {order['deliver_to']}")
    placed = sum(len(values) for name, values in rows.items() if name.startswith("On its way"))
    if placed != len([p for p in document["placed"] if not p["overdue"]]):
        found.append(f"command line: {placed} on order, JSON {len(document['placed'])}")
    for question in document.get("questions", []):
        if _bare(question["text"]) not in _bare(text):
            found.append(f"command line: the question “{question['text']}” is not there")
    return found


def _calendar(document: dict[str, Any], content: bytes) -> list[str]:
    from icalendar import Calendar

    events = [
        (str(e["summary"]), e["dtstart"].dt.isoformat()) for e in Calendar.from_ical(content).walk("VEVENT")
    ]
    last = sorted(day for title, day in events if LAST_DAY in title.lower())
    proposals = [document["order"]] if document["order"] else []
    meant = sorted(o["order_by"] for o in [*proposals, *document["next_orders"]])
    found = [] if last == meant else [f"calendar: last days {last}, JSON {meant}"]
    for o in proposals:
        titles = [t for t, day in events if day == o["order_by"] and LAST_DAY in t.lower()]
        if titles and not any(_says(t, o["amount_kg"]) for t in titles):
            found.append(f"calendar: {titles}, JSON {o['amount_kg']:.0f} kg")
    coming = sorted(day for title, day in events if "may come: boiler off" in title)
    if coming != sorted(p["deliver_from"] for p in document["placed"]):
        found.append(f"calendar: deliveries from {coming}, JSON has others on order")
    return found


def _page(document: dict[str, Any], headline: str, facts: list[Any]) -> list[str]:
    order, day, stock = document["order"], document["as_of"], document["stocks"][0]
    by_name = {shown(fact.name): shown(fact.value) for fact in facts}
    found = []
    if order is not None:
        if dates_in(by_name[shown(order_words.ORDER_BY)], day) != [order["order_by"]]:
            found.append(f"page: order by {by_name[shown(order_words.ORDER_BY)]}, JSON {order['order_by']}")
        if not _says(by_name[shown(order_words.AMOUNT)], order["amount_kg"]):
            found.append(
                f"page: amount {by_name[shown(order_words.AMOUNT)]}, JSON {order['amount_kg']:.0f} kg"
            )
        if not _says(headline, order["amount_kg"]):
            found.append(f"headline: “{headline}”, JSON {order['amount_kg']:.0f} kg")
        named = dates_in(headline, day)
        if document["decision"] == "wait" and order["order_by"] not in named:
            found.append(f"headline: “{headline}”, JSON {order['order_by']}")
    elif shown(order_words.ORDER_BY) in by_name:
        found.append("page: an order where the JSON has none")
    level = by_name.get(shown(order_words.LEFT), "")
    if _RANGE.search(level) and not _is_range(level, stock["p10_kg"], stock["p90_kg"]):
        found.append(f"page: {level} in store, JSON {stock['p10_kg']:.0f} to {stock['p90_kg']:.0f} kg")
    return found


def command_line_of(path: Path, day: date, *options: str) -> str:
    """Return what `fuelplan order` prints, in this process."""
    import contextlib
    import io

    from fuelplan.cli import main

    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.suppress(SystemExit):
        main(["order", str(path), "--as-of", day.isoformat(), *options])
    return out.getvalue()


def page_of(path: Path, day: date) -> str:
    """Return the words of the order page, run without a browser on a copy whose example day is `day`."""
    import shutil
    import sys
    import tempfile
    from html import unescape

    import streamlit as st
    from streamlit.testing.v1 import AppTest

    import fuelplan.pages

    script = Path(fuelplan.pages.__file__).parent / "questions" / "when_to_order.py"
    with tempfile.TemporaryDirectory() as place:
        copy = Path(place) / "house"
        shutil.copytree(path, copy)
        text = (copy / "site.toml").read_text(encoding="utf-8")
        (copy / "site.toml").write_text(
            text.replace("format = 1\n", f"format = 1\nexample_date = {day}\n"), encoding="utf-8"
        )
        before = sys.argv
        sys.argv = ["page.py", str(copy)]
        try:
            st.cache_resource.clear()
            page = AppTest.from_file(str(script), default_timeout=120).run()
        finally:
            sys.argv = before
            st.cache_resource.clear()
        if page.exception:
            return f"the page ended in {page.exception[0].value}"
        return unescape("\n".join(piece.proto.body for piece in page.get("html"))).replace("\u00a0", " ")


def dates_in(text: str, as_of: str | date) -> list[str]:
    """Return the dates in a text; one without a year lies in the year of the answer, or, at the beginning of
    a span, in the year of its end.
    """
    found: list[str] = []
    for match in reversed(list(_DATE.finditer(text))):
        d, m, y = match.groups()
        month, year = MONTHS.index(m) + 1, int(y or str(as_of)[:4])
        if not y and found and text[match.end() :].startswith(" to "):
            end = date.fromisoformat(found[-1])
            year = end.year - ((month, int(d)) > (end.month, end.day))
        found.append(date(year, month, int(d)).isoformat())
    return found[::-1]


def _masses(text: str) -> list[tuple[float, float]]:
    return [(_number(n) * UNIT_KG[u], _step(n) * UNIT_KG[u]) for n, u in _MASS.findall(text)]


def _number(text: str) -> float:
    return float(text.replace(",", ""))


def _step(text: str) -> float:
    """Return the place value of the last digit that is shown and is not a rounding zero."""
    if "." in text:
        return 10.0 ** -len(text.split(".")[1])
    digits = text.replace(",", "")
    return 10.0 ** (len(digits) - len(digits.rstrip("0"))) if digits.strip("0") else 1.0


def _near(shown: float, kg: float, step: float) -> bool:
    return abs(shown - kg) <= 0.51 * step + 0.5


def _says(text: str, kg: float) -> bool:
    return any(_near(shown, kg, step) for shown, step in _masses(text))


def _is_range(text: str, low: float, high: float) -> bool:
    """Tell whether "1.5 to 2.2 t" is the range, its ends rounded outwards."""
    found = _RANGE.search(text)
    assert found is not None
    unit = UNIT_KG[found[3]]
    step = max(min(_step(found[1]), _step(found[2])) * unit, 1.0)
    ends = _number(found[1]) * unit, _number(found[2]) * unit
    return abs(ends[0] - low) <= 1.01 * step and abs(ends[1] - high) <= 1.01 * step


def _bare(text: str) -> str:
    return " ".join(text.split())
