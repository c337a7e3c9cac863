"""Pictures of a size answer as Altair charts, each with its text alternative: section, sizes, worst winter, hopper.

Pure functions: the same chart serves the page and the printed report. No meaning rests on colour alone.
"""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from fuelplan.answers.size_answer import Drawing, HopperPart, SizeAnswer, WorstWinter
from fuelplan.answers.size_words import room
from fuelplan.charts import FONT, LIGHT, Palette, ticks
from fuelplan.units import show, show_date

LABEL = 13
_MONTHS = "timeFormat(datum.value, '%b')"
VIEWS = {"across": "across the conveyor", "along": "along the conveyor"}


def section_chart(
    drawing: Drawing, view: str = "across", *, palette: Palette = LIGHT, px_per_m: float = 80.0, font: str = FONT
) -> alt.LayerChart:
    """Return the store in section, to scale: walls and floors, fuel, fill line, residue, inlet and mat.

    Parameters
    ----------
    view
        "across" or "along" the conveyor.
    px_per_m
        Scale; the same in both directions. [pixel/m]
    """
    section = drawing.across if view == "across" else drawing.along
    wide = drawing.width_m if view == "across" else drawing.length_m
    margin = 0.25
    half, top = wide / 2 + margin, drawing.height_m + margin
    x = alt.X("x:Q", scale=alt.Scale(domain=[-half, half], nice=False), axis=_metres(wide, f"{wide:.1f} m {VIEWS[view]}", half=True))
    y = alt.Y("z:Q", scale=alt.Scale(domain=[-margin, top], nice=False), axis=_metres(drawing.height_m, f"{drawing.height_m:.1f} m high"))
    layers: list[Any] = []
    if section.fuel:
        layers.append(_polygon(section.fuel, x, y, fill=palette.spruce, fillOpacity=0.38, strokeOpacity=0))
    layers.append(_polygon(section.outline, x, y, stroke=palette.ink, strokeWidth=3.0, fillOpacity=0))
    for line, colour, dash in (
        (section.full_line, palette.faint, [2, 4]),
        (section.residue_line, palette.ember, [6, 3]),
        (section.level_line, palette.spruce, [1, 0]),
    ):
        if line is not None:
            layers.append(_line(line, x, y, colour, dash, 2.2))
    layers += _names(drawing, view, x, y, palette)
    if section.mat is not None:
        layers.append(_line(section.mat, x, y, palette.dusk, [1, 0], 4.0))
    mark = pd.DataFrame({"x": [section.inlet[0]], "z": [section.inlet[1]]})
    shape = "triangle-right" if section.mat is not None else "circle"
    layers.append(alt.Chart(mark).mark_point(shape=shape, filled=True, size=110, color=palette.dusk, opacity=1).encode(x, y))
    sides = {"width": round(px_per_m * 2 * half), "height": round(px_per_m * (top + margin))}
    return _styled(alt.layer(*layers).properties(**sides), palette, font)


def _names(drawing: Drawing, view: str, x: alt.X, y: alt.Y, palette: Palette) -> list[Any]:
    """Return the words beside the lines: full, level, residue, inlet and mat."""
    section = drawing.across if view == "across" else drawing.along
    full_at = section.full_line[0][1]
    found = [(0.0, full_at, f"full: {show(drawing.full_kg, 'mass')}", palette.faint, 11)]
    level_at = None if section.level_line is None else section.level_line[0][1]
    if level_at is not None and abs(full_at - level_at) > 0.25:
        found.append((0.0, level_at, f"now about {show(drawing.level_kg, 'mass')}", palette.ink, -8))
    if section.residue_line is not None and view == "along":
        found.append((0.0, section.residue_line[0][1], f"stays behind: {show(drawing.unusable_kg, 'mass')}", palette.ember, -9))
    if section.mat is not None:
        (mx, top), (_, low) = section.mat
        found.append((mx, (top + low) / 2, "mat ", palette.dusk, 0))
        found.append((section.inlet[0], section.inlet[1], "  inlet", palette.dusk, 0))
    names = []
    for px, pz, text, colour, dy in found:
        align = "center" if dy else ("right" if text.startswith("mat") else "left")
        table = pd.DataFrame({"x": [px], "z": [pz], "text": [text.strip()]})
        shift = {"center": 0, "right": -7, "left": 10}[align]
        names.append(
            alt.Chart(table).mark_text(color=colour, align=align, dx=shift, dy=dy, fontSize=LABEL).encode(x, y, alt.Text("text:N"))
        )
    return names


def section_alt(drawing: Drawing) -> str:
    """Return what the section shows, in words."""
    return (
        f"The store in section, to scale: {drawing.words}, {drawing.width_m:.1f} m across, {drawing.length_m:.1f} m long, "
        f"{drawing.height_m:.1f} m high. Full it holds about {show(drawing.full_kg, 'mass')}; drawn with about "
        f"{show(drawing.level_kg, 'mass')} ({drawing.level_from}); about {show(drawing.unusable_kg, 'mass')} cannot be conveyed out."
    )


def section_table(drawing: Drawing) -> list[tuple[str, str]]:
    """Return the same as rows."""
    return [
        ("Shape", drawing.words),
        ("Inside", f"{drawing.length_m:.1f} m long, {drawing.width_m:.1f} m across, {drawing.height_m:.1f} m high"),
        ("Full", f"about {show(drawing.full_kg, 'mass')}"),
        ("In it", f"about {show(drawing.level_kg, 'mass')}, {drawing.level_from}"),
        ("Stays behind", f"about {show(drawing.unusable_kg, 'mass')}"),
    ]


def cost_chart(answer: SizeAnswer, *, palette: Palette = LIGHT, height: int = 300, font: str = FONT, width: Any = "container") -> alt.LayerChart:
    """Return the yearly cost of every size; sizes that run empty or never work are crosses."""
    table = pd.DataFrame(
        {
            "room": [o.room_m3 for o in answer.options],
            "cost": [o.yearly_cost for o in answer.options],
            "works": [o.works for o in answer.options],
            "said": [f"{room(o.room_m3)}: {o.yearly_cost:,.0f} {answer.currency}" for o in answer.options],
            "empty": [f"empty in {o.empty_winters} of {o.winters} winters" for o in answer.options],
        }
    )
    good = table[table["works"]] if table["works"].any() else table
    low = float(good["cost"].min())
    high = max(float(good["cost"].max()), 1.12 * low)
    shown = table[table["cost"] <= high * 1.02].copy()
    x = alt.X("room:Q", axis=alt.Axis(title="room of the store, m³", grid=False), scale=alt.Scale(zero=False, padding=16))
    y = alt.Y("cost:Q", axis=alt.Axis(title=f"cost a year, {answer.currency}", format=",.0f", tickCount=5), scale=alt.Scale(zero=False, padding=18))
    layers: list[Any] = []
    if answer.best_range_m3 is not None:
        band = pd.DataFrame({"a": [answer.best_range_m3[0]], "b": [answer.best_range_m3[1]], "text": ["serves best"]})
        layers.append(alt.Chart(band).mark_rect(color=palette.spruce, opacity=0.14).encode(alt.X("a:Q"), alt.X2("b")))
        layers.append(
            alt.Chart(band).mark_text(color=palette.spruce, align="left", dx=5, fontSize=LABEL).encode(
                alt.X("a:Q"), alt.Text("text:N"), y=alt.value(10)
            )
        )
    base = alt.Chart(shown)
    tips = [alt.Tooltip("said:N", title="Room"), alt.Tooltip("empty:N", title="Store")]
    layers.append(base.transform_filter("datum.works").mark_line(color=palette.spruce, strokeWidth=2).encode(x, y))
    layers.append(base.transform_filter("datum.works").mark_point(color=palette.spruce, filled=True, size=70, opacity=1).encode(x, y, tooltip=tips))
    layers.append(
        base.transform_filter("!datum.works").mark_point(shape="cross", filled=True, angle=45, color=palette.ember, size=90, opacity=1).encode(x, y, tooltip=tips)
    )
    return _styled(alt.layer(*layers).properties(height=height, width=width), palette, font)


def cost_alt(answer: SizeAnswer) -> str:
    """Return what the cost chart shows, in words."""
    working = [o for o in answer.options if o.works]
    if not working:
        return "Yearly cost of each store size: no size in question works."
    a, b = working[0], working[-1]
    return (
        f"Yearly cost by room: {a.yearly_cost:,.0f} {answer.currency} at {room(a.room_m3)}, {b.yearly_cost:,.0f} at {room(b.room_m3)}; "
        "crosses are sizes that run empty."
    )


def winter_chart(winter: WorstWinter, *, palette: Palette = LIGHT, height: int = 300, font: str = FONT, width: Any = "container") -> alt.LayerChart:
    """Return the level through the winter of the greatest use, with its deliveries and the reserve."""
    table = pd.DataFrame({"day": pd.to_datetime(winter.dates), "t": winter.level_kg / 1000.0})
    top = max(winter.full_kg, float(winter.level_kg.max())) / 1000.0
    x = alt.X("day:T", axis=alt.Axis(title=None, grid=False, labelExpr=_MONTHS, tickCount={"interval": "month", "step": 1}, labelAlign="left"))
    y = alt.Y("t:Q", axis=alt.Axis(title=None, values=ticks(top), labelExpr="datum.label + ' t'"), scale=alt.Scale(domain=[0, top * 1.18], nice=False))
    base = alt.Chart(table)
    layers: list[Any] = [
        base.mark_area(color=palette.spruce, opacity=0.28, interpolate="step-after").encode(x, y),
        base.mark_line(color=palette.spruce, strokeWidth=2, interpolate="step-after").encode(x, y),
    ]
    last = table["day"].iloc[-1]
    for kg, name, colour, dash in ((winter.reserve_kg, "reserve", palette.ember, [7, 3]), (winter.full_kg, "full", palette.faint, [1, 3])):
        rule = alt.Chart(pd.DataFrame({"day": [last], "t": [kg / 1000.0], "name": [name]}))
        layers.append(rule.mark_rule(color=colour, strokeDash=dash, strokeWidth=1.6).encode(y))
        layers.append(rule.mark_text(color=colour, align="right", dy=-7, fontSize=LABEL).encode(x, y, alt.Text("name:N")))
    came = winter.delivered_kg > 0
    if came.any():
        marks = pd.DataFrame(
            {"day": pd.to_datetime(winter.dates[came]), "t": winter.level_kg[came] / 1000.0,
             "text": [show(kg, "mass") for kg in winter.delivered_kg[came]]}
        )  # fmt: skip
        drops = alt.Chart(marks)
        layers.append(drops.mark_point(shape="triangle-down", filled=True, size=90, color=palette.dusk, opacity=1, dy=-7).encode(x, y))
        layers.append(drops.mark_text(color=palette.dusk, dy=-20, fontSize=LABEL, align="center").encode(x, y, alt.Text("text:N")))
    return _styled(alt.layer(*layers).properties(height=height, width=width), palette, font)


def winter_words(winter: WorstWinter) -> str:
    """Return which winter is drawn, and with which store."""
    of = f"the winter of {winter.year}/{(winter.year + 1) % 100:02d}" if winter.year else "a winter of the weather generator"
    drops = int((winter.delivered_kg > 0).sum())
    return (
        f"The hungriest winter played, {of} at today's temperature level ({show(winter.use_kg, 'mass')}), with a store of {room(winter.size_m3)}: "
        f"{drops} deliver{'y' if drops == 1 else 'ies'}, lowest level {show(float(winter.level_kg.min()), 'mass')}."
    )


def hopper_chart(hopper: HopperPart, *, palette: Palette = LIGHT, height: int = 260, font: str = FONT, width: Any = "container") -> alt.LayerChart:
    """Return the content of the hopper through the coldest week on record, quiet hours shaded."""
    steps = len(hopper.week_kg)
    start = pd.Timestamp(hopper.coldest_week_from)
    at = start + pd.to_timedelta(np.arange(steps) * hopper.step_min, unit="min")
    x = alt.X("at:T", axis=alt.Axis(title=None, grid=False, format="%a %d", tickCount="day", labelAlign="left"))
    y = alt.Y("kg:Q", axis=alt.Axis(title=None, labelExpr="datum.label + ' kg'", tickCount=5), scale=alt.Scale(domain=[0, hopper.drawn_kg * 1.12], nice=False))
    layers: list[Any] = []
    if hopper.quiet is not None:
        a, b = hopper.quiet
        hours = (b - a) % 24
        end = start + pd.Timedelta(days=7)
        nights = [(start + pd.Timedelta(days=d, hours=a), start + pd.Timedelta(days=d, hours=a + hours)) for d in range(-1, 7)]
        bands = pd.DataFrame([(max(p, start), min(q, end)) for p, q in nights if q > start and p < end], columns=["at", "to"])
        layers.append(alt.Chart(bands).mark_rect(color=palette.faint, opacity=0.16).encode(x, alt.X2("to")))
    base = alt.Chart(pd.DataFrame({"at": at, "kg": hopper.week_kg}))
    layers.append(base.mark_line(color=palette.spruce, strokeWidth=1.8).encode(x, y))
    full = alt.Chart(pd.DataFrame({"at": [at[-1]], "kg": [hopper.drawn_kg], "name": ["full"]}))
    layers.append(full.mark_rule(color=palette.faint, strokeDash=[1, 3], strokeWidth=1.6).encode(y))
    return _styled(alt.layer(*layers).properties(height=height, width=width), palette, font)


def hopper_words(hopper: HopperPart) -> str:
    """Return what the hopper's week shows."""
    shade = "" if hopper.quiet is None else f"; grey: quiet hours, {hopper.quiet[0]:g} to {hopper.quiet[1]:g}"
    return (
        f"A hopper of {show(hopper.drawn_kg, 'mass')} in the coldest week on record, from {show_date(hopper.coldest_week_from, year=True)}: "
        f"filled {hopper.fillings_per_day_coldest_week:.1f} times a day, lowest {show(float(hopper.week_kg.min()), 'mass')}{shade}."
    )


def svg_of(chart: alt.LayerChart) -> str:
    """Return a chart as SVG, made without a browser and without a network."""
    import vl_convert

    svg: str = vl_convert.vegalite_to_svg(chart.to_dict())
    return svg


def _polygon(points: tuple[tuple[float, float], ...], x: alt.X, y: alt.Y, **mark: Any) -> alt.Chart:
    table = pd.DataFrame([(px, pz, i) for i, (px, pz) in enumerate(points)], columns=["x", "z", "order"])
    return alt.Chart(table).mark_line(interpolate="linear-closed", strokeJoin="round", **mark).encode(x, y, alt.Order("order:Q"))


def _line(points: tuple[tuple[float, float], ...], x: alt.X, y: alt.Y, colour: str, dash: list[int], width: float) -> alt.Chart:
    table = pd.DataFrame([(px, pz, i) for i, (px, pz) in enumerate(points)], columns=["x", "z", "order"])
    return alt.Chart(table).mark_line(color=colour, strokeDash=dash, strokeWidth=width).encode(x, y, alt.Order("order:Q"))


def _metres(length_m: float, title: str, half: bool = False) -> alt.Axis:
    step = 0.5 if length_m <= 4 else 1.0
    if half:
        shown = [round(v - length_m / 2, 6) for v in np.arange(0, length_m + 1e-9, step)]
        return alt.Axis(title=title, values=shown, labelExpr=f"format(datum.value + {length_m / 2:.4f}, '.1f')", grid=False, labelOverlap=True)
    return alt.Axis(title=title, values=[round(float(v), 6) for v in np.arange(0, length_m + 1e-9, step)], format=".1f", grid=False)


def _styled(chart: alt.LayerChart, palette: Palette, font: str) -> alt.LayerChart:
    return (
        chart.configure(background="transparent", font=font, padding={"left": 2, "right": 8, "top": 6, "bottom": 2})
        .configure_view(stroke=None)
        .configure_axis(
            labelColor=palette.faint, titleColor=palette.faint, gridColor=palette.line, domainColor=palette.line,
            tickColor=palette.line, labelFontSize=LABEL, titleFontSize=LABEL, titleFontWeight="normal",
        )
    )  # fmt: skip
