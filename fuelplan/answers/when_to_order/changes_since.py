"""What changed since an earlier answer, and why: the earlier one is worked out again from what was known on
its day.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fuelplan import units
from fuelplan.answers.weather_of_site import SiteWeather, known_weather
from fuelplan.answers.when_to_order.answer import OrderAnswer
from fuelplan.answers.when_to_order.order import order
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
    sentences: tuple[str, ...]


def what_changed(site: Site, weather: SiteWeather, now: OrderAnswer, since: date) -> Changes:
    """Return what changed between the answer of `since` and `now`.

    Raises
    ------
    ValueError
        Where `since` is not before the day of `now`.
    """
    if since >= now.as_of:
        raise ValueError(f"{since} does not lie before {now.as_of}; name an earlier day to compare with")
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


def _headline(now: OrderAnswer, by_then: date | None, moved: int | None, since: date) -> str:
    day = units.show_date(since)
    if moved is None or now.order is None or by_then is None:
        return (
            f"Since {day} the plan is another: there was {'no' if by_then is None else 'an'} order in "
            "sight then."
        )
    if moved == 0:
        return f"Since {day} the last safe day has not moved."
    way = "later" if moved > 0 else "sooner"
    return (
        f"Since {day} the last safe day moved from {units.show_date(by_then)} to "
        f"{units.show_date(now.order.order_by)}, "
        f"{abs(moved)} day{'s' if abs(moved) != 1 else ''} {way}."
    )


def _reasons(site: Site, weather: SiteWeather, before: OrderAnswer, now: OrderAnswer) -> list[str]:
    said = _weather_reason(site, weather, before.as_of, now.as_of)
    came = [
        r for r in site.delivered(now.as_of) if r.delivered_on is not None and r.delivered_on > before.as_of
    ]
    placed = [
        r for r in site.deliveries if r.ordered_on is not None and before.as_of < r.ordered_on <= now.as_of
    ]
    said += [
        f"A delivery came on {units.show_date(r.delivered_on)}." for r in came if r.delivered_on is not None
    ]
    said += [
        f"An order was placed on {units.show_date(r.ordered_on)}." for r in placed if r.ordered_on is not None
    ]
    read = [r for r in site.read_by(now.as_of) if r.day > before.as_of]
    expected = _expected_level(before, now.as_of)
    if read:
        days = " and ".join(units.show_date(r.day) for r in read[-3:])
        off = None if expected is None or came else now.stocks[0].kg - expected
        if off is None or abs(off) < WORTH_SAYING_KG:
            said.append(f"The reading of {days} agrees with what was expected.")
        else:
            more = "more" if off > 0 else "less"
            said.append(
                f"The reading of {days} shows about {units.show(abs(off), 'mass')} {more} in store than "
                "was expected then."
            )
    elif not came:
        said.append("No reading was added, so the range of the level has grown a little.")
    return said


def _expected_level(before: OrderAnswer, day: date) -> float | None:
    """Level that the earlier answer saw for a day, in the middle. [kg]"""
    band = next((b for b in before.levels if not b.with_plan), None)
    at = (day - before.as_of).days - 1
    return None if band is None or not 0 <= at < len(band.p50) else float(band.p50[at])


def _weather_reason(site: Site, weather: SiteWeather, first: date, last: date) -> list[str]:
    known = known_weather(site, weather, last).weather
    days = known.between(first + timedelta(days=1), last)
    usual = usual_year(known)
    by_day = {(d.month, d.day): c for d, c in zip(usual.dates.tolist(), usual.mean_c, strict=True)}
    expected = np.array([by_day.get((d.month, d.day), by_day[(2, 28)]) for d in days.dates.tolist()])
    off = float(np.mean(days.mean_c - expected)) if len(days) else 0.0
    if abs(off) < WORTH_SAYING_K:
        return ["The weather since then was about as usual."]
    how = units.show_as(abs(off), "K") if abs(off) >= 1 else "a little"
    return [f"The days since then were {how} {'warmer' if off > 0 else 'colder'} than usual."]
