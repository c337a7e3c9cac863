"""The charts of the report as SVG: vectors, made without a browser and without a network."""

from __future__ import annotations

import re
from typing import Any

from fuelplan.answers import SizeAnswer
from fuelplan.charts.store import cost_chart, hopper_chart, section_chart, svg_of, winter_chart

FONT = "Libertinus Serif"  # comes with the typesetter, so that letters are the same on every machine
WIDTH = 640
# Room between the margins, and points a pixel: letters in the pictures are about as large as the text's.
PAGE_PT, GAP_PT, MOST_PT_PER_PX = 487.0, 14.0, 0.75
AXES_PX, MOST_PX_PER_M = 150.0, 90.0


def pictures_of(answer: SizeAnswer) -> dict[str, str]:
    """Return each picture's SVG by its name; what the answer does not hold is left out."""
    found: dict[str, Any] = {"cost": cost_chart(answer, font=FONT, width=WIDTH, height=140)}
    if answer.worst_winter is not None:
        found["winter"] = winter_chart(answer.worst_winter, font=FONT, width=WIDTH, height=165)
    if answer.hopper is not None:
        found["hopper"] = hopper_chart(answer.hopper, font=FONT, width=WIDTH, height=135)
    if answer.drawing is not None:
        metres = answer.drawing.width_m + answer.drawing.length_m + 1.0
        scale = min(MOST_PX_PER_M, (PAGE_PT / MOST_PT_PER_PX - AXES_PX) / metres)
        for view in ("across", "along"):
            found[view] = section_chart(answer.drawing, view, px_per_m=scale, font=FONT)
    return {name: svg_of(chart) for name, chart in found.items()}


def section_widths_pt(pictures: dict[str, str]) -> list[float]:
    """Return the widths of the two sections in print, in one scale, so that both fit on a line. [pt]"""
    wide = [_width_px(pictures[view]) for view in ("across", "along") if view in pictures]
    if not wide:
        return []
    scale = min(MOST_PT_PER_PX, (PAGE_PT - GAP_PT) / sum(wide))
    return [round(w * scale, 2) for w in wide]


def _width_px(svg: str) -> float:
    found = re.search(r'<svg[^>]*\swidth="([\d.]+)"', svg)
    if found is None:
        raise ValueError("a picture without a width cannot be laid out")
    return float(found[1])
