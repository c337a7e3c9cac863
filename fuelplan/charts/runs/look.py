"""What the pictures of a run plan share: their look, and days in few letters."""

from __future__ import annotations

from datetime import date

import altair as alt

from fuelplan.answers.which_runs import presented
from fuelplan.charts import Palette
from fuelplan.charts.store.style import styled
from fuelplan.messages import Day, render


def day_name(day: date) -> str:
    """Return a day with its weekday, short: "Fri 16 January"."""
    return render(presented.day_named(day))


def short_date(day: date) -> str:
    """Return a date in few letters: "16 Jan"."""
    return render(Day(day, short=True))


def dressed(chart: alt.LayerChart, palette: Palette, font: str) -> alt.LayerChart:
    """Return a chart in the project's own look, its legend readable."""
    return styled(chart, palette, font, labels=palette.ink).configure_legend(
        labelColor=palette.ink, labelFontSize=14, symbolStrokeColor=palette.faint
    )
