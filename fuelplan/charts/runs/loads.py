"""What each tanker carries on each day, of what its chambers could."""

from __future__ import annotations

from datetime import date
from typing import Any

import altair as alt
import pandas as pd

from fuelplan.answers.which_runs import RunsAnswer, presented
from fuelplan.charts import FONT, LIGHT, Palette, mass_scale
from fuelplan.charts.runs.look import dressed
from fuelplan.charts.store.style import LABEL
from fuelplan.messages import Listed, Message, Own, Percent, Quantity, as_text, message


def loads_table(answer: RunsAnswer) -> list[tuple[date, str, float, float]]:
    """Return (day, tanker, what it delivers, what its chambers could carry on those runs) by day. [kg]"""
    found: dict[tuple[date, str], tuple[float, float]] = {}
    for run in answer.runs:
        kg, holds = found.get((run.day, run.tanker), (0.0, 0.0))
        found[run.day, run.tanker] = kg + run.kg, holds + sum(c.holds_kg for c in run.chambers)
    return [(day, tanker, *amounts) for (day, tanker), amounts in sorted(found.items())]


def loads_chart(
    answer: RunsAnswer, *, palette: Palette = LIGHT, font: str = FONT, width: Any = "container"
) -> alt.LayerChart:
    """Return what each tanker delivers on each day as a bar, and what its chambers could carry as a frame.

    Raises
    ------
    ValueError
        Where there is no run at all.
    """
    rows = loads_table(answer)
    if not rows:
        raise ValueError("there is no run in this plan, so there are no loads to show")
    most = max(holds for *_, holds in rows)
    unit, kg_per_unit = mass_scale(most)
    base = alt.Chart(_bars(answer, rows, kg_per_unit))
    y = alt.Y(
        "row:N",
        sort=None,
        axis=alt.Axis(title=None, labelLimit=230, ticks=False, domain=False, labelPadding=6),
    )
    x = alt.X(
        "holds:Q",
        scale=alt.Scale(domain=[0, 1.12 * most / kg_per_unit], nice=False),
        axis=alt.Axis(title=None, tickCount=5, labelExpr=f"datum.label + ' {unit}'", gridOpacity=0.6),
    )
    frame = base.mark_bar(
        height=15, filled=False, stroke=palette.faint, strokeWidth=1.2, strokeDash=[3, 2]
    ).encode(x, y)
    tips = [
        alt.Tooltip("row:N", title=as_text(message("chart.load_run", "Run"))),
        alt.Tooltip("tip:N", title=as_text(message("chart.loaded", "Loaded"))),
    ]
    bars = base.mark_bar(height=15, color=palette.spruce).encode(alt.X("amount:Q"), y, tooltip=tips)
    names = base.mark_text(align="left", dx=6, fontSize=LABEL, color=palette.ink).encode(x, y, text="share:N")
    return dressed(alt.layer(frame, bars, names).properties(height=alt.Step(24), width=width), palette, font)


def _bars(answer: RunsAnswer, rows: list[tuple[date, str, float, float]], kg_per_unit: float) -> pd.DataFrame:
    """Return a row for each bar, with how many runs it stands for where there are several."""
    trips = {(d, t): sum(r.day == d and r.tanker == t for r in answer.runs) for d, t, *_ in rows}
    return pd.DataFrame(
        [
            {
                "row": as_text(_row(day, tanker, trips[day, tanker])),
                "amount": kg / kg_per_unit,
                "holds": holds / kg_per_unit,
                "share": as_text(Percent(kg / holds)) if holds > 0 else "",
                "tip": as_text(_of(kg, holds)),
            }
            for day, tanker, kg, holds in rows
        ]
    )


def _row(day: date, tanker: str, trips: int) -> Message:
    named, who = presented.day_named(day), Own(tanker)
    if trips == 1:
        return message("chart.load_row", "{day} · {tanker}", day=named, tanker=who)
    return message("chart.load_row_trips", "{day} · {tanker} ×{trips}", day=named, tanker=who, trips=trips)


def _of(kg: float, holds_kg: float) -> Message:
    return message(
        "chart.load_of",
        "{amount} of {holds}",
        amount=Quantity(kg, "mass", digits=3),
        holds=Quantity(holds_kg, "mass", digits=3),
    )


def loads_alt(answer: RunsAnswer) -> Message:
    """Return in words what the chart of the loads shows."""
    each = tuple(
        message(
            "chart.load",
            "{day}, {tanker}: {load}",
            day=presented.day_named(day),
            tanker=Own(tanker),
            load=_of(kg, holds),
        )
        for day, tanker, kg, holds in loads_table(answer)
    )
    return message(
        "chart.loads",
        "What each tanker delivers, of what its chambers can carry. {loads}.",
        loads=Listed(each, "; "),
    )
