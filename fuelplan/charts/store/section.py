"""The store in section, to scale, with the fill line."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from fuelplan.answers.how_big import Drawing, Section
from fuelplan.charts import FONT, LIGHT, Palette
from fuelplan.charts.store.style import LABEL, polygon, stroke, styled
from fuelplan.messages import Message, Quantity, as_text, message
from fuelplan.units import parse, reader

FOOT_M = parse("1 ft", "length")
MARGIN_M = 0.25  # free around the drawing


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
        axis=_metres(wide, _title(wide, view), half=True),
    )
    y = alt.Y(
        "z:Q",
        scale=alt.Scale(domain=[-MARGIN_M, top], nice=False),
        axis=_metres(
            drawing.height_m,
            as_text(message("section.high", "{length} high", length=_length(drawing.height_m))),
        ),
    )
    return x, y


def _title(wide_m: float, view: str) -> str:
    length = _length(wide_m)
    if view == "across":
        return as_text(message("section.across", "{length} across the conveyor", length=length))
    return as_text(message("section.along", "{length} along the conveyor", length=length))


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
    found: list[tuple[float, float, Message, str, str, int]] = [
        (0.0, full_at, message("section.full", "full: {mass}", mass=_mass(drawing.full_kg)), palette.faint,
         "center", 11),
    ]  # fmt: skip
    level_at = None if section.level_line is None else section.level_line[0][1]
    if level_at is not None and abs(full_at - level_at) > 0.25:
        now = message("section.now", "now about {mass}", mass=_mass(drawing.level_kg))
        found.append((0.0, level_at, now, palette.ink, "center", -8))
    if section.residue_line is not None and view == "along":
        stays = message("section.stays", "stays behind: {mass}", mass=_mass(drawing.unusable_kg))
        found.append((0.0, section.residue_line[0][1], stays, palette.ember, "center", -9))
    if section.mat is not None:
        (mx, top), (_, low) = section.mat
        found.append((mx, (top + low) / 2, message("section.mat", "mat"), palette.dusk, "right", 0))
        found.append((*section.inlet, message("section.inlet", "inlet"), palette.dusk, "left", 0))
    names = []
    for px, pz, said, colour, align, dy in found:
        table = pd.DataFrame({"x": [px], "z": [pz], "text": [as_text(said)]})
        shift = {"center": 0, "right": -7, "left": 10}[align]
        names.append(
            alt.Chart(table)
            .mark_text(color=colour, align=align, dx=shift, dy=dy, fontSize=LABEL)
            .encode(x, y, alt.Text("text:N"))
        )
    return names


def section_alt(drawing: Drawing) -> Message:
    """Return what the section shows, in words."""
    return message(
        "section.alt",
        "The store in section, to scale: {shape}, {width} across, {length} long, {height} high. Full it "
        "holds about {full}; drawn with about {level} ({where_from}); about {stays} cannot be conveyed out.",
        shape=drawing.words,
        width=_length(drawing.width_m),
        length=_length(drawing.length_m),
        height=_length(drawing.height_m),
        full=_mass(drawing.full_kg),
        level=_mass(drawing.level_kg),
        where_from=drawing.level_from,
        stays=_mass(drawing.unusable_kg),
    )


def section_table(drawing: Drawing) -> list[tuple[Message, Message]]:
    """Return the same as rows."""
    return [
        (message("section.row_shape", "Shape"), drawing.words),
        (
            message("section.row_inside", "Inside"),
            message(
                "section.inside",
                "{length} long, {width} across, {height} high",
                length=_length(drawing.length_m),
                width=_length(drawing.width_m),
                height=_length(drawing.height_m),
            ),
        ),
        (message("section.row_full", "Full"), _about(drawing.full_kg)),
        (
            message("section.row_in_it", "In it"),
            message(
                "section.in_it",
                "about {mass}, {where_from}",
                mass=_mass(drawing.level_kg),
                where_from=drawing.level_from,
            ),
        ),
        (message("section.row_stays", "Stays behind"), _about(drawing.unusable_kg)),
    ]


def _mass(kg: float) -> Quantity:
    return Quantity(kg, "mass")


def _about(kg: float) -> Message:
    return message("section.about", "about {mass}", mass=_mass(kg))


def _length(length_m: float) -> Quantity:
    """Return a measure of the store with one decimal for every reader: "2.0 m", "6.6 ft"."""
    feet = length_m / FOOT_M
    return Quantity(length_m, "length", 2 if feet < 9.95 else 3, unit="m", decimals=1)


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
