"""The tonnes to deliver, week by week."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from fuelplan.answers.who_is_due import OutlookAnswer
from fuelplan.charts import FONT, LIGHT, Palette, mass_scale
from fuelplan.charts.runs.look import dressed, short_date
from fuelplan.charts.store.style import LABEL
from fuelplan.messages import Day, Listed, Message, Quantity, as_text, message

MOST_KG = 1e6  # so that the axis is in tonnes, however little a week needs
TIPS = (
    ("p10:Q", message("chart.week_low", "1 in 10 is below")),
    ("p50:Q", message("chart.week_middle", "Middle")),
    ("p90:Q", message("chart.week_high", "1 in 10 is above")),
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
    unit, kg_per_unit = mass_scale(MOST_KG)
    table = _bars(found, weeks, kg_per_unit / 1000)
    x = alt.X(
        "week:N",
        sort=None,
        axis=alt.Axis(title=None, labelAngle=0, labelLimit=90, grid=False, labelOverlap=True),
    )
    axis = alt.Axis(title=None, tickCount=5, labelExpr=f"datum.label + ' {unit}'", gridOpacity=0.6)
    scale = alt.Scale(domain=[0, 1.1 * float(table["p90"].max()) or 1.0], nice=False)
    tips = [alt.Tooltip("week:N", title=as_text(message("chart.week_from", "Week from")))]
    tips += [alt.Tooltip(name, title=as_text(title), format=".0f") for name, title in TIPS]
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


def weeks_table(found: OutlookAnswer, weeks: int = 8) -> list[tuple[Day, Quantity, Message]]:
    """Return (week from, middle, 8 in 10) of the tonnes to deliver."""
    weekly = found.weekly_t
    return [
        (
            Day(weekly.first_day[i], year=True),
            Quantity(1000 * weekly.p50[i], "mass"),
            message(
                "chart.week_span",
                "{low} to {high}",
                low=Quantity(1000 * weekly.p10[i], "mass"),
                high=Quantity(1000 * weekly.p90[i], "mass"),
            ),
        )
        for i in range(min(weeks, len(weekly.first_day)))
    ]


def weeks_alt(found: OutlookAnswer, weeks: int = 8) -> Message:
    """Return in words what the chart of the weeks shows."""
    each = tuple(
        message("chart.week", "from {day}: {middle}, {span}", day=day, middle=middle, span=span)
        for day, middle, span in weeks_table(found, weeks)
    )
    return message(
        "chart.weeks", "To deliver in each week, middle and 8 in 10: {weeks}.", weeks=Listed(each, "; ")
    )
