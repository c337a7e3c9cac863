"""Entries that did not move an answer, each with the reason."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from fuelplan.answers.log_side import held_by_settings
from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.questions import SetAside, delivery_words, reading_words
from fuelplan.heat import fuels
from fuelplan.learning import Posterior
from fuelplan.messages import Day, Message, Said, message
from fuelplan.records.schema import DELIVERIES_FILE, READINGS_FILE
from fuelplan.records.site import DeliveryRow, ReadingRow, stack_of


def set_aside(setting: Setting, posterior: Posterior) -> tuple[SetAside, ...]:
    """Return the readings, deliveries and orders of the folder that did not move the answer."""
    site, as_of = setting.site, setting.as_of
    found = [
        SetAside(READINGS_FILE, row.line, reading_words(row), reason)
        for row, reason in _readings(setting, posterior)
    ]
    found += [
        SetAside(DELIVERIES_FILE, row.line, delivery_words(row), reason)
        for row in site.deliveries
        if (reason := _delivery(setting, row, as_of)) is not None
    ]
    return tuple(found)


def _readings(setting: Setting, posterior: Posterior) -> Iterator[tuple[ReadingRow, Said]]:
    doubted = {flag.line: flag.sentence for flag in posterior.flags if flag.line and not flag.used}
    alone = _meters_read_once(setting)
    for row in setting.site.readings:
        if row.day > setting.as_of:
            yield row, _later(setting.as_of)
        elif row.checked == "wrong":
            yield row, message("entry.said_wrong", "You said that it is wrong.")
        elif row.fuel != setting.fuel.name:
            reason = _beside_reading(setting, row)
            if reason:
                yield row, reason
        elif row.line in doubted:
            yield row, doubted[row.line]
        elif row.line in posterior.thinned_lines:
            yield row, _thinned()
        elif row.line in alone:
            yield row, _alone()


def _thinned() -> Message:
    return message(
        "entry.thinned",
        "There are more readings than are needed: it was left out to keep the answer quick.",
    )


def _alone() -> Message:
    return message(
        "entry.only_count_of_meter",
        "A meter tells what was burned between two readings, and this is its only one so far.",
    )


def _meters_read_once(setting: Setting) -> set[int]:
    counts = [o for o in setting.observations if o.is_count]
    by_meter = {meter: [o for o in counts if o.meter == meter] for meter in {o.meter for o in counts}}
    return {one[0].line for one in by_meter.values() if len(one) == 1}


def _not_burned(fuel: str) -> Message:
    return message(
        "entry.not_burned",
        "By its settings this house's boiler burns no {fuel}.",
        fuel=fuels.fuel(fuel).word,
    )


def _beside_reading(setting: Setting, row: ReadingRow) -> Message | None:
    if row.fuel not in setting.burned:
        return _not_burned(row.fuel)
    site, stack = setting.site, stack_of(setting.site.table, row)
    if stack is None:
        return message("entry.which_stack", "Say which stack was counted: write its name beside the count.")
    since = held_by_settings(site, row)
    if since is not None:
        return _older_than_settings(since)
    here = [r for r in site.read_by(setting.as_of) if r.fuel == row.fuel and stack_of(site.table, r) == stack]
    if row.line == here[-1].line:
        return None
    return message(
        "entry.logs_newest_count",
        "The logs are reckoned from the newest count of their stack, that of {day}.",
        day=Day(here[-1].day, year=True),
    )


def _older_than_settings(since: date) -> Message:
    return message(
        "entry.logs_of_settings",
        "The amount of the stack in the settings, that of {day}, is newer and holds it already.",
        day=Day(since, year=True),
    )


def _delivery(setting: Setting, row: DeliveryRow, as_of: date) -> Message | None:
    day = row.delivered_on or row.ordered_on
    if day is not None and min(filter(None, (row.ordered_on, row.delivered_on))) > as_of:
        return _later(as_of)
    if row.outcome == "failed":
        return message("entry.failed", "It was failed: nothing came of it.")
    if row.outcome == "cancelled":
        return message("entry.cancelled", "It was cancelled: nothing came of it.")
    return None if row.fuel == setting.fuel.name else _beside(setting, row)


def _beside(setting: Setting, row: DeliveryRow) -> Message | None:
    if row.fuel not in setting.burned:
        return _not_burned(row.fuel)
    if row.delivered_on is None or row.delivered_on > setting.as_of:
        return message("entry.logs_ordered", "An order of logs counts once it is delivered.")
    since = held_by_settings(setting.site, row)
    return None if since is None else _older_than_settings(since)


def _later(as_of: date) -> Message:
    return message("entry.later", "It is dated after {day}, the day asked for.", day=Day(as_of, year=True))
