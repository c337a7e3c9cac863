"""The tables of the degree-day document, computed from records that come with packages.

Print them with `python -m tests.weather.test_degree_days_docs`; the tests hold the document to them.
"""

from __future__ import annotations

from datetime import date, timedelta
from importlib.resources import files

import numpy as np

from fuelplan.weather import degree_days as dd
from tests.weather.test_degree_days_records import chicago_hours, german_hours, seattle_days

FIRST = date(2023, 1, 1)
PLACES = ("Bremerhaven", "Mannheim", "Garmisch-Partenkirchen", "Chicago")
BASES = (10.0, 12.0, 15.5, 18.0)
WITH_A_BASE = [m.name for m in dd.METHODS.values() if m.base and m.name != dd.DEFAULT]
WITHOUT_A_BASE = [m.name for m in dd.METHODS.values() if not m.base]


def records() -> dict[str, dd.DayData]:
    """The four typical years."""
    hours = dict(
        zip(PLACES, (german_hours(1), german_hours(12), german_hours(15), chicago_hours()), strict=True)
    )
    return {
        place: dd.DayData(FIRST, h.mean(axis=1), h.min(axis=1), h.max(axis=1), h)
        for place, h in hours.items()
    }


def year_of(data: dd.DayData, base_c: float, method: str) -> float:
    """Degree-days of the year."""
    return float(dd.degree_days(data, base_c, method=method, by="year").values[0])


def against(value: float, reference: float) -> str:
    """Difference in per cent, with its sign."""
    return f"{(value / reference - 1) * 100 + 0.0:+.1f} %".replace("-0.0", "0.0").replace("+0.0", "0.0")


def row(*cells: object) -> str:
    """One row of a Markdown table."""
    return "| " + " | ".join(str(c) for c in cells) + " |"


def places_table() -> str:
    """Each method against the daily mean at 15.5 °C, over the year, by place."""
    data = records()
    reference = {place: year_of(d, 15.5, dd.DEFAULT) for place, d in data.items()}
    lines = [row("method", *PLACES), row("---", *["---:"] * len(PLACES))]
    lines.append(row(f"`{dd.DEFAULT}`, K·d", *(f"{reference[p]:.0f}" for p in PLACES)))
    for method in WITH_A_BASE:
        cells = (against(year_of(data[p], 15.5, method), reference[p]) for p in PLACES)
        lines.append(row(f"`{method}`", *cells))
    for method in WITHOUT_A_BASE:
        lines.append(row(f"`{method}`, K·d", *(f"{year_of(data[p], 15.5, method):.0f}" for p in PLACES)))
    return "\n".join(lines)


def bases_table() -> str:
    """Each method against the daily mean at Mannheim, over the year, by base."""
    data = records()["Mannheim"]
    reference = {base: year_of(data, base, dd.DEFAULT) for base in BASES}
    lines = [row("method", *(f"{base:g} °C" for base in BASES)), row("---", *["---:"] * len(BASES))]
    lines.append(row(f"`{dd.DEFAULT}`, K·d", *(f"{reference[b]:.0f}" for b in BASES)))
    for method in WITH_A_BASE:
        cells = (against(year_of(data, base, method), reference[base]) for base in BASES)
        lines.append(row(f"`{method}`", *cells))
    return "\n".join(lines)


def months_table() -> str:
    """January, April, May and July at Mannheim, base 15.5 °C, in degree-days."""
    data = records()["Mannheim"]
    shown = {"January": 0, "April": 3, "May": 4, "July": 6, "October": 9}
    lines = [row("method", *shown), row("---", *["---:"] * len(shown))]
    for method in (dd.DEFAULT, *WITH_A_BASE):
        months = dd.degree_days(data, 15.5, method=method).values
        lines.append(row(f"`{method}`", *(f"{months[i]:.0f}" for i in shown.values())))
    means = data.mean_c
    plain = []
    for month in shown.values():
        first = date(2023, month + 1, 1)
        days = ((first + timedelta(days=31)).replace(day=1) - first).days
        start = (first - FIRST).days
        plain.append(f"{days * max(0.0, 15.5 - means[start : start + days].mean()):.0f}")
    lines.append(row("base less the month's mean", *plain))
    return "\n".join(lines)


def one_kelvin() -> str:
    """By how much a base one kelvin higher raises the year, for the four places at 15.5 °C."""
    changes = [
        year_of(d, 16.5, dd.DEFAULT) / year_of(d, 15.5, dd.DEFAULT) * 100 - 100 for d in records().values()
    ]
    return f"{min(changes):.0f} to {max(changes):.0f} %"


def seattle_spread() -> str:
    """The four years of Seattle by the US rule at 65 °F, in °F·d."""
    low, high = seattle_days()
    years = dd.by_period(date(2012, 1, 1), dd.heating_us(low, high, (65 - 32) / 1.8) * 1.8, "year").values
    return ", ".join(f"{np.round(y):.0f}" for y in years)


def methods_table() -> str:
    """Every method with its data and source, from the register."""
    needs = {"mean": "daily means", "min and max": "daily lowest and highest", "hours": "hourly values"}
    lines = [row("name", "needs", "what it does", "source"), row(*["---"] * 4)]
    for m in dd.METHODS.values():
        what = "daily means or the month's mean" if m.monthly else needs[m.needs]
        lines.append(row(f"`{m.name}`", what, m.says, m.source))
    return "\n".join(lines)


def document() -> str:
    """Text of the degree-day document."""
    return (files("fuelplan") / "docs" / "degree_days.md").read_text(encoding="utf-8")


def test_the_document_holds_the_register() -> None:
    """Every method stands in the document as the register has it."""
    assert methods_table() in document()


def test_the_document_holds_what_is_computed() -> None:
    """The tables of differences in the document are those that the records give now."""
    text = document()
    for table in (places_table(), bases_table(), months_table()):
        assert table in text, f"not in the document any more:\n{table}"


def test_the_sentences_hold_what_is_computed() -> None:
    """The figures in the sentences are those that the records give now."""
    assert f"raises the year by {one_kelvin()}" in " ".join(document().split())
    assert f"{seattle_spread()} °F·d" in " ".join(document().split())


if __name__ == "__main__":
    for part in (
        methods_table(),
        places_table(),
        bases_table(),
        months_table(),
        one_kelvin(),
        seattle_spread(),
    ):
        print(part, end="\n\n")
