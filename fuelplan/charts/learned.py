"""Pictures of what a building really burns: use against the outdoor temperature, and the running difference.

Pure functions as in :mod:`fuelplan.charts`; every picture has its text alternative, and the page its table.
"""

from __future__ import annotations

from datetime import date

import altair as alt
import numpy as np
import pandas as pd

from fuelplan.answers import LearnAnswer, TextbookPoint
from fuelplan.charts import FONT, LIGHT, Palette
from fuelplan.charts import learned_words as words
from fuelplan.messages import Day, render
from fuelplan.units import parse, reader, show_date

HEIGHT = 320


def use_points(answer: LearnAnswer) -> pd.DataFrame:
    """Return one row an interval between two readings: its mean use a day and mean outdoor temperature.

    The temperature is worked back from the interval's degree-days, which is right where all of its days are
    cold enough to heat, and on the warm side of the truth elsewhere.
    """
    rows = []
    for i in answer.intervals:
        if i.days <= 0:
            continue
        rows.append(
            {
                "outdoor_c": answer.base_c.p50 - i.degree_days / i.days,
                "kg_per_day": i.used_kg / i.days,
                "low": max(0.0, (i.used_kg - 1.28 * i.sd_kg) / i.days),
                "high": max(0.0, (i.used_kg + 1.28 * i.sd_kg) / i.days),
                "when": _when(i.first_day, i.last_day),
                "kind": render(words.SET_ASIDE if i.flagged else words.USED),
            }
        )
    return pd.DataFrame(rows, columns=["outdoor_c", "kg_per_day", "low", "high", "when", "kind"])


def use_chart(answer: LearnAnswer, *, palette: Palette = LIGHT) -> alt.LayerChart:
    """Return the use a day against the outdoor temperature: the learned line with its band, and the
    intervals.
    """
    line = answer.line
    curve = pd.DataFrame({"outdoor_c": line.outdoor_c, "p10": line.p10, "p50": line.p50, "p90": line.p90})
    kg, word = _kg_unit()
    if reader().system == "us":
        curve["outdoor_c"] = curve["outdoor_c"] * 1.8 + 32
    curve[["p10", "p50", "p90"]] /= kg
    domain = [5, 77] if reader().system == "us" else [-15, 25]
    x = alt.X("outdoor_c:Q", title=_outdoor_title(), scale=alt.Scale(domain=domain))
    band = alt.Chart(curve).mark_area(color=palette.spruce, opacity=0.22).encode(x=x, y="p10:Q", y2="p90:Q")
    middle = _lines(answer, curve, kg, palette).encode(
        x=x, y=alt.Y("kg_per_day:Q", title=render(words.per_day(word)))
    )
    points = use_points(answer)
    points[["kg_per_day", "low", "high"]] /= kg
    if reader().system == "us":
        points["outdoor_c"] = points["outdoor_c"] * 1.8 + 32
    shape = alt.Shape(
        "kind:N",
        scale=alt.Scale(domain=[render(words.USED), render(words.SET_ASIDE)], range=["circle", "cross"]),
        legend=alt.Legend(title=render(words.BETWEEN_READINGS), orient="top"),
    )
    tips = [
        alt.Tooltip("when:N", title=render(words.BETWEEN)),
        alt.Tooltip("kg_per_day:Q", title=render(words.per_day(word)), format=".1f"),
        alt.Tooltip("low:Q", title=render(words.RANGE_FROM), format=".1f"),
        alt.Tooltip("high:Q", title=render(words.RANGE_TO), format=".1f"),
    ]
    bars = alt.Chart(points).mark_rule(color=palette.faint).encode(x=x, y="low:Q", y2="high:Q")
    dots = (
        alt.Chart(points)
        .mark_point(color=palette.ember, filled=True, size=80, opacity=1)
        .encode(x=x, y="kg_per_day:Q", shape=shape, tooltip=tips)
    )
    return _dressed(alt.layer(band, middle, bars, dots), palette)


def _lines(answer: LearnAnswer, curve: pd.DataFrame, kg: float, palette: Palette) -> alt.Chart:
    """Return what was learned, and the textbook line beside it, as lines over the outdoor temperature."""
    learned, textbook = render(words.LEARNED), render(words.TEXTBOOK_LINE)
    names, looks, colours = [learned], [[1, 0]], [palette.spruce]
    parts = [pd.DataFrame({"outdoor_c": curve.outdoor_c, "kg_per_day": curve.p50, "which": learned})]
    if answer.textbook is not None:
        book = answer.textbook
        cold = np.maximum(0.0, book.base_c - answer.line.outdoor_c)
        use = (book.kg_per_day + book.kg_per_degree_day * cold) / kg
        parts.append(pd.DataFrame({"outdoor_c": curve.outdoor_c, "kg_per_day": use, "which": textbook}))
        names, looks, colours = [*names, textbook], [*looks, [7, 5]], [*colours, palette.dusk]
    legend = alt.Legend(title=None, orient="top", symbolStrokeWidth=2.5)
    return (
        alt.Chart(pd.concat(parts))
        .mark_line(strokeWidth=2.5)
        .encode(
            color=alt.Color("which:N", scale=alt.Scale(domain=names, range=colours), legend=legend),
            strokeDash=alt.StrokeDash("which:N", scale=alt.Scale(domain=names, range=looks), legend=legend),
        )
    )


def _outdoor_title() -> str:
    return render(words.outdoor("°F" if reader().system == "us" else "°C"))


def _when(first: date, last: date) -> str:
    return render(words.span(Day(first, year=True), Day(last, year=True)))


def _kg_unit() -> tuple[float, str]:
    """Return how many kilograms make the reader's unit of small masses, and its name."""
    return (parse("1 lb", "mass"), "lb") if reader().system == "us" else (1.0, "kg")


def difference_chart(answer: LearnAnswer, *, palette: Palette = LIGHT) -> alt.LayerChart:
    """Return the running sum of burned less expected: level while nothing changed, bent where it did."""
    kg, word = _kg_unit()
    rows = [
        {
            "day": pd.Timestamp(i.last_day),
            "kg": i.cusum_kg / kg,
            "meter": i.meter or "store",
            "tip": show_date(i.last_day, year=True),
        }
        for i in answer.intervals
    ]
    data = pd.DataFrame(rows, columns=["day", "kg", "meter", "tip"])
    zero = (
        alt.Chart(pd.DataFrame({"kg": [0.0]}))
        .mark_rule(color=palette.faint, strokeDash=[4, 4])
        .encode(y="kg:Q")
    )
    drawn = (
        alt.Chart(data)
        .mark_line(
            color=palette.spruce,
            point=alt.OverlayMarkDef(color=palette.spruce, size=50),
            interpolate="linear",
        )
        .encode(
            x=alt.X("day:T", title=None),
            y=alt.Y("kg:Q", title=render(words.less_expected(word))),
            strokeDash=alt.StrokeDash("meter:N", legend=None),
            tooltip=[
                alt.Tooltip("tip:N", title=render(words.UP_TO)),
                alt.Tooltip("kg:Q", title=word, format="+,.0f"),
            ],
        )
    )
    layers = [zero, drawn]
    if answer.changes:
        changed = pd.DataFrame(
            {
                "day": [pd.Timestamp(c.date) for c in answer.changes],
                "word": [render(words.CHANGED) for _ in answer.changes],
            }
        )
        layers.append(alt.Chart(changed).mark_rule(color=palette.ember, strokeWidth=2).encode(x="day:T"))
        layers.append(
            alt.Chart(changed)
            .mark_text(color=palette.ember, align="left", dx=5, dy=-120, font=FONT)
            .encode(x="day:T", text="word:N")
        )
    return _dressed(alt.layer(*layers), palette)


def residual_chart(answer: LearnAnswer, *, palette: Palette = LIGHT) -> alt.LayerChart:
    """Return what the textbook line leaves over of each stretch, against its mean outdoor temperature."""
    kg, word = _kg_unit()
    us = reader().system == "us"
    base_c = 0.0 if answer.textbook is None else answer.textbook.base_c
    rows = [
        {
            "outdoor": (base_c - p.degree_days / p.days) * (1.8 if us else 1.0) + (32.0 if us else 0.0),
            "left": p.residual_kg_per_day / kg,
            "zero": 0.0,
            "days": p.days,
            "when": _when(p.first_day, p.last_day),
        }
        for p in _points(answer)
    ]
    base = alt.Chart(pd.DataFrame(rows, columns=["outdoor", "left", "zero", "days", "when"])).encode(
        x=alt.X(
            "outdoor:Q",
            title=_outdoor_title(),
            scale=alt.Scale(zero=False, padding=12),
        )
    )
    dots = base.mark_circle(color=palette.ember, opacity=1).encode(
        y=alt.Y("left:Q", title=render(words.left_over(word))),
        size=alt.Size(
            "days:Q",
            scale=alt.Scale(range=[40, 260]),
            legend=alt.Legend(title=render(words.DAYS), orient="top", tickCount=3),
        ),
        tooltip=[
            alt.Tooltip("when:N", title=render(words.BETWEEN)),
            alt.Tooltip("left:Q", title=render(words.per_day(word)), format="+.1f"),
            alt.Tooltip("days:Q", title=render(words.DAYS), format=".0f"),
        ],
    )
    bars = base.mark_rule(color=palette.ember, opacity=0.6).encode(y="zero:Q", y2="left:Q")
    level = alt.Chart(pd.DataFrame({"zero": [0.0]})).mark_rule(color=palette.faint, strokeDash=[4, 4])
    return _dressed(alt.layer(level.encode(y="zero:Q"), bars, dots), palette)


def cusum_chart(answer: LearnAnswer, *, palette: Palette = LIGHT) -> alt.LayerChart:
    """Return the running sum of the textbook line's recursive residuals between its limits."""
    rows = [
        {
            "day": pd.Timestamp(p.last_day),
            "sum": p.cusum,
            "high": p.cusum_bound,
            "low": -p.cusum_bound,
            "tip": show_date(p.last_day, year=True),
        }
        for p in _points(answer)
        if p.cusum is not None and p.cusum_bound is not None
    ]
    base = alt.Chart(pd.DataFrame(rows, columns=["day", "sum", "high", "low", "tip"])).encode(
        x=alt.X("day:T", title=None)
    )
    limits = [
        base.mark_line(color=palette.ember, strokeDash=[7, 5]).encode(y=alt.Y(f"{edge}:Q"))
        for edge in ("low", "high")
    ]
    drawn = base.mark_line(
        color=palette.spruce, point=alt.OverlayMarkDef(color=palette.spruce, size=50)
    ).encode(
        y=alt.Y("sum:Q", title=render(words.RUNNING_SUM)),
        tooltip=[
            alt.Tooltip("tip:N", title=render(words.UP_TO)),
            alt.Tooltip("sum:Q", title=render(words.SUM), format="+.1f"),
            alt.Tooltip("high:Q", title=render(words.LIMIT), format=".1f"),
        ],
    )
    return _dressed(alt.layer(*limits, drawn), palette)


def _points(answer: LearnAnswer) -> tuple[TextbookPoint, ...]:
    return () if answer.textbook is None else answer.textbook.points


def _dressed(chart: alt.LayerChart, palette: Palette) -> alt.LayerChart:
    return (
        chart.properties(height=HEIGHT, background=palette.ground)
        .configure(font=FONT)
        .configure_view(strokeWidth=0)
        .configure_axis(**palette.axis)
        .configure_legend(
            labelColor=palette.ink, titleColor=palette.faint, labelFontSize=13, titleFontSize=13
        )
    )
