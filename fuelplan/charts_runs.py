"""Pictures of a run plan: the map of the runs, what each tanker carries, tonnes to buy in week by week.

Pure functions as in :mod:`fuelplan.charts`. The map needs no tiles and no network. No meaning rests on colour
alone: each tanker has its own dash and its own shape, and every stop its number.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from datetime import date
from typing import Any

import altair as alt
import pandas as pd

from fuelplan.answers.outlook_answer import OutlookAnswer
from fuelplan.answers.runs_answer import Run, RunsAnswer, clock
from fuelplan.charts import FONT, LIGHT, Palette, mass_scale
from fuelplan.charts_store.style import LABEL, styled
from fuelplan.units import parse, reader, show, show_date

SHAPES = ("circle", "triangle-up", "diamond", "square", "cross", "triangle-down")
DASHES = ((1, 0), (9, 4), (2, 3), (12, 3, 2, 3), (6, 2), (1, 5))
MARGIN_SHARE, BAR_SHARE = 0.08, 0.12
LEAST_SPAN_DEG = 0.02  # a map of one street is not blown up to the doormat
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
LAST_LATITUDE_DEG = 85.0  # Mercator's map has no pole
KM_PER_DEG = 111.19  # of a great circle, on a sphere of 6,371 km
Span = tuple[float, float]
MOST_NUMBERED = 60  # more numbers than that only cover each other


def colours_of(palette: Palette) -> tuple[str, ...]:
    """Return the colours of lines on the map, in the order in which tankers take them."""
    return palette.spruce, palette.ember, palette.dusk, palette.ink, palette.faint


def tankers_of(answer: RunsAnswer) -> list[str]:
    """Return the tankers of a plan in the order of their names: one keeps its shape from day to day."""
    return sorted({run.tanker for run in answer.runs})


def chosen_runs(answer: RunsAnswer, days: Sequence[date] | None) -> list[Run]:
    """Return the runs of some days; of all where None."""
    return [run for run in answer.runs if days is None or run.day in days]


def map_chart(
    answer: RunsAnswer,
    days: Sequence[date] | None = None,
    *,
    palette: Palette = LIGHT,
    height: int = 400,
    font: str = FONT,
    width: Any = "container",
) -> alt.LayerChart:
    """Return the map of the runs of some days: lines in driving order, numbered stops, depots.

    Lines are straight from stop to stop; north is up, in Mercator's projection.

    Raises
    ------
    ValueError
        Where there is no run on these days.
    """
    runs = chosen_runs(answer, days)
    if not runs:
        raise ValueError("there is no run on these days, so there is no map")
    tankers = tankers_of(answer)
    seam = _seam(runs)
    domain = [t for t in tankers if any(run.tanker == t for run in runs)]
    at = [tankers.index(t) for t in domain]
    colour = _by_tanker(alt.Color, domain, [_in_turn(colours_of(palette), i) for i in at])
    dash = _by_tanker(alt.StrokeDash, domain, [list(_in_turn(DASHES, i)) for i in at])
    shape = _by_tanker(alt.Shape, domain, [_in_turn(SHAPES, i) for i in at])
    spots = _stop_table(runs, seam)
    frame = _corners(spots, runs, seam)
    layers = [
        _frame(frame),
        *_scale_bar(frame, palette),
        _lines(runs, seam, colour, dash),
        _depots(runs, seam, palette),
        _stops(spots, colour, shape),
        _numbers(spots.head(MOST_NUMBERED), palette),
    ]
    middle = seam + 180
    return _dressed(
        alt.layer(*layers).project("mercator", rotate=[-middle, 0, 0]).properties(height=height, width=width),
        palette,
        font,
    )


def _in_turn(things: Sequence[Any], index: int) -> Any:
    return things[index % len(things)]


def _by_tanker(channel: Any, domain: list[str], values: list[Any]) -> Any:
    """Return an encoding by tanker; colour and shape share one legend, the dash goes with them."""
    legend = None if channel is alt.StrokeDash else alt.Legend(title=None, orient="top", symbolSize=130)
    return channel("tanker:N", scale=alt.Scale(domain=domain, range=values), legend=legend)


def _seam(runs: Sequence[Run]) -> float:
    """Return the longitude at which the map is cut open: opposite its middle, so that no line crosses it."""
    longitudes = sorted(
        {s.longitude % 360 for r in runs for s in r.stops} | {r.depot_longitude % 360 for r in runs}
    )
    gaps = [
        ((following - before) % 360 or 360.0, before)
        for before, following in zip(longitudes, [*longitudes[1:], longitudes[0]], strict=True)
    ]
    gap, before = max(gaps)
    return (before + gap / 2) % 360


def _unrolled(longitude: float, seam: float) -> float:
    """Return a longitude counted on from the seam: no jump inside the map. [°]"""
    return seam + (longitude - seam) % 360


def _stop_table(runs: Sequence[Run], seam: float) -> pd.DataFrame:
    """Return a row for each stop; its number has the run before it where a tanker goes out more than once."""
    twice = Counter((run.day, run.tanker) for run in runs)
    return pd.DataFrame(
        [
            {
                "longitude": _unrolled(s.longitude, seam),
                "latitude": s.latitude,
                "tanker": run.tanker,
                "number": f"{run.trip}.{s.position}" if twice[run.day, run.tanker] > 1 else str(s.position),
                "who": s.name or s.customer,
                "amount": f"{show(s.kg, 'mass', digits=3)} {s.klass}",
                "when": f"{show_date(run.day)}, {clock(s.arrive_h)}",
                "trip": f"{run.tanker}, run {run.trip}, stop {s.position}",
            }
            for run in runs
            for s in run.stops
        ]
    )


def _corners(spots: pd.DataFrame, runs: Sequence[Run], seam: float) -> tuple[Span, Span]:
    """Return west and east, south and north of the map, with a margin and never less than a village. [°]"""
    lon = [*spots["longitude"], *(_unrolled(r.depot_longitude, seam) for r in runs)]
    lat = [*spots["latitude"], *(r.depot_latitude for r in runs)]
    corners = []
    for value in (lon, lat):
        low, high = min(value), max(value)
        pad = max(MARGIN_SHARE * (high - low), (LEAST_SPAN_DEG - (high - low)) / 2)
        corners.append((low - pad, high + pad))
    (west, east), (south, north) = corners
    south -= BAR_SHARE * max(north - south, (east - west) / 3)  # room for the bar of the scale
    return corners[0], (max(-LAST_LATITUDE_DEG, south), min(LAST_LATITUDE_DEG, north))


def _frame(corners: tuple[Span, Span]) -> alt.Chart:
    """Invisible corners, so that the projection fits the whole map."""
    table = pd.DataFrame({"longitude": corners[0], "latitude": corners[1]})
    return (
        alt.Chart(table)
        .mark_circle(opacity=0, size=1)
        .encode(alt.Longitude("longitude:Q"), alt.Latitude("latitude:Q"))
    )


def _scale_bar(corners: tuple[Span, Span], palette: Palette) -> list[alt.Chart]:
    """A bar at the lower left with its length, true at the map's southern edge."""
    (west, east), (south, _) = corners
    unit, km_per_unit = ("miles", parse("1 mi", "distance")) if reader().system == "us" else ("km", 1.0)
    km_per_deg = KM_PER_DEG * math.cos(math.radians(south)) / km_per_unit
    most = (east - west) * km_per_deg / 4
    size = 10.0 ** math.floor(math.log10(most))
    length = next(size * step for step in (5, 2, 1) if size * step <= most)
    ends = [west, west + length / km_per_deg]
    bar = pd.DataFrame({"longitude": ends, "latitude": [south, south], "place": [0, 1]})
    told = pd.DataFrame({"longitude": [ends[0]], "latitude": [south], "text": [f"{length:g} {unit}"]})
    where = alt.Longitude("longitude:Q"), alt.Latitude("latitude:Q")
    return [
        alt.Chart(bar).mark_line(color=palette.faint, strokeWidth=3).encode(*where, order="place:Q"),
        alt.Chart(told)
        .mark_text(align="left", dy=-9, fontSize=12, color=palette.faint)
        .encode(*where, text="text:N"),
    ]


def _lines(runs: Sequence[Run], seam: float, colour: Any, dash: Any) -> alt.Chart:
    rows = []
    for number, run in enumerate(runs):
        depot = (run.depot_longitude, run.depot_latitude)
        places = [depot, *((s.longitude, s.latitude) for s in run.stops), depot]
        rows += [
            {"longitude": _unrolled(x, seam), "latitude": y, "place": i, "run": number, "tanker": run.tanker}
            for i, (x, y) in enumerate(places)
        ]
    return (
        alt.Chart(pd.DataFrame(rows))
        .mark_line(strokeWidth=2, opacity=0.85)
        .encode(
            alt.Longitude("longitude:Q"),
            alt.Latitude("latitude:Q"),
            order="place:Q",
            detail="run:N",
            color=colour,
            strokeDash=dash,
        )
    )


def _depots(runs: Sequence[Run], seam: float, palette: Palette) -> alt.LayerChart:
    found = {r.depot: (_unrolled(r.depot_longitude, seam), r.depot_latitude) for r in runs}
    table = pd.DataFrame([{"depot": d, "longitude": x, "latitude": y} for d, (x, y) in found.items()])
    base = alt.Chart(table).encode(alt.Longitude("longitude:Q"), alt.Latitude("latitude:Q"))
    mark = base.mark_point(shape="square", size=190, filled=True, opacity=1, color=palette.ink)
    name = base.mark_text(dy=19, fontSize=LABEL, fontWeight="bold", color=palette.ink, stroke=None).encode(
        text="depot:N"
    )
    return alt.layer(mark.encode(tooltip=alt.Tooltip("depot:N", title="Depot")), name)


def _stops(spots: pd.DataFrame, colour: Any, shape: Any) -> alt.Chart:
    tips = [
        alt.Tooltip("who:N", title="Customer"),
        alt.Tooltip("amount:N", title="Drop"),
        alt.Tooltip("when:N", title="Arrives"),
        alt.Tooltip("trip:N", title="Run"),
    ]
    return (
        alt.Chart(spots)
        .mark_point(size=110, filled=True, opacity=1)
        .encode(
            alt.Longitude("longitude:Q"),
            alt.Latitude("latitude:Q"),
            color=colour,
            shape=shape,
            tooltip=tips,
        )
    )


def _numbers(spots: pd.DataFrame, palette: Palette) -> alt.Chart:
    return (
        alt.Chart(spots)
        .mark_text(dx=10, dy=-9, fontSize=12, color=palette.ink)
        .encode(alt.Longitude("longitude:Q"), alt.Latitude("latitude:Q"), text="number:N")
    )


def map_alt(answer: RunsAnswer, days: Sequence[date] | None = None) -> str:
    """Return in words what the map shows."""
    runs = chosen_runs(answer, days)
    if not runs:
        return "No run on these days."
    parts = [
        f"{run.tanker} on {show_date(run.day)}, run {run.trip}: from {run.depot} to "
        + ", ".join(s.name or s.customer for s in run.stops)
        + f", and back, {show(run.km, 'distance')}"
        for run in runs
    ]
    return "Map of the runs, north up, straight lines from stop to stop. " + "; ".join(parts) + "."


def loads_table(answer: RunsAnswer) -> list[tuple[date, str, float, float]]:
    """Return (day, tanker, what it delivers, what its chambers could carry on those runs) by day. [kg]"""
    found: dict[tuple[date, str], tuple[float, float]] = {}
    for run in answer.runs:
        kg, holds = found.get((run.day, run.tanker), (0.0, 0.0))
        found[run.day, run.tanker] = kg + run.kg, holds + sum(c.holds_kg for c in run.chambers)
    return [(day, tanker, *amounts) for (day, tanker), amounts in sorted(found.items())]


def day_name(day: date) -> str:
    """Return a day with its weekday, short: "Fri 16 January"."""
    return f"{WEEKDAYS[day.weekday()]} {show_date(day)}"


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
    trips = {(d, t): sum(r.day == d and r.tanker == t for r in answer.runs) for d, t, *_ in rows}
    table = pd.DataFrame(
        [
            {
                "row": f"{day_name(day)} · {tanker}"
                + (f" ×{trips[day, tanker]}" if trips[day, tanker] > 1 else ""),
                "amount": kg / kg_per_unit,
                "holds": holds / kg_per_unit,
                "share": f"{kg / holds:.0%}" if holds > 0 else "",
                "tip": f"{show(kg, 'mass', digits=3)} of {show(holds, 'mass', digits=3)}",
            }
            for day, tanker, kg, holds in rows
        ]
    )
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
    base = alt.Chart(table)
    frame = base.mark_bar(
        height=15, filled=False, stroke=palette.faint, strokeWidth=1.2, strokeDash=[3, 2]
    ).encode(x, y)
    bars = base.mark_bar(height=15, color=palette.spruce).encode(
        alt.X("amount:Q"),
        y,
        tooltip=[alt.Tooltip("row:N", title="Run"), alt.Tooltip("tip:N", title="Loaded")],
    )
    names = base.mark_text(align="left", dx=6, fontSize=LABEL, color=palette.ink).encode(x, y, text="share:N")
    return _dressed(alt.layer(frame, bars, names).properties(height=alt.Step(24), width=width), palette, font)


def loads_alt(answer: RunsAnswer) -> str:
    """Return in words what the chart of the loads shows."""
    parts = [
        f"{day_name(day)}, {tanker}: {show(kg, 'mass', digits=3)} of {show(holds, 'mass', digits=3)}"
        for day, tanker, kg, holds in loads_table(answer)
    ]
    return "What each tanker delivers, of what its chambers can carry. " + "; ".join(parts) + "."


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
    weekly = found.weekly_t
    if not weekly.first_day:
        raise ValueError("the outlook is shorter than a week; ask for 7 days or more")
    unit, tonnes_per_unit = (
        ("short tons", parse("1 short_ton", "mass") / 1000) if reader().system == "us" else ("t", 1.0)
    )
    table = pd.DataFrame(
        {
            "week": [_short_date(day) for day in weekly.first_day[:weeks]],
            "p10": [v / tonnes_per_unit for v in weekly.p10[:weeks]],
            "p50": [v / tonnes_per_unit for v in weekly.p50[:weeks]],
            "p90": [v / tonnes_per_unit for v in weekly.p90[:weeks]],
        }
    )
    table["middle"] = table["p50"].map("{:.0f}".format)
    x = alt.X(
        "week:N",
        sort=None,
        axis=alt.Axis(title=None, labelAngle=0, labelLimit=90, grid=False, labelOverlap=True),
    )
    axis = alt.Axis(title=None, tickCount=5, labelExpr=f"datum.label + ' {unit}'", gridOpacity=0.6)
    tips = [
        alt.Tooltip("week:N", title="Week from"),
        alt.Tooltip("p10:Q", title="1 in 10 is below", format=".0f"),
        alt.Tooltip("p50:Q", title="Middle", format=".0f"),
        alt.Tooltip("p90:Q", title="1 in 10 is above", format=".0f"),
    ]
    base = alt.Chart(table)
    scale = alt.Scale(domain=[0, 1.1 * float(table["p90"].max()) or 1.0], nice=False)
    band = base.mark_bar(color=palette.spruce, opacity=0.35, size=26).encode(
        x, alt.Y("p10:Q", axis=axis, scale=scale), alt.Y2("p90"), tooltip=tips
    )
    middle = base.mark_tick(color=palette.ink, thickness=3, size=34).encode(x, alt.Y("p50:Q"))
    text = base.mark_text(color=palette.ink, dx=26, fontSize=LABEL).encode(x, alt.Y("p50:Q"), text="middle:N")
    return _dressed(alt.layer(band, middle, text).properties(height=height, width=width), palette, font)


def _short_date(day: date) -> str:
    """Return a date with the month's first three letters."""
    return " ".join(word[:3] for word in show_date(day).split())


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


def _dressed(chart: alt.LayerChart, palette: Palette, font: str) -> alt.LayerChart:
    return styled(chart, palette, font, labels=palette.ink).configure_legend(
        labelColor=palette.ink, labelFontSize=14, symbolStrokeColor=palette.faint
    )
