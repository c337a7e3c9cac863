"""Pictures of what a building really burns: use against the outdoor temperature, and the running difference.

Pure functions as in :mod:`fuelplan.charts`; every picture has its text alternative, and the page its table.
"""

from __future__ import annotations

import altair as alt
import numpy as np
import pandas as pd

from fuelplan.answers import LearnAnswer
from fuelplan.charts import FONT, LIGHT, Palette
from fuelplan.units import parse, reader, show, show_date

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
                "when": f"{show_date(i.first_day, year=True)} to {show_date(i.last_day, year=True)}",
                "kind": "set aside" if i.flagged else "used",
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
    title, domain = ("°F", [5, 77]) if reader().system == "us" else ("°C", [-15, 25])
    x = alt.X("outdoor_c:Q", title=f"mean outdoor temperature, {title}", scale=alt.Scale(domain=domain))
    band = alt.Chart(curve).mark_area(color=palette.spruce, opacity=0.22).encode(x=x, y="p10:Q", y2="p90:Q")
    middle = (
        alt.Chart(curve)
        .mark_line(color=palette.spruce, strokeWidth=2.5)
        .encode(x=x, y=alt.Y("p50:Q", title=f"{word} a day"))
    )
    points = use_points(answer)
    points[["kg_per_day", "low", "high"]] /= kg
    if reader().system == "us":
        points["outdoor_c"] = points["outdoor_c"] * 1.8 + 32
    shape = alt.Shape(
        "kind:N",
        scale=alt.Scale(domain=["used", "set aside"], range=["circle", "cross"]),
        legend=alt.Legend(title="between two readings", orient="top"),
    )
    tips = [
        alt.Tooltip("when:N", title="Between"),
        alt.Tooltip("kg_per_day:Q", title=f"{word} a day", format=".1f"),
        alt.Tooltip("low:Q", title="from", format=".1f"),
        alt.Tooltip("high:Q", title="to", format=".1f"),
    ]
    bars = alt.Chart(points).mark_rule(color=palette.faint).encode(x=x, y="low:Q", y2="high:Q")
    dots = (
        alt.Chart(points)
        .mark_point(color=palette.ember, filled=True, size=80, opacity=1)
        .encode(x=x, y="kg_per_day:Q", shape=shape, tooltip=tips)
    )
    return _dressed(alt.layer(band, middle, bars, dots), palette)


def _kg_unit() -> tuple[float, str]:
    """Return how many kilograms make the reader's unit of small masses, and its name."""
    return (parse("1 lb", "mass"), "lb") if reader().system == "us" else (1.0, "kg")


def use_alt(answer: LearnAnswer) -> str:
    """Return what the use chart shows, in words."""
    line = answer.line
    cold, mild = (float(np.interp(c, line.outdoor_c, line.p50)) for c in (-5.0, 10.0))
    return (
        f"Use against the outdoor temperature: about {cold:.0f} kg a day at -5 °C and {mild:.0f} kg at 10 "
        "°C; "
        f"heating begins below about {answer.base_c.p50:.0f} °C. {len(answer.intervals)} stretches between "
        "readings "
        "lie about that line."
    )


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
            y=alt.Y("kg:Q", title=f"burned less expected, {word}"),
            strokeDash=alt.StrokeDash("meter:N", legend=None),
            tooltip=[alt.Tooltip("tip:N", title="Up to"), alt.Tooltip("kg:Q", title=word, format="+,.0f")],
        )
    )
    layers = [zero, drawn]
    if answer.changes:
        changed = pd.DataFrame(
            {
                "day": [pd.Timestamp(c.date) for c in answer.changes],
                "word": ["changed" for _ in answer.changes],
            }
        )
        layers.append(alt.Chart(changed).mark_rule(color=palette.ember, strokeWidth=2).encode(x="day:T"))
        layers.append(
            alt.Chart(changed)
            .mark_text(color=palette.ember, align="left", dx=5, dy=-120, font=FONT)
            .encode(x="day:T", text="word:N")
        )
    return _dressed(alt.layer(*layers), palette)


def difference_alt(answer: LearnAnswer) -> str:
    """Return what the running difference shows, in words."""
    if not answer.intervals:
        return "No stretch between two readings yet."
    last = answer.intervals[-1].cusum_kg
    more = "more" if last > 0 else "less"
    found = " ".join(c.sentence for c in answer.changes) or "No lasting change was found."
    return f"Up to now about {show(abs(last), 'mass')} {more} was burned than expected. {found}"


def _dressed(chart: alt.LayerChart, palette: Palette) -> alt.LayerChart:
    return (
        chart.properties(height=HEIGHT, background=palette.ground)
        .configure(font=FONT)
        .configure_view(strokeWidth=0)
        .configure_axis(
            labelColor=palette.faint,
            titleColor=palette.faint,
            gridColor=palette.line,
            domainColor=palette.line,
            tickColor=palette.line,
            labelFontSize=13,
            titleFontSize=13,
            titleFontWeight="normal",
        )
        .configure_legend(
            labelColor=palette.ink, titleColor=palette.faint, labelFontSize=13, titleFontSize=13
        )
    )
