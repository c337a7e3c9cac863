"""The charts of the report as SVG: vectors, made without a browser and without a network."""

from __future__ import annotations

from typing import Any

from fuelplan.answers import SizeAnswer
from fuelplan.charts_store import cost_chart, hopper_chart, section_chart, winter_chart

FONT = "Libertinus Serif"  # comes with the typesetter, so that letters are the same on every machine
WIDTH = 640
SECTION_WIDTH, MOST_PX_PER_M = 560.0, 90.0


def pictures_of(answer: SizeAnswer) -> dict[str, str]:
    """Return each picture's SVG by its name; what the answer does not hold is left out."""
    found: dict[str, Any] = {"cost": cost_chart(answer, font=FONT, width=WIDTH, height=210)}
    if answer.worst_winter is not None:
        found["winter"] = winter_chart(answer.worst_winter, font=FONT, width=WIDTH, height=230)
    if answer.hopper is not None:
        found["hopper"] = hopper_chart(answer.hopper, font=FONT, width=WIDTH, height=180)
    if answer.drawing is not None:
        wide = answer.drawing.width_m + answer.drawing.length_m + 1.0
        scale = min(MOST_PX_PER_M, SECTION_WIDTH / wide)
        for view in ("across", "along"):
            found[view] = section_chart(answer.drawing, view, px_per_m=scale, font=FONT)
    return {name: _svg(chart) for name, chart in found.items()}


def _svg(chart: Any) -> str:
    import vl_convert

    svg: str = vl_convert.vegalite_to_svg(chart.to_dict())
    return svg
