"""Picture of a person's own prices over the year, with their errors."""

from __future__ import annotations

import altair as alt
import pandas as pd

from fuelplan.answers import PriceSeason
from fuelplan.charts import learned_words as words
from fuelplan.charts.language import short_months
from fuelplan.charts.palette import FONT, LIGHT, Palette
from fuelplan.messages import render


def season_chart(season: PriceSeason, *, palette: Palette = LIGHT) -> alt.LayerChart:
    """Return the price of each month against the mean of the year, each with a bar that holds it 8 times in
    10.
    """
    rows = _rows(render(words.ORDERS_GO_BY), season.factor, season.factor_p10, season.factor_p90)
    robust = (season.robust_factor, season.robust_factor_p10, season.robust_factor_p90)
    if robust[0] is not None and robust[1] is not None and robust[2] is not None:
        rows += _rows(render(words.UNUSUAL_COUNT_LESS), robust[0], robust[1], robust[2])
    names = list(dict.fromkeys(row["which"] for row in rows))
    base = alt.Chart(pd.DataFrame(rows)).encode(
        x=alt.X("month:N", sort=short_months(), title=None, axis=alt.Axis(labelAngle=0)),
        xOffset=alt.XOffset("which:N", sort=names),
        color=alt.Color(
            "which:N",
            scale=alt.Scale(domain=names, range=[palette.spruce, palette.dusk][: len(names)]),
            legend=alt.Legend(title=None, orient="top", labelLimit=260),
        ),
    )
    bars = base.mark_rule(strokeWidth=2).encode(
        y=alt.Y("low:Q", title=render(words.AGAINST_MEAN), scale=alt.Scale(zero=False)),
        y2="high:Q",
    )
    dots = base.mark_point(filled=True, size=70, opacity=1).encode(
        y="percent:Q",
        tooltip=[
            alt.Tooltip("month:N", title=render(words.MONTH)),
            alt.Tooltip("percent:Q", title="%", format=".1f"),
            alt.Tooltip("low:Q", title=render(words.RANGE_FROM), format=".1f"),
            alt.Tooltip("high:Q", title=render(words.RANGE_TO), format=".1f"),
        ],
    )
    return (
        alt.layer(bars, dots)
        .properties(height=260, background=palette.ground)
        .configure(font=FONT)
        .configure_view(strokeWidth=0)
        .configure_axis(**palette.axis)
        .configure_legend(labelColor=palette.ink, labelFontSize=13)
    )


def _rows(
    which: str, factor: tuple[float, ...], low: tuple[float, ...], high: tuple[float, ...]
) -> list[dict[str, float | str]]:
    months = short_months()
    return [
        {
            "month": months[m],
            "which": which,
            "percent": 100 * factor[m],
            "low": 100 * low[m],
            "high": 100 * high[m],
        }
        for m in range(12)
    ]
