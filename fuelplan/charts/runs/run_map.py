"""The map of the runs: it needs no tiles and no network, and each tanker has its own dash and shape."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from datetime import date
from typing import Any

import altair as alt
import pandas as pd

from fuelplan.answers.which_runs import Run, RunsAnswer, RunStop
from fuelplan.charts import FONT, LIGHT, Palette
from fuelplan.charts.runs.look import dressed
from fuelplan.charts.store.style import LABEL
from fuelplan.messages import Day, Listed, Message, Own, Quantity, TimeOfDay, as_text, message
from fuelplan.units import parse, reader

SHAPES = ("circle", "triangle-up", "diamond", "square", "cross", "triangle-down")
DASHES = ((1, 0), (9, 4), (2, 3), (12, 3, 2, 3), (6, 2), (1, 5))
MARGIN_SHARE, BAR_SHARE = 0.08, 0.12
LEAST_SPAN_DEG = 0.02  # a map of one street is not blown up to the doormat
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
    seam = _seam(runs)
    middle = seam + 180
    layers = _layers(answer, runs, seam, palette)
    return dressed(
        alt.layer(*layers).project("mercator", rotate=[-middle, 0, 0]).properties(height=height, width=width),
        palette,
        font,
    )


def _layers(answer: RunsAnswer, runs: Sequence[Run], seam: float, palette: Palette) -> list[Any]:
    """Return what is drawn, from below to above."""
    tankers = tankers_of(answer)
    domain = [t for t in tankers if any(run.tanker == t for run in runs)]
    at = [tankers.index(t) for t in domain]
    colour = _by_tanker(alt.Color, domain, [_in_turn(colours_of(palette), i) for i in at])
    dash = _by_tanker(alt.StrokeDash, domain, [list(_in_turn(DASHES, i)) for i in at])
    shape = _by_tanker(alt.Shape, domain, [_in_turn(SHAPES, i) for i in at])
    spots = _stop_table(runs, seam)
    frame = _corners(spots, runs, seam)
    return [
        _frame(frame),
        *_scale_bar(frame, palette),
        _lines(runs, seam, colour, dash),
        _depots(runs, seam, palette),
        _stops(spots, colour, shape),
        _numbers(spots.head(MOST_NUMBERED), palette),
    ]


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
                **{name: as_text(said) for name, said in _told(run, s).items()},
            }
            for run in runs
            for s in run.stops
        ]
    )


def _told(run: Run, stop: RunStop) -> dict[str, Message]:
    """Return what a pointer over a stop shows."""
    return {
        "amount": message(
            "chart.map_drop",
            "{amount} {grade}",
            amount=Quantity(stop.kg, "mass", digits=3),
            grade=Own(stop.grade),
        ),
        "when": message("chart.map_when", "{day}, {clock}", day=Day(run.day), clock=TimeOfDay(stop.arrive_h)),
        "trip": message(
            "chart.map_trip",
            "{tanker}, run {trip}, stop {position}",
            tanker=Own(run.tanker),
            trip=run.trip,
            position=stop.position,
        ),
    }


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
    us = reader().system == "us"
    km_per_unit = parse("1 mi", "distance") if us else 1.0
    km_per_deg = KM_PER_DEG * math.cos(math.radians(south)) / km_per_unit
    most = (east - west) * km_per_deg / 4
    size = 10.0 ** math.floor(math.log10(most))
    length = next(size * step for step in (5, 2, 1) if size * step <= most)
    ends = [west, west + length / km_per_deg]
    bar = pd.DataFrame({"longitude": ends, "latitude": [south, south], "place": [0, 1]})
    told = pd.DataFrame({"longitude": [ends[0]], "latitude": [south], "text": [as_text(_length(length, us))]})
    where = alt.Longitude("longitude:Q"), alt.Latitude("latitude:Q")
    return [
        alt.Chart(bar).mark_line(color=palette.faint, strokeWidth=3).encode(*where, order="place:Q"),
        alt.Chart(told)
        .mark_text(align="left", dy=-9, fontSize=12, color=palette.faint)
        .encode(*where, text="text:N"),
    ]


def _length(length: float, us: bool) -> Message:
    number = Own(f"{length:g}")
    if us:
        return message("chart.map_miles", "{length} miles", length=number)
    return message("chart.map_km", "{length} km", length=number)


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
    return alt.layer(
        mark.encode(tooltip=alt.Tooltip("depot:N", title=as_text(message("chart.map_depot", "Depot")))), name
    )


def _stops(spots: pd.DataFrame, colour: Any, shape: Any) -> alt.Chart:
    tips = [
        alt.Tooltip("who:N", title=as_text(message("chart.map_customer", "Customer"))),
        alt.Tooltip("amount:N", title=as_text(message("chart.map_amount", "Drop"))),
        alt.Tooltip("when:N", title=as_text(message("chart.map_arrives", "Arrives"))),
        alt.Tooltip("trip:N", title=as_text(message("chart.map_of_run", "Run"))),
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


def map_alt(answer: RunsAnswer, days: Sequence[date] | None = None) -> Message:
    """Return in words what the map shows."""
    runs = chosen_runs(answer, days)
    if not runs:
        return message("chart.map_none", "No run on these days.")
    each = tuple(
        message(
            "chart.map_run",
            "{tanker} on {day}, run {trip}: from {depot} to {stops}, and back, {road}",
            tanker=Own(run.tanker),
            day=Day(run.day),
            trip=run.trip,
            depot=Own(run.depot),
            stops=Listed(tuple(Own(s.name or s.customer) for s in run.stops), ", "),
            road=Quantity(run.km, "distance"),
        )
        for run in runs
    )
    return message(
        "chart.map",
        "Map of the runs, north up, straight lines from stop to stop. {runs}.",
        runs=Listed(each, "; "),
    )
