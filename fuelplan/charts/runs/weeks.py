"""The tonnes to deliver, week by week."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from fuelplan.answers.who_is_due import OutlookAnswer
from fuelplan.charts import FONT, LIGHT, Palette
from fuelplan.charts.runs.look import dressed, short_date
from fuelplan.charts.store.style import LABEL
from fuelplan.units import parse, reader, show, show_date

TIPS = (
    ("p10:Q", "1 in 10 is below"),
    ("p50:Q", "Middle"),
    ("p90:Q", "1 in 10 is above"),
)


def weeks_chart(
    found: OutlookAnswer,
    *,
    weeks: int = 8,
    palette: Palette = LIGHT,
    height: int = 240,
    font: str = FONT,
    width: Any = "container",
) -> alt.LayerChart:
    """Return the tonnes to deliver in each week: a bar from p10 to p90, a line across it at the middle.

    Raises
    ------
    ValueError
        Where the outlook is shorter than a week.
    """
    if not found.weekly_t.first_day:
        raise ValueError("the outlook is shorter than a week; ask for 7 days or more")
    unit, tonnes_per_unit = (
        ("short tons", parse("1 short_ton", "mass") / 1000) if reader().system == "us" else ("t", 1.0)
    )
    table = _bars(found, weeks, tonnes_per_unit)
    x = alt.X(
        "week:N",
        sort=None,
        axis=alt.Axis(title=None, labelAngle=0, labelLimit=90, grid=False, labelOverlap=True),
    )
    axis = alt.Axis(title=None, tickCount=5, labelExpr=f"datum.label + ' {unit}'", gridOpacity=0.6)
    scale = alt.Scale(domain=[0, 1.1 * float(table["p90"].max()) or 1.0], nice=False)
    tips = [alt.Tooltip("week:N", title="Week from")]
    tips += [alt.Tooltip(name, title=title, format=".0f") for name, title in TIPS]
    base = alt.Chart(table)
    band = base.mark_bar(color=palette.spruce, opacity=0.35, size=26).encode(
        x, alt.Y("p10:Q", axis=axis, scale=scale), alt.Y2("p90"), tooltip=tips
    )
    middle = base.mark_tick(color=palette.ink, thickness=3, size=34).encode(x, alt.Y("p50:Q"))
    text = base.mark_text(color=palette.ink, dx=26, fontSize=LABEL).encode(x, alt.Y("p50:Q"), text="middle:N")
    return dressed(alt.layer(band, middle, text).properties(height=height, width=width), palette, font)


def _bars(found: OutlookAnswer, weeks: int, tonnes_per_unit: float) -> pd.DataFrame:
    """Return a row for each week, in the reader's unit."""
    weekly = found.weekly_t
    table = pd.DataFrame(
        {
            "week": [short_date(day) for day in weekly.first_day[:weeks]],
            "p10": [v / tonnes_per_unit for v in weekly.p10[:weeks]],
            "p50": [v / tonnes_per_unit for v in weekly.p50[:weeks]],
            "p90": [v / tonnes_per_unit for v in weekly.p90[:weeks]],
        }
    )
    table["middle"] = table["p50"].map("{:.0f}".format)
    return table


def weeks_table(found: OutlookAnswer, weeks: int = 8) -> list[tuple[str, str, str]]:
    """Return (week from, middle, 8 in 10) of the tonnes to deliver, as text."""
    weekly = found.weekly_t
    return [
        (
            show_date(weekly.first_day[i], year=True),
            show(1000 * weekly.p50[i], "mass"),
            f"{show(1000 * weekly.p10[i], 'mass')} to {show(1000 * weekly.p90[i], 'mass')}",
        )
        for i in range(min(weeks, len(weekly.first_day)))
    ]


def weeks_alt(found: OutlookAnswer, weeks: int = 8) -> str:
    """Return in words what the chart of the weeks shows."""
    parts = [f"from {day}: {middle}, {span}" for day, middle, span in weeks_table(found, weeks)]
    return "To deliver in each week, middle and 8 in 10: " + "; ".join(parts) + "."
