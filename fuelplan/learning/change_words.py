"""What is said of a lasting change: since when, and by how much."""

from __future__ import annotations

from datetime import date

from fuelplan.messages import Message, Month, Percent, Quantity, Value, message

LONG_DAYS = 45
"""A change whose date is less sure than this is told by the months it lies between. [d]"""


def changed(kind: str, days: tuple[date, date, date], share: float, kg: float) -> Message:
    """Return that use changed for good.

    Parameters
    ----------
    kind
        "all", "slope" or "day", as :class:`fuelplan.learning.UseChange` has it.
    days
        The likeliest, and the two it lies between.
    share, kg
        By how much: a share of what it was for the first two kinds, kilograms a day for "day".
    """
    day, first, last = days
    up = kg > 0 if kind == "day" else share > 0
    by = Quantity.written(abs(kg), "kg", ".1f") if kind == "day" else Percent(abs(share))
    sure = (last - first).days <= LONG_DAYS
    if sure:
        return _SINCE[kind, up](_about(day), by)
    return _BETWEEN[kind, up](_month(first), _month(last), by)


def _less_of_all(when: Message, by: Value) -> Message:
    return message(
        "change.less_of_all",
        "Since about {when} you use {share} less, for heating and hot water alike.",
        when=when,
        share=by,
    )


def _more_of_all(when: Message, by: Value) -> Message:
    return message(
        "change.more_of_all",
        "Since about {when} you use {share} more, for heating and hot water alike.",
        when=when,
        share=by,
    )


def _less_per_degree_day(when: Message, by: Value) -> Message:
    return message(
        "change.less_per_degree_day",
        "Since about {when} you use {share} less per degree-day.",
        when=when,
        share=by,
    )


def _more_per_degree_day(when: Message, by: Value) -> Message:
    return message(
        "change.more_per_degree_day",
        "Since about {when} you use {share} more per degree-day.",
        when=when,
        share=by,
    )


def _less_a_day(when: Message, by: Value) -> Message:
    return message(
        "change.less_a_day",
        "Since about {when} you use {amount} a day less, whatever the weather.",
        when=when,
        amount=by,
    )


def _more_a_day(when: Message, by: Value) -> Message:
    return message(
        "change.more_a_day",
        "Since about {when} you use {amount} a day more, whatever the weather.",
        when=when,
        amount=by,
    )


def _between_less_of_all(first: Month, last: Month, by: Value) -> Message:
    return message(
        "change.between_less_of_all",
        "Some time between {first} and {last} something changed: since then you use {share} less, for "
        "heating and hot water alike.",
        first=first,
        last=last,
        share=by,
    )


def _between_more_of_all(first: Month, last: Month, by: Value) -> Message:
    return message(
        "change.between_more_of_all",
        "Some time between {first} and {last} something changed: since then you use {share} more, for "
        "heating and hot water alike.",
        first=first,
        last=last,
        share=by,
    )


def _between_less_per_degree_day(first: Month, last: Month, by: Value) -> Message:
    return message(
        "change.between_less_per_degree_day",
        "Some time between {first} and {last} something changed: since then you use {share} less per "
        "degree-day.",
        first=first,
        last=last,
        share=by,
    )


def _between_more_per_degree_day(first: Month, last: Month, by: Value) -> Message:
    return message(
        "change.between_more_per_degree_day",
        "Some time between {first} and {last} something changed: since then you use {share} more per "
        "degree-day.",
        first=first,
        last=last,
        share=by,
    )


def _between_less_a_day(first: Month, last: Month, by: Value) -> Message:
    return message(
        "change.between_less_a_day",
        "Some time between {first} and {last} something changed: since then you use {amount} a day less, "
        "whatever the weather.",
        first=first,
        last=last,
        amount=by,
    )


def _between_more_a_day(first: Month, last: Month, by: Value) -> Message:
    return message(
        "change.between_more_a_day",
        "Some time between {first} and {last} something changed: since then you use {amount} a day "
        "more, whatever the weather.",
        first=first,
        last=last,
        amount=by,
    )


_SINCE = {
    ("all", False): _less_of_all,
    ("all", True): _more_of_all,
    ("slope", False): _less_per_degree_day,
    ("slope", True): _more_per_degree_day,
    ("day", False): _less_a_day,
    ("day", True): _more_a_day,
}
_BETWEEN = {
    ("all", False): _between_less_of_all,
    ("all", True): _between_more_of_all,
    ("slope", False): _between_less_per_degree_day,
    ("slope", True): _between_more_per_degree_day,
    ("day", False): _between_less_a_day,
    ("day", True): _between_more_a_day,
}


def maybe_changed(day: date, share: float) -> Message:
    """Return that use seems to be another one since a day in the last two months."""
    if share > 0:
        return message(
            "change.maybe_more",
            "Since about {when} you seem to use more than before. It is too early to say whether that lasts: "
            "the figures here go by the time before as well.",
            when=_about(day),
        )
    return message(
        "change.maybe_less",
        "Since about {when} you seem to use less than before. It is too early to say whether that lasts: "
        "the figures here go by the time before as well.",
        when=_about(day),
    )


def _about(day: date) -> Message:
    """Return a part of a month."""
    month = _month(day)
    if day.day <= 10:
        return message("change.early_in_month", "early {month}", month=month)
    if day.day <= 20:
        return message("change.middle_of_month", "mid {month}", month=month)
    return message("change.late_in_month", "late {month}", month=month)


def _month(day: date) -> Month:
    return Month(day.month, day.year)
