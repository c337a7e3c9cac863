"""What the pictures share: months, letters, lines and polygons, and a chart as SVG."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from fuelplan.charts import Palette, in_language

LABEL = 13
Points = tuple[tuple[float, float], ...]
MONTHS = "timeFormat(datum.value, '%b')"


def svg_of(chart: alt.LayerChart) -> str:
    """Return a chart as SVG, made without a browser and without a network."""
    import vl_convert

    svg: str = vl_convert.vegalite_to_svg(in_language(chart.to_dict()))
    return svg


def stroke(points: Points, x: alt.X, y: alt.Y, colour: str, dash: list[int], width: float) -> alt.Chart:
    """Return a line through points. [m]"""
    table = pd.DataFrame([(px, pz, i) for i, (px, pz) in enumerate(points)], columns=["x", "z", "order"])
    return (
        alt.Chart(table)
        .mark_line(color=colour, strokeDash=dash, strokeWidth=width)
        .encode(x, y, alt.Order("order:Q"))
    )


def polygon(points: Points, x: alt.X, y: alt.Y, **mark: Any) -> alt.Chart:
    """Return a closed polygon. [m]"""
    table = pd.DataFrame([(px, pz, i) for i, (px, pz) in enumerate(points)], columns=["x", "z", "order"])
    return (
        alt.Chart(table)
        .mark_line(interpolate="linear-closed", strokeJoin="round", **mark)
        .encode(x, y, alt.Order("order:Q"))
    )


def styled(
    chart: alt.LayerChart, palette: Palette, font: str, *, labels: str | None = None
) -> alt.LayerChart:
    """Return the chart with the letters and axes of all pictures; `labels` colours the axes, if not faint."""
    return (
        chart.configure(
            background="transparent", font=font, padding={"left": 2, "right": 8, "top": 6, "bottom": 2}
        )
        .configure_view(stroke=None)
        .configure_axis(
            labelColor=labels or palette.faint,
            titleColor=palette.faint,
            gridColor=palette.line,
            domainColor=palette.line,
            tickColor=palette.line,
            labelFontSize=LABEL,
            titleFontSize=LABEL,
            titleFontWeight="normal",
        )
    )
