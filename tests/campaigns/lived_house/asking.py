"""Asking `order` as a person does, and the figures of an answer that checks compare."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from fuelplan import answers
from fuelplan.answers.when_to_order.answer import OrderAnswer

_weather: dict[tuple[Path, int, date], answers.SiteWeather] = {}

Ask = Callable[[Path, date, bool], OrderAnswer]


def ask(path: Path, day: date, whole: bool) -> OrderAnswer:
    """Return the answer of a day; not `whole` leaves out what no check of a single figure reads."""
    site = answers.open_site(path)
    file = path / "weather.csv"
    key = (file, file.stat().st_size, day)
    if key not in _weather:  # the same file is not read again for every entry of an evening
        _weather.clear()
        _weather[key] = answers.weather_for(site, day)
    weather = _weather[key]
    if whole:
        return answers.order(site, weather, day)
    return answers.answer_prepared(answers.prepare(site, weather, day), whole=False)


@dataclass(frozen=True)
class Seen:
    """The figures of an answer. [kg, dates, share]"""

    day: date
    decision: str
    level: tuple[float, float, float]
    order_by: date | None
    amount_kg: float | None
    run_out: tuple[date | None, ...]
    use: tuple[float, ...]
    placed: tuple[Any, ...]


def seen(answer: OrderAnswer) -> Seen:
    """Return the figures of an answer."""
    stock, gone, order = answer.stocks[0], answer.run_out[0], answer.order
    return Seen(
        answer.as_of,
        answer.decision,
        (stock.p10_kg, stock.kg, stock.p90_kg),
        None if order is None else order.order_by,
        None if order is None else order.amount_kg,
        (gone.p02, gone.p10, gone.p50, gone.p90),
        tuple(q for use in answer.use_kg for q in (use.p10, use.p50, use.p90)),
        tuple((p.ordered_on, p.deliver_from, p.deliver_to, p.amount_kg) for p in answer.placed),
    )


def moved(a: Seen, b: Seen, least_kg: float = 1.0) -> bool:
    """Tell whether two answers of one day differ in any figure by more than a kilogram."""
    kg = zip((*a.level, *a.use), (*b.level, *b.use), strict=True)
    return (
        (a.decision, a.order_by, a.amount_kg, a.run_out, a.placed)
        != (b.decision, b.order_by, b.amount_kg, b.run_out, b.placed)
        or any(abs(x - y) > least_kg for x, y in kg)
    )  # fmt: skip


def questions(answer: Any) -> list[dict[str, Any]]:
    """Return the questions of an answer, none where the program has none."""
    return [as_dict(q) for q in getattr(answer, "questions", ())]


def set_aside(answer: Any) -> list[dict[str, Any]]:
    """Return the entries that an answer says it did not count."""
    return [as_dict(s) for s in getattr(answer, "set_aside", ())]


def as_dict(thing: Any) -> dict[str, Any]:
    """Return a dataclass or a mapping as the JSON document shows it, messages as texts."""
    from fuelplan.answers.as_json import plain
    from tests.plan_checker.texts import texts

    found = texts(plain(thing))
    assert isinstance(found, dict)
    return found
