"""Pictures write months and numbers in the language of their reader."""

from __future__ import annotations

import re

import altair as alt
import pandas as pd
import pytest

from fuelplan.charts import in_language
from fuelplan.charts.store import svg_of
from fuelplan.units import Reader, written_for

DAYS = pd.DataFrame({"day": pd.to_datetime(["2026-01-01", "2026-10-31"]), "kg": [1500.5, 4000.0]})


def chart() -> alt.LayerChart:
    """A line over the year, its months named on the axis, its kilograms beside it."""
    each_month = {"interval": "month", "step": 1}
    months = alt.Axis(labelExpr="timeFormat(datum.value, '%b %a')", tickCount=each_month)
    line = alt.Chart(DAYS).mark_line().encode(x=alt.X("day:T", axis=months), y=alt.Y("kg:Q"))
    return alt.layer(line)


def labels(language: str) -> list[str]:
    """What is written in the picture for a reader of a language."""
    with written_for(Reader(language=language)):
        return re.findall(r">([^<>]+)</text>", svg_of(chart()))


@pytest.mark.parametrize(
    ("language", "month", "number"),
    [
        ("en", "Mar Sun", "4,000"),
        ("en_GB", "Mar Sun", "4,000"),
        ("de", "Mär So", "4.000"),
        ("fr", "mars dim.", "4\u202f000"),
        ("xx", "M03 Sun", "4,000"),
    ],
)
def test_axes_are_written_in_the_language(language: str, month: str, number: str) -> None:
    """Month, day of the week (1 March 2026 is a Sunday) and the sign of thousands follow the reader."""
    written = labels(language)
    assert month in written
    assert number in written


def test_an_english_picture_stays_as_it_is() -> None:
    """For English nothing is added, so that a page needs no other package."""
    spec = chart().to_dict()
    assert in_language(spec) is spec
