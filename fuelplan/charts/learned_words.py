"""Words of the pictures of what was learned: titles of axes and legends, and what each picture shows."""

from __future__ import annotations

import numpy as np

from fuelplan.answers import LearnAnswer, PriceSeason
from fuelplan.answers.what_we_burn import words
from fuelplan.messages import (
    Day,
    Message,
    Month,
    Own,
    Percent,
    Quantity,
    counted_message,
    message,
    paragraph,
    render,
)

LEARNED = message("learn_chart.learned", "learned")
TEXTBOOK_LINE = message("learn_chart.textbook_line", "textbook line")
USED = message("learn_chart.used", "used")
SET_ASIDE = message("learn_chart.set_aside", "set aside")
BETWEEN_READINGS = message("learn_chart.between_readings", "between two readings")
BETWEEN = message("learn_chart.between", "Between")
RANGE_FROM = message("learn_chart.range_from", "from")
RANGE_TO = message("learn_chart.range_to", "to")
UP_TO = message("learn_chart.up_to", "Up to")
CHANGED = message("learn_chart.changed", "changed")
DAYS = message("learn_chart.days", "days")
SUM = message("learn_chart.sum", "sum")
LIMIT = message("learn_chart.limit", "limit")
RUNNING_SUM = message("learn_chart.running_sum", "running sum, standard deviations")
MONTH = message("learn_chart.month", "Month")
AGAINST_MEAN = message("learn_chart.against_mean", "price against the mean of the year, %")
ORDERS_GO_BY = message("learn_chart.orders_go_by", "what orders go by")
UNUSUAL_COUNT_LESS = message("learn_chart.unusual_count_less", "unusual prices count less")


def outdoor(unit: str) -> Message:
    """Return the title of the axis of outdoor temperatures."""
    return message("learn_chart.outdoor", "mean outdoor temperature, {unit}", unit=Own(unit))


def per_day(unit: str) -> Message:
    """Return the title of an axis of use."""
    return message("learn_chart.per_day", "{unit} a day", unit=Own(unit))


def less_expected(unit: str) -> Message:
    """Return the title of the axis of the running difference."""
    return message("learn_chart.less_expected", "burned less expected, {unit}", unit=Own(unit))


def left_over(unit: str) -> Message:
    """Return the title of the axis of what the textbook line leaves over."""
    return message("learn_chart.left_over", "left over, {unit} a day", unit=Own(unit))


def span(first: Day, last: Day) -> Message:
    """Return the days of a stretch."""
    return message("learn_chart.span", "{first} to {last}", first=first, last=last)


def use_alt(answer: LearnAnswer) -> str:
    """Return what the use chart shows, in words."""
    line, (cold_c, mild_c) = answer.line, (-5.0, 10.0)
    cold, mild = (float(np.interp(c, line.outdoor_c, line.p50)) for c in (cold_c, mild_c))
    return render(
        counted_message(
            "learn_chart.use",
            "Use against the outdoor temperature: about {cold} a day at {at_cold} and {mild} at {at_mild}; "
            "heating begins below about {base}. {n} stretch between readings lies about that line.",
            "Use against the outdoor temperature: about {cold} a day at {at_cold} and {mild} at {at_mild}; "
            "heating begins below about {base}. {n} stretches between readings lie about that line.",
            len(answer.intervals),
            cold=Quantity.written(cold, "kg"),
            at_cold=Quantity.written(cold_c, "degC"),
            mild=Quantity.written(mild, "kg"),
            at_mild=Quantity.written(mild_c, "degC"),
            base=Quantity.written(answer.base_c.p50, "degC"),
        )
    )


def difference_alt(answer: LearnAnswer) -> str:
    """Return what the running difference shows, in words."""
    if not answer.intervals:
        return render(message("learn_chart.no_stretch", "No stretch between two readings yet."))
    last = answer.intervals[-1].cusum_kg
    amount = Quantity(abs(last), "mass")
    if last > 0:
        said = message(
            "learn_chart.more_burned",
            "Up to now about {amount} more was burned than expected.",
            amount=amount,
        )
    else:
        said = message(
            "learn_chart.less_burned",
            "Up to now about {amount} less was burned than expected.",
            amount=amount,
        )
    none = message("learn_chart.no_change", "No lasting change was found.")
    return render(paragraph([said, *([c.sentence for c in answer.changes] or [none])]))


def residual_alt(answer: LearnAnswer) -> str:
    """Return what the residual plot shows, in words."""
    if answer.textbook is None:
        return render(message("learn_chart.no_line", "There is no textbook line yet."))
    far = max(answer.textbook.points, key=lambda p: abs(p.residual_kg_per_day))
    count, first, last = (
        answer.textbook.intervals,
        Day(far.first_day, year=True),
        Day(far.last_day, year=True),
    )
    amount = Quantity(abs(far.residual_kg_per_day), "mass")
    if far.residual_kg_per_day > 0:
        return render(
            message(
                "learn_chart.furthest_above",
                "What the textbook line leaves over of {count} stretches; the furthest, {first} to {last}, "
                "burned {amount} a day more than the line says.",
                count=count,
                first=first,
                last=last,
                amount=amount,
            )
        )
    return render(
        message(
            "learn_chart.furthest_below",
            "What the textbook line leaves over of {count} stretches; the furthest, {first} to {last}, "
            "burned {amount} a day less than the line says.",
            count=count,
            first=first,
            last=last,
            amount=amount,
        )
    )


def cusum_alt(answer: LearnAnswer) -> str:
    """Return what the running sum shows, in words."""
    return render(words.sum_said(answer.textbook))


def season_alt(season: PriceSeason) -> str:
    """Return what the picture of prices over the year shows, in words."""
    low, high = (season.factor.index(pick(season.factor)) for pick in (min, max))
    return render(
        message(
            "learn_chart.season",
            "Prices against the mean of the year: cheapest in {cheap}, {low}; dearest in {dear}, {high}.",
            cheap=Month(low + 1),
            low=Percent(season.factor[low], 1),
            dear=Month(high + 1),
            high=Percent(season.factor[high], 1),
        )
    )
