"""Figures of the page on what a building burns, as its reader writes them."""

from __future__ import annotations

import calendar

from fuelplan.answers import LearnAnswer, PriceSeason, Textbook
from fuelplan.pages.texts import learn as learn_texts
from fuelplan.units import parse, reader, show, show_date, show_range


def units_read() -> tuple[float, float, str]:
    """Return the reader's unit of small masses in kilograms, that for each of his degrees, and its name."""
    if reader().system != "us":
        return 1.0, 1.0, "kg"
    kg = parse("1 lb", "mass")
    return kg, 1.8 * kg, "lb"


def base_range(low_c: float, high_c: float) -> str:
    """Return a range of base temperatures."""
    us = reader().system == "us"
    return show_range(low_c, high_c, "temperature") if us else f"{low_c:.0f} to {high_c:.0f} °C"


def beside(found: LearnAnswer) -> list[tuple[str, str, str]]:
    """Return what was learned and what the textbook line says, quantity by quantity."""
    book = found.textbook
    if book is None:
        return []
    kg, each, word = units_read()
    degree, daily, base = found.kg_per_degree_day, found.kg_per_day, found.base_c
    return [
        (
            learn_texts.BOOK_YEAR,
            show_range(found.year_kg.p10, found.year_kg.p90, "mass"),
            show(book.year_kg, "mass"),
        ),
        (
            learn_texts.BOOK_DEGREE,
            f"{degree.p10 / each:.1f} to {degree.p90 / each:.1f} {word}",
            f"{book.kg_per_degree_day / each:.1f} {word}",
        ),
        (
            learn_texts.BOOK_DAY,
            f"{daily.p10 / kg:.1f} to {daily.p90 / kg:.1f} {word}",
            f"{book.kg_per_day / kg:.1f} {word}",
        ),
        (
            learn_texts.BOOK_BASE,
            base_range(base.p10, base.p90),
            learn_texts.BOOK_BASE_LINE.format(
                at=show(book.base_c, "temperature"), span=base_range(book.base_c_low, book.base_c_high)
            ),
        ),
    ]


def errors(book: Textbook) -> list[tuple[str, ...]]:
    """Return the coefficients with their standard errors, t and p."""
    kg, each, word = units_read()
    figures = (
        (learn_texts.BOOK_DEGREE, "kg_per_degree_day", each, 2),
        (learn_texts.BOOK_DAY, "kg_per_day", kg, 1),
    )
    rows: list[tuple[str, ...]] = []
    for title, name, unit, digits in figures:
        value, se, t, p = (getattr(book, name + part) for part in ("", "_se", "_t", "_p"))
        chance = "below 0.001" if p < 0.001 else f"{p:.3f}"
        shown = (f"{x / unit:.{digits}f} {word}" for x in (value, se))
        rows.append((title, *shown, f"{t:.1f}", chance))
    year = (show(book.year_kg, "mass", digits=3), show(book.year_kg_se, "mass"))
    return [*rows, (learn_texts.BOOK_YEAR, *year, "", "")]


def fit_said(book: Textbook) -> str:
    """Return how well the line fits, and what its errors leave out."""
    said = learn_texts.BOOK_FIT.format(
        count=book.intervals,
        r2=book.r2,
        verdict=book.verdict,
        span=base_range(book.base_c_low, book.base_c_high),
    )
    return f"{said} {learn_texts.BOOK_METER.format(meter=book.meter)}" if book.meter else said


def points(book: Textbook) -> list[tuple[str, ...]]:
    """Return every stretch against the line."""
    kg, _, word = units_read()
    return [
        (
            show_date(p.first_day, year=True),
            show_date(p.last_day, year=True),
            f"{p.kg_per_day / kg:.1f} {word}" + (f" ({learn_texts.HIGH})" if p.high else ""),
            f"{p.line_kg_per_day / kg:.1f} {word}",
            f"{p.residual_kg_per_day / kg:+.1f} {word}",
            "" if p.cusum is None else f"{p.cusum:+.1f}",
            "" if p.cusum_bound is None else f"±{p.cusum_bound:.1f}",
        )
        for p in book.points
    ]


def months(season: PriceSeason) -> list[tuple[str, ...]]:
    """Return the price of each month against the mean of the year, with its range, used and robust."""
    used = zip(season.factor, season.factor_p10, season.factor_p90, strict=True)
    rows = [
        (name, f"{f:.1%}", f"{low:.1%} to {high:.1%}")
        for name, (f, low, high) in zip(list(calendar.month_name)[1:], used, strict=True)
    ]
    robust = season.robust_factor or ()
    return [(*row, f"{robust[m]:.1%}" if robust else "") for m, row in enumerate(rows)]
