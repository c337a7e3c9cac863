"""What changed since an earlier answer, and why: the earlier one is worked out again from what was known on
its day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fuelplan.answers.weather_of_site import SiteWeather, known_weather
from fuelplan.answers.when_to_order.answer import OrderAnswer
from fuelplan.answers.when_to_order.order import order
from fuelplan.messages import Day, Listed, Message, Quantity, Refusal, counted_message, message
from fuelplan.records.site import Site
from fuelplan.weather import usual_year

WORTH_SAYING_KG = 50.0
WORTH_SAYING_K = 0.7


@dataclass(frozen=True)
class Changes:
    """What is different from the answer of an earlier day.

    Attributes
    ----------
    since
        The earlier day.
    order_by_before, amount_before_kg, decision_before
        What was answered then.
    days_moved
        By how many days the last safe day moved; negative: sooner. None where either has none.
    sentences
        What changed and why, most important first.
    """

    since: date
    decision_before: str
    order_by_before: date | None
    amount_before_kg: float | None
    days_moved: int | None
    sentences: tuple[Message, ...]


def what_changed(site: Site, weather: SiteWeather, now: OrderAnswer, since: date) -> Changes:
    """Return what changed between the answer of `since` and `now`.

    Raises
    ------
    Refusal
        Where `since` is not before the day of `now`.
    """
    if since >= now.as_of:
        raise Refusal(
            message(
                "changes.not_earlier",
                "{since} does not lie before {day}; name an earlier day to compare with",
                since=Day(since, year=True),
                day=Day(now.as_of, year=True),
            )
        )
    before = order(site, weather, since, now.seed)
    by_then, by_now = (None if a.order is None else a.order.order_by for a in (before, now))
    moved = None if by_then is None or by_now is None else (by_now - by_then).days
    sentences = [_headline(now, by_then, moved, since), *_reasons(site, weather, before, now)]
    return Changes(
        since,
        before.decision,
        by_then,
        None if before.order is None else before.order.amount_kg,
        moved,
        tuple(sentences),
    )


def _headline(now: OrderAnswer, by_then: date | None, moved: int | None, since: date) -> Message:
    day = Day(since)
    if by_then is None:
        return message(
            "changes.none_then", "Since {day} the plan is another: there was no order in sight then.", day=day
        )
    if moved is None or now.order is None:
        return message(
            "changes.one_then", "Since {day} the plan is another: there was an order in sight then.", day=day
        )
    if moved == 0:
        return message("changes.not_moved", "Since {day} the last safe day has not moved.", day=day)
    before, after = Day(by_then), Day(now.order.order_by)
    if moved > 0:
        return counted_message(
            "changes.later",
            "Since {day} the last safe day moved from {before} to {after}, {n} day later.",
            "Since {day} the last safe day moved from {before} to {after}, {n} days later.",
            moved,
            day=day,
            before=before,
            after=after,
        )
    return counted_message(
        "changes.sooner",
        "Since {day} the last safe day moved from {before} to {after}, {n} day sooner.",
        "Since {day} the last safe day moved from {before} to {after}, {n} days sooner.",
        -moved,
        day=day,
        before=before,
        after=after,
    )


def _reasons(site: Site, weather: SiteWeather, before: OrderAnswer, now: OrderAnswer) -> list[Message]:
    first, last = before.as_of, now.as_of
    came = [r.delivered_on for r in site.delivered(last) if r.delivered_on and r.delivered_on > first]
    placed = [r.ordered_on for r in site.deliveries if r.ordered_on and first < r.ordered_on <= last]
    said = [_weather_reason(site, weather, first, last)]
    said += [message("changes.delivery", "A delivery came on {day}.", day=Day(day)) for day in came]
    said += [message("changes.order", "An order was placed on {day}.", day=Day(day)) for day in placed]
    read = [r.day for r in site.read_by(last) if r.day > first]
    if read:
        expected = _expected_level(before, last)
        off = None if expected is None or came else now.stocks[0].kg - expected
        said.append(_reading_reason(read[-3:], off))
    elif not came:
        said.append(
            message(
                "changes.no_reading",
                "No reading was added, so the range of the level has grown a little.",
            )
        )
    return said


def _reading_reason(read: Sequence[date], off_kg: float | None) -> Message:
    """Return what the readings since then show against what was expected; None where nothing was. [kg]"""
    days = Listed(tuple(map(Day, read)), " and ")
    if off_kg is None or abs(off_kg) < WORTH_SAYING_KG:
        return message(
            "changes.reading_agrees", "The reading of {days} agrees with what was expected.", days=days
        )
    off = Quantity(abs(off_kg), "mass")
    if off_kg > 0:
        return message(
            "changes.reading_more",
            "The reading of {days} shows about {off} more in store than was expected then.",
            days=days,
            off=off,
        )
    return message(
        "changes.reading_less",
        "The reading of {days} shows about {off} less in store than was expected then.",
        days=days,
        off=off,
    )


def _expected_level(before: OrderAnswer, day: date) -> float | None:
    """Level that the earlier answer saw for a day, in the middle. [kg]"""
    band = next((b for b in before.levels if not b.with_plan), None)
    at = (day - before.as_of).days - 1
    return None if band is None or not 0 <= at < len(band.p50) else float(band.p50[at])


def _weather_reason(site: Site, weather: SiteWeather, first: date, last: date) -> Message:
    known = known_weather(site, weather, last).weather
    days = known.between(first + timedelta(days=1), last)
    usual = usual_year(known)
    by_day = {(d.month, d.day): c for d, c in zip(usual.dates.tolist(), usual.mean_c, strict=True)}
    expected = np.array([by_day.get((d.month, d.day), by_day[(2, 28)]) for d in days.dates.tolist()])
    off = float(np.mean(days.mean_c - expected)) if len(days) else 0.0
    if abs(off) < WORTH_SAYING_K:
        return message("changes.weather_usual", "The weather since then was about as usual.")
    kelvin = Quantity.written(abs(off), "K")
    if abs(off) < 1 and off > 0:
        return message("changes.little_warmer", "The days since then were a little warmer than usual.")
    if abs(off) < 1:
        return message("changes.little_colder", "The days since then were a little colder than usual.")
    if off > 0:
        return message(
            "changes.warmer", "The days since then were {kelvin} warmer than usual.", kelvin=kelvin
        )
    return message("changes.colder", "The days since then were {kelvin} colder than usual.", kelvin=kelvin)
