"""What faces show of an outlook: its lists with their columns, and what the days rest on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fuelplan.answers.who_is_due.answer import CustomerTable, OutlookAnswer, Weekly, day_of
from fuelplan.messages import Chance, Day, Message, Number, Own, Quantity, Range, Value, message

Row = tuple[Value, ...]

TOP_UP = message("outlook.title_due", "Top-up customers, deliver by")
TO_RING = message("outlook.title_to_ring", "On-request customers to ring")
READINGS = message("outlook.title_readings", "Readings to ask about")
EIGHT_IN_10 = message("outlook.head_eight_in_10", "8 in 10")
CUSTOMER_HEAD = (
    message("outlook.head_deliver_by", "deliver by"),
    message("outlook.head_left", "left"),
    EIGHT_IN_10,
    message("outlook.head_run_out", "may run out"),
)
AT_ONCE = message("outlook.at_once", "at once")
LATER = message("outlook.later", "later")


def basis(answer: OutlookAnswer) -> Message:
    """Return what the days in the lists mean, and how many winters stand behind them."""
    return message(
        "outlook.basis",
        "Up to the day to deliver by, the chance of a level below the reserve stays within {risk}; the dates "
        "come from {draws} draws over {winters} real winters that all customers share.",
        risk=Chance(answer.risk_limit),
        draws=answer.draws,
        winters=answer.winters,
    )


def weeks_head(classes: Sequence[str]) -> Row:
    """Return the columns of the table of the weeks: what to deliver, of which class, what is burned."""
    of_it = (message("outlook.head_of_class", "of it {grade}", grade=Own(name)) for name in classes)
    return (
        message("outlook.head_week", "week from"),
        message("outlook.head_to_deliver", "to deliver, t"),
        EIGHT_IN_10,
        *of_it,
        message("outlook.head_burned", "burned, t"),
        EIGHT_IN_10,
    )


def weeks_rows(answer: OutlookAnswer, classes: Sequence[str], weeks: int) -> Iterator[Row]:
    """Yield the rows of that table, in tonnes."""
    need, burned = answer.weekly_t, answer.weekly_burned_t
    for i, day in enumerate(need.first_day[:weeks]):
        of_it = (Number(answer.weekly_t_by_class[name].p50[i]) for name in classes)
        yield Day(day), Number(need.p50[i]), _eight(need, i), *of_it, Number(burned.p50[i]), _eight(burned, i)


def _eight(weekly: Weekly, week: int) -> Message:
    return _span(weekly.p10[week], weekly.p90[week])


def _span(low: float, high: float) -> Message:
    return message("outlook.span", "{low} to {high}", low=Number(low), high=Number(high))


def customer_rows(table: CustomerTable, rows: Sequence[int]) -> Iterator[Row]:
    """Yield customers with number, name, day to deliver by, level with its range and early run-out."""
    for i in rows:
        day, out = day_of(table.deliver_by[i]), day_of(table.run_out[i, 1])
        by: Value = LATER if day is None else Day(day)
        yield (
            Own(str(table.customer[i])),
            Own(str(table.name[i])),
            AT_ONCE if table.overdue[i] else by,
            Quantity(float(table.level_kg[i, 1]), "weighed_mass"),
            Range(float(table.level_kg[i, 0]), float(table.level_kg[i, 2]), "weighed_mass"),
            LATER if out is None else Day(out),
        )
