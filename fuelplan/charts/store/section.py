"""The store in section, to scale, with the fill line."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from fuelplan.answers.how_big import Drawing, Section
from fuelplan.charts import FONT, LIGHT, Palette
from fuelplan.charts.store.style import LABEL, polygon, stroke, styled
from fuelplan.units import parse, reader, show

FOOT_M = parse("1 ft", "length")
MARGIN_M = 0.25  # free around the drawing
VIEWS = {"across": "across the conveyor", "along": "along the conveyor"}


def section_chart(
    drawing: Drawing,
    view: str = "across",
    *,
    palette: Palette = LIGHT,
    px_per_m: float = 80.0,
    font: str = FONT,
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
    half, top = wide / 2 + MARGIN_M, drawing.height_m + MARGIN_M
    x, y = _axes(drawing, view, half, top)
    layers: list[Any] = []
    if section.fuel:
        layers.append(polygon(section.fuel, x, y, fill=palette.spruce, fillOpacity=0.38, strokeOpacity=0))
    layers.append(polygon(section.outline, x, y, stroke=palette.ink, strokeWidth=3.0, fillOpacity=0))
    for surface, colour, dash in (
        (section.full_line, palette.faint, [2, 4]),
        (section.residue_line, palette.ember, [6, 3]),
        (section.level_line, palette.spruce, [1, 0]),
    ):
        if surface is not None:
            layers.append(stroke(surface, x, y, colour, dash, 2.2))
    layers += _names(drawing, view, x, y, palette)
    layers += _inlet(section, x, y, palette)
    sides = {"width": round(px_per_m * 2 * half), "height": round(px_per_m * (top + MARGIN_M))}
    return styled(alt.layer(*layers).properties(**sides), palette, font)


def _axes(drawing: Drawing, view: str, half: float, top: float) -> tuple[alt.X, alt.Y]:
    """Return both axes in metres, with the store's own measures as their titles."""
    wide = 2 * (half - MARGIN_M)
    x = alt.X(
        "x:Q",
        scale=alt.Scale(domain=[-half, half], nice=False),
        axis=_metres(wide, f"{_length(wide)} {VIEWS[view]}", half=True),
    )
    y = alt.Y(
        "z:Q",
        scale=alt.Scale(domain=[-MARGIN_M, top], nice=False),
        axis=_metres(drawing.height_m, f"{_length(drawing.height_m)} high"),
    )
    return x, y


def _inlet(section: Section, x: alt.X, y: alt.Y, palette: Palette) -> list[Any]:
    """Return the inlet, and the deflector mat where the view shows it."""
    mark = pd.DataFrame({"x": [section.inlet[0]], "z": [section.inlet[1]]})
    shape = "triangle-right" if section.mat is not None else "circle"
    look = {"shape": shape, "filled": True, "size": 110, "color": palette.dusk, "opacity": 1}
    point = alt.Chart(mark).mark_point(**look).encode(x, y)
    return [point] if section.mat is None else [stroke(section.mat, x, y, palette.dusk, [1, 0], 4.0), point]


def _names(drawing: Drawing, view: str, x: alt.X, y: alt.Y, palette: Palette) -> list[Any]:
    """Return the words beside the lines: full, level, residue, inlet and mat."""
    section = drawing.across if view == "across" else drawing.along
    full_at = section.full_line[0][1]
    found = [(0.0, full_at, f"full: {show(drawing.full_kg, 'mass')}", palette.faint, 11)]
    level_at = None if section.level_line is None else section.level_line[0][1]
    if level_at is not None and abs(full_at - level_at) > 0.25:
        found.append((0.0, level_at, f"now about {show(drawing.level_kg, 'mass')}", palette.ink, -8))
    if section.residue_line is not None and view == "along":
        found.append(
            (
                0.0,
                section.residue_line[0][1],
                f"stays behind: {show(drawing.unusable_kg, 'mass')}",
                palette.ember,
                -9,
            )
        )
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
            alt.Chart(table)
            .mark_text(color=colour, align=align, dx=shift, dy=dy, fontSize=LABEL)
            .encode(x, y, alt.Text("text:N"))
        )
    return names


def section_alt(drawing: Drawing) -> str:
    """Return what the section shows, in words."""
    return (
        f"The store in section, to scale: {drawing.words}, {_length(drawing.width_m)} across, "
        f"{_length(drawing.length_m)} long, "
        f"{_length(drawing.height_m)} high. Full it holds about {show(drawing.full_kg, 'mass')}; "
        f"drawn with about "
        f"{show(drawing.level_kg, 'mass')} ({drawing.level_from}); about "
        f"{show(drawing.unusable_kg, 'mass')} cannot be conveyed out."
    )


def section_table(drawing: Drawing) -> list[tuple[str, str]]:
    """Return the same as rows."""
    return [
        ("Shape", drawing.words),
        (
            "Inside",
            f"{_length(drawing.length_m)} long, {_length(drawing.width_m)} across, "
            f"{_length(drawing.height_m)} high",
        ),
        ("Full", f"about {show(drawing.full_kg, 'mass')}"),
        ("In it", f"about {show(drawing.level_kg, 'mass')}, {drawing.level_from}"),
        ("Stays behind", f"about {show(drawing.unusable_kg, 'mass')}"),
    ]


def _length(length_m: float) -> str:
    """Return a measure of the store as the reader measures: "2.0 m", "6.6 ft"."""
    return f"{length_m / FOOT_M:.1f} ft" if reader().system == "us" else f"{length_m:.1f} m"


def _metres(length_m: float, title: str, half: bool = False) -> alt.Axis:
    """Return an axis in metres, its marks at round metres or feet."""
    unit_m, step, form = 1.0, 0.5 if length_m <= 4 else 1.0, ".1f"
    if reader().system == "us":
        unit_m, step, form = FOOT_M, (1 if length_m <= 4 else 2) * FOOT_M, ".0f"
    if half:
        shown = [round(v - length_m / 2, 6) for v in np.arange(0, length_m + 1e-9, step)]
        return alt.Axis(
            title=title,
            values=shown,
            labelExpr=f"format((datum.value + {length_m / 2:.4f}) / {unit_m}, '{form}')",
            grid=False,
            labelOverlap=True,
        )
    return alt.Axis(
        title=title,
        values=[round(float(v), 6) for v in np.arange(0, length_m + 1e-9, step)],
        labelExpr=f"format(datum.value / {unit_m}, '{form}')",
        grid=False,
    )
