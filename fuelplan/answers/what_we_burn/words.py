"""What was learned, in words and rows: the same for the command line, the page and its pictures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from fuelplan.learning import LIMITS
from fuelplan.messages import (
    Day,
    Limits,
    Message,
    Month,
    Number,
    Own,
    Percent,
    Quantity,
    Range,
    Value,
    message,
    paragraph,
)

if TYPE_CHECKING:
    from fuelplan.answers.what_we_burn.learn import LearnAnswer
    from fuelplan.learning import Textbook, TextbookPoint
    from fuelplan.ordering.prices import PriceSeason

SMALL_P = 0.001
BIAS_LIMIT, CV_LIMIT = LIMITS["monthly"]

YEAR = message("learn.year", "A usual year")
DEGREE = message("learn.degree", "For each degree colder, per day")
BASE = message("learn.base", "Heating begins below")
DAILY = message("learn.daily", "Hot water and standby, per day")
FROM = message("learn.from", "From")
TO = message("learn.to", "To")
LINE = message("learn.line", "Line")
ADDED_UP = message("learn.added_up", "Added up")


@dataclass(frozen=True)
class LearnedFact:
    """One figure that was learned: what it is, its middle, the range that holds it 8 times in 10, and a few
    words on it.
    """

    name: Message
    middle: Value
    span: Value
    note: Message


@dataclass(frozen=True)
class LearnedTable:
    """Rows of values under their headings; the first column names the row."""

    head: tuple[Value, ...]
    rows: tuple[tuple[Value, ...], ...]


NOTHING = Own("")
"""An empty cell."""


def facts(found: LearnAnswer) -> tuple[LearnedFact, ...]:
    """Return what was learned, figure by figure."""
    year, degree, base, daily = found.year_kg, found.kg_per_degree_day, found.base_c, found.kg_per_day
    return (
        LearnedFact(
            YEAR,
            Quantity(year.p50, "mass"),
            Range(year.p10, year.p90, "mass"),
            message(
                "learn.year_of_folder",
                "the folder alone would say {amount}",
                amount=Quantity(found.paper_year_kg, "mass"),
            ),
        ),
        LearnedFact(
            DEGREE,
            Quantity.written(degree.p50, "kg/K/day", ".2f"),
            Limits.written(degree.p10, degree.p90, "kg/K/day", ".1f"),
            message("learn.degree_note", "once it is cold enough to heat"),
        ),
        LearnedFact(
            BASE,
            Quantity(base.p50, "temperature"),
            base_range(base.p10, base.p90),
            message("learn.base_note", "mean of the day outside"),
        ),
        LearnedFact(
            DAILY,
            Quantity.written(daily.p50, "kg", ".1f"),
            Limits.written(daily.p10, daily.p90, "kg", ".1f"),
            message("learn.daily_note", "every day, whatever the weather"),
        ),
    )


def base_range(low_c: float, high_c: float) -> Range:
    """Return a range of base temperatures in whole degrees."""
    return Range(low_c, high_c, "temperature", unit="degC", decimals=0)


def scatter(found: LearnAnswer) -> Message | None:
    """Return how well the signature tells the use between readings; None where there are too few."""
    if found.cv_rmse is None or found.nmbe is None:
        return None
    return message(
        "learn.scatter",
        "Scatter {cv} and bias {bias} of the use between readings (CV(RMSE), NMBE; ASHRAE Guideline 14 asks "
        "for under {cv_limit} and {bias_limit} of monthly data).",
        cv=Percent(found.cv_rmse),
        bias=_signed(Percent(found.nmbe, 1), found.nmbe),
        cv_limit=Percent(CV_LIMIT),
        bias_limit=Percent(BIAS_LIMIT),
    )


def stretches(found: LearnAnswer) -> LearnedTable:
    """Return every stretch between two readings."""
    head = (
        FROM,
        TO,
        message("learn.days", "Days"),
        message("learn.degree_days", "Degree-days"),
        message("learn.burned", "Burned"),
        message("learn.expected", "Expected"),
        ADDED_UP,
        NOTHING,
    )
    set_aside = message("learn.set_aside", "set aside")
    rows = tuple(
        (
            Day(i.first_day, year=True),
            Day(i.last_day, year=True),
            Number(i.days),
            Quantity(i.degree_days, "degree_days"),
            Quantity.written(i.used_kg, "kg"),
            Quantity.written(i.expected_kg, "kg"),
            _signed(Quantity.written(i.cusum_kg, "kg"), i.cusum_kg),
            set_aside if i.flagged else NOTHING,
        )
        for i in found.intervals
    )
    return LearnedTable(head, rows)


# --- the textbook line --------------------------------------------------------------------------------------


def beside(found: LearnAnswer) -> LearnedTable:
    """Return what was learned and what the textbook line says, figure by figure."""
    head = (
        NOTHING,
        message("learn.learned", "Learned"),
        message("learn.textbook_line", "Textbook line"),
    )
    book = found.textbook
    if book is None:
        return LearnedTable(head, ())
    lines: tuple[Value, ...] = (
        Quantity(book.year_kg, "mass"),
        Quantity.written(book.kg_per_degree_day, "kg/K/day", ".1f"),
        base_of_line(book),
        Quantity.written(book.kg_per_day, "kg", ".1f"),
    )
    rows: list[tuple[Value, ...]] = []
    for fact, line in zip(facts(found), lines, strict=True):
        rows.append((fact.name, fact.span, line))
    return LearnedTable(head, tuple(rows))


def base_of_line(book: Textbook) -> Message:
    """Return the line's base temperature, and which fit about as well."""
    return message(
        "learn.base_of_line",
        "{base} ({range} fit about as well)",
        base=Quantity(book.base_c, "temperature"),
        range=base_range(book.base_c_low, book.base_c_high),
    )


@dataclass(frozen=True)
class Coefficient:
    """A figure of the line with its standard error; t and p are None where it is made of several."""

    name: Message
    value: Quantity
    error: Quantity
    t: Number | None = None
    p: Value | None = None

    @property
    def tested(self) -> Message:
        """How sure it is, in one phrase."""
        if self.t is None or self.p is None:
            return message("learn.with_error", "standard error {error}", error=self.error)
        return message(
            "learn.tested", "standard error {error}, t {t}, p {p}", error=self.error, t=self.t, p=self.p
        )


def coefficients(book: Textbook) -> tuple[Coefficient, ...]:
    """Return the line's coefficients, and a usual year by it, with their standard errors."""
    return (
        Coefficient(
            DEGREE,
            Quantity.written(book.kg_per_degree_day, "kg/K/day", ".2f"),
            Quantity.written(book.kg_per_degree_day_se, "kg/K/day", ".2f"),
            Number(book.kg_per_degree_day_t, 1),
            _p(book.kg_per_degree_day_p),
        ),
        Coefficient(
            DAILY,
            Quantity.written(book.kg_per_day, "kg", ".1f"),
            Quantity.written(book.kg_per_day_se, "kg", ".1f"),
            Number(book.kg_per_day_t, 1),
            _p(book.kg_per_day_p),
        ),
        Coefficient(YEAR, Quantity(book.year_kg, "mass", 3), Quantity(book.year_kg_se, "mass")),
    )


def coefficient_table(book: Textbook) -> LearnedTable:
    """Return the same as a table."""
    head = (
        NOTHING,
        LINE,
        message("learn.standard_error", "Standard error"),
        message("learn.t", "t"),
        message("learn.p", "p"),
    )
    rows = tuple((c.name, c.value, c.error, c.t or NOTHING, c.p or NOTHING) for c in coefficients(book))
    return LearnedTable(head, rows)


def _p(p: float) -> Value:
    if p < SMALL_P:
        return message("learn.p_below", "below {limit}", limit=Number(SMALL_P, 3))
    return Number(p, 3)


def fit_said(book: Textbook) -> Message:
    """Return how well the line fits, and what its errors leave out."""
    said = message(
        "learn.fit_of_line",
        "{count} stretches, weighted by their days. R², CV(RMSE): {r2}, {cv}. {verdict} The errors take the "
        "base temperature as known; base temperatures of {range} fit about as well.",
        count=book.intervals,
        r2=Number(book.r2, 2),
        cv=Percent(book.cv_rmse),
        verdict=book.verdict,
        range=base_range(book.base_c_low, book.base_c_high),
    )
    if not book.meter:
        return said
    meter = message("learn.meter_of_line", "The line goes by the meter “{meter}”.", meter=Own(book.meter))
    return paragraph([said, meter])


def points(book: Textbook) -> LearnedTable:
    """Return every stretch against the line."""
    head = (
        FROM,
        TO,
        message("learn.use_per_day", "Per day"),
        LINE,
        message("learn.left_over", "Left over"),
        ADDED_UP,
        message("learn.limit", "Limit"),
    )
    return LearnedTable(head, tuple(map(_point, book.points)))


def _point(p: TextbookPoint) -> tuple[Value, ...]:
    use = Quantity.written(p.kg_per_day, "kg", ".1f")
    limit = None if p.cusum_bound is None else Number(p.cusum_bound, 1)
    return (
        Day(p.first_day, year=True),
        Day(p.last_day, year=True),
        message("learn.unusually_high", "{amount} (unusually high)", amount=use) if p.high else use,
        Quantity.written(p.line_kg_per_day, "kg", ".1f"),
        _signed(Quantity.written(p.residual_kg_per_day, "kg", ".1f"), p.residual_kg_per_day),
        NOTHING if p.cusum is None else _signed(Number(p.cusum, 1), p.cusum),
        NOTHING if limit is None else message("learn.plus_minus", "±{number}", number=limit),
    )


def sum_said(book: Textbook | None) -> Message:
    """Return what the cumulative sum of what the line leaves over says."""
    if book is None or book.points[-1].cusum is None:
        return message("learn.no_sum", "There are too few stretches for a running sum.")
    if book.left_limits_on is None:
        return message(
            "learn.sum_stays",
            "The running sum of what the textbook line leaves over stays between its limits.",
        )
    return message(
        "learn.sum_leaves",
        "The running sum of what the textbook line leaves over lies beyond its limits from {day} on.",
        day=Day(book.left_limits_on, year=True),
    )


SUM_HOW = message(
    "learn.sum_how",
    "Each stretch is compared with the line through those before it, in standard deviations. Chance alone "
    "crosses the limits 1 time in 20; beyond them something may have changed.",
)


def _signed(value: Value, number: float) -> Value:
    """Return a value with a plus sign where its number is not below zero."""
    return value if number < 0 else message("learn.plus", "+{number}", number=value)


# --- prices -------------------------------------------------------------------------------------------------


def months(season: PriceSeason) -> LearnedTable:
    """Return the price of each month against the mean of the year: its range, and the robust figure."""
    head = (
        message("learn.month", "Month"),
        message("learn.price_used", "Used"),
        message("learn.price_range", "8 times in 10"),
        message("learn.price_robust", "If unusual prices count less"),
    )
    robust = season.robust_factor or ()
    return LearnedTable(
        head,
        tuple(
            (
                Month(m + 1),
                Percent(season.factor[m], 1),
                message(
                    "learn.price_from_to",
                    "{low} to {high}",
                    low=Percent(season.factor_p10[m], 1),
                    high=Percent(season.factor_p90[m], 1),
                ),
                Percent(robust[m], 1) if robust else NOTHING,
            )
            for m in range(12)
        ),
    )
