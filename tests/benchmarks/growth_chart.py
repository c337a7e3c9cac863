"""Growth as a picture: time and memory against size on logarithmic axes, a column for each kind of size."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from fuelplan.charts.palette import FONT, LIGHT
from tests.benchmarks.growth import AXES, FLOOR, OURS, PLAIN, exponent

WAYS = (OURS, PLAIN, FLOOR)
COLOURS = (LIGHT.spruce, LIGHT.ember, LIGHT.faint)
SHAPES = ("circle", "square", "triangle-up")
SIDE = 190


def tidy(points: list[dict[str, Any]]) -> pd.DataFrame:
    """One row for each size and way."""
    rows = [
        {"axis": p["axis"], "size": p["size"], "way": way, "busy_s": p["ways"][way]["busy_s"],
         "peak_mb": p["peak_mb"], "start_mb": p["start_mb"]}
        for p in points
        for way in WAYS
    ]  # fmt: skip
    return pd.DataFrame(rows)


def _panel(data: pd.DataFrame, column: str, title: str, head: str, shown: bool) -> alt.LayerChart:
    """One log-log panel."""
    tens = [10.0**k for k in range(-6, 7)]
    sizes = sorted(int(size) for size in data["size"].unique())
    x = alt.Axis(format="~s", grid=False, values=sizes)
    y = alt.Axis(format="~g", values=tens)
    base = alt.Chart(data, title=alt.TitleParams(head, fontSize=12, anchor="start")).encode(
        x=alt.X("size:Q", scale=alt.Scale(type="log", nice=False), title=data["axis"].iloc[0], axis=x),
        y=alt.Y(f"{column}:Q", scale=alt.Scale(type="log"), title=title if shown else None, axis=y),
        color=alt.Color("way:N", scale=alt.Scale(domain=WAYS, range=COLOURS), title=None),
    )
    shape = alt.Shape("way:N", scale=alt.Scale(domain=WAYS, range=SHAPES), title=None)
    marks = base.mark_point(filled=True, size=45, opacity=1).encode(shape=shape)
    return (base.mark_line() + marks).properties(width=SIDE, height=SIDE)


def chart(points: list[dict[str, Any]]) -> alt.VConcatChart:
    """The whole picture."""
    data = tidy(points)
    panels = {axis: data[data["axis"] == axis] for axis in AXES}
    time = [
        _panel(rows, "busy_s", "processor seconds", f"{axis}: n^{exponent(points, axis):.2f}", n == 0)
        for n, (axis, rows) in enumerate(panels.items())
    ]
    memory = [
        _panel(rows[rows["way"] == OURS], "peak_mb", "most memory held, MB", "", n == 0)
        for n, rows in enumerate(panels.values())
    ]
    return (
        alt.vconcat(alt.hconcat(*time), alt.hconcat(*memory))
        .configure(font=FONT, background=LIGHT.ground)
        .configure_view(stroke=LIGHT.line)
        .configure_legend(orient="top", labelLimit=300)
    )


def png(points: list[dict[str, Any]]) -> bytes:
    """The picture as a file."""
    import vl_convert

    return bytes(vl_convert.vegalite_to_png(chart(points).to_json(), scale=1.5))
