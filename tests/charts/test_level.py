"""The level chart shows what the answer says, in colours everyone can tell apart, with words and a table."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from datetime import date
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

import fuelplan.pages
from fuelplan import charts
from fuelplan.answers.when_to_order.answer import RunOut
from fuelplan.charts import DARK, LIGHT, Palette
from fuelplan.messages import as_text, strict
from fuelplan.units import show, written_for
from tests.order_example import (
    AS_OF,
    CAPACITY_KG,
    RESERVE_KG,
    example_answer,
    example_levels,
    with_placed_order,
)
from tests.pseudo_language import outside, speak_pseudo


def rows_of(spec: dict, mark: str, **encoded: str) -> list[list[dict]]:
    """The data rows of every layer with a mark and with the named fields in its channels."""
    found = []
    for layer in spec["layer"]:
        fields = {channel: layer["encoding"].get(channel, {}).get("field") for channel in encoded}
        if layer["mark"]["type"] == mark and fields == encoded:
            found.append(spec["datasets"][layer["data"]["name"]])
    return found


def spec_of(answer: object = None, **options: object) -> dict:
    """The level chart as the browser gets it."""
    return charts.level_chart(answer or example_answer(), **options).to_dict()


def test_band_and_line_are_the_answers_quantiles() -> None:
    """Band and middle line hold the answer's own quantiles, in tonnes."""
    (rows,) = rows_of(spec_of(), "area", y="p10", y2="p90")
    levels = example_levels(True)
    for name in ("p02", "p10", "p50", "p90"):
        np.testing.assert_allclose([row[name] for row in rows], getattr(levels, name) / 1000)
    assert rows[0]["day"].startswith("2026-01-15")
    assert len(rows_of(spec_of(), "line", y="p50")) == 2  # with the plan, and with nothing ordered


def test_line_without_an_order_stops_at_the_empty_store() -> None:
    """The line for "nothing ordered" ends on the first empty day: below zero there is nothing to show."""
    rows = next(r for r in rows_of(spec_of(), "line", y="p50") if r[-1]["p50"] == 0)
    assert all(row["p50"] > 0 for row in rows[:-1])
    first_empty = int(np.argmax(example_levels(False).p50 <= 0))
    assert len(rows) == first_empty + 1


def test_order_day_and_delivery_stand_on_their_dates() -> None:
    """The order flag stands on its day; the delivery strip ends after its last day, not before."""
    spec = spec_of()
    (flag,) = rows_of(spec, "rule", x="day", y="zero", y2="top")
    assert flag[0]["day"].startswith("2026-01-28")
    assert flag[0]["text"] == "order by 28 January"
    (strip,) = rows_of(spec, "rect", x="day", x2="end")
    assert strip[0]["day"].startswith("2026-02-04")
    assert strip[0]["end"].startswith("2026-02-14")


def test_placed_order_has_its_own_strip() -> None:
    """An order on its way is shown as a delivery, without an order flag."""
    spec = spec_of(with_placed_order())
    (strip,) = rows_of(spec, "rect", x="day", x2="end")
    assert strip[0]["day"].startswith("2026-01-20")
    assert rows_of(spec, "rule", x="day", y="zero", y2="top") == []


def test_run_out_range_lies_on_the_reserve() -> None:
    """The run-out bar goes from 1 in 50 to 9 in 10 at the reserve's height; the diamond is the middle."""
    spec = spec_of()
    (bar,) = rows_of(spec, "rule", x="day", x2="end", y="kg")
    assert bar[0]["day"].startswith("2026-02-20")
    assert bar[0]["end"].startswith("2026-04-02")
    assert bar[0]["kg"] == pytest.approx(RESERVE_KG / 1000)
    (diamond,) = rows_of(spec, "point", x="day", y="kg")
    assert diamond[0]["day"].startswith("2026-03-14")


def test_run_out_beyond_the_picture_is_not_drawn() -> None:
    """A run-out after the last day drawn leaves no bar at the edge."""
    spec = spec_of(days=20)
    assert rows_of(spec, "rule", x="day", x2="end", y="kg") == []


def test_limits_are_named_on_their_lines() -> None:
    """The reserve and the full store carry their names, so that no colour has to be known."""
    names = {
        row["name"]: row["kg"] for rows in rows_of(spec_of(), "text", y="kg", text="name") for row in rows
    }
    assert names == {
        "reserve": pytest.approx(RESERVE_KG / 1000),
        "store full": pytest.approx(CAPACITY_KG / 1000),
    }


def test_chart_stays_within_what_a_screen_reader_can_walk() -> None:
    """Fewer than 2,000 marks: an area or a line is one, everything else one for each row."""
    spec = spec_of()
    marks = sum(
        1 if layer["mark"]["type"] in {"area", "line"} else len(spec["datasets"][layer["data"]["name"]])
        for layer in spec["layer"]
    )
    assert 10 < marks < 2000  # above this a browser draws a canvas, which a screen reader cannot look into


def test_unknown_fuel_is_refused() -> None:
    """An answer without the fuel's levels cannot be drawn, and says so."""
    with pytest.raises(ValueError, match="no levels of logs"):
        charts.level_chart(example_answer(), "logs")


def test_text_alternative_tells_what_the_picture_shows() -> None:
    """Who cannot see the chart hears stock, limits, run-out, order and delivery."""
    text = str(charts.level_alt(example_answer()))
    for part in (
        "1.7 to 2.5 t",
        "350 kg",
        "5.2 t",
        "14 March 2026",
        "28 January 2026",
        "3.5 t",
        "13 February 2026",
    ):
        assert part in text
    assert "3 t already ordered may come from 20 January" in str(charts.level_alt(with_placed_order()))


def test_table_has_the_day_of_the_answer_and_every_first_of_a_month() -> None:
    """The table beside the chart starts on the day of the answer and goes on month by month."""
    rows = charts.level_table(example_answer())
    assert [row.day for row in rows[:3]] == [AS_OF, date(2026, 2, 1), date(2026, 3, 1)]
    assert len(rows) == 13
    assert as_text(rows[2].usual) == show(float(example_levels(True).p50[45]), "mass")
    assert as_text(rows[2].without) == show(float(example_levels(False).p50[45]), "mass")


def test_csv_has_every_day() -> None:
    """The download holds one line a day with the same kilograms."""
    lines = charts.level_csv(example_answer()).splitlines()
    assert lines[0] == "date,p02_kg,p10_kg,p50_kg,p90_kg,nothing_ordered_p50_kg"
    assert len(lines) == 367
    cells = lines[46].split(",")
    assert cells[0] == "2026-03-01"
    written = [float(line.split(",")[3]) for line in lines[1:]]
    np.testing.assert_allclose(written, example_levels(True).p50, atol=0.0501)


def test_us_axis_counts_short_tons() -> None:
    """In US units a store of 5.2 t is drawn in short tons (2,000 lb of 0.45359237 kg)."""
    assert charts.mass_scale(5200, "us") == ("short tons", pytest.approx(907.18474))
    assert charts.mass_scale(640, "us")[0] == "lb"
    assert charts.mass_scale(640) == ("kg", 1.0)


@pytest.mark.parametrize("top", [0.3, 1, 5.2, 8, 11.5, 640])
def test_ticks_are_round_and_end_below_the_full_store(top: float) -> None:
    """Three to nine round marks, none above the full store."""
    values = charts.ticks(top)
    assert 3 <= len(values) <= 9
    assert values[0] == 0
    assert values[-1] <= top
    first = float(f"{values[1]:e}".split("e")[0])
    assert first in {1.0, 2.0, 5.0}


def test_near_view_reaches_past_the_decision() -> None:
    """The near view shows the delivery and the whole run-out range with some days to spare."""
    days = charts.near_days(example_answer())
    assert days == 120
    far = example_answer(run_out=(RunOut("pellets", date(2026, 6, 1), None, date(2026, 7, 1), None),))
    assert charts.near_days(far) == (date(2026, 7, 1) - AS_OF).days + 28


# Colours ----------------------------------------------------------------------------------------------------

# Machado, Oliveira & Fernandes 2009, full severity (values from memory).
SEEN_AS = {
    "usual": np.eye(3),
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.01182, 0.04294, 0.968881]]
    ),
    "tritan": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.3039]]
    ),
}


def linear(colour: str) -> np.ndarray:
    """Linear light of an sRGB colour."""
    part = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2)."""
    return float(linear(colour) @ [0.2126, 0.7152, 0.0722])


def lab(light: np.ndarray) -> np.ndarray:
    """CIELAB of linear light, white D65."""
    xyz = np.array(
        [
            [0.4124564, 0.3575761, 0.1804375],
            [0.2126729, 0.7151522, 0.072175],
            [0.0193339, 0.119192, 0.9503041],
        ]
    ) @ np.clip(light, 0, 1)
    t = xyz / [0.95047, 1.0, 1.08883]
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_every_colour_that_carries_text_is_readable(palette: Palette) -> None:
    """Text colours have a contrast of at least 4.5 to 1 on both grounds (WCAG 2.2, level AA)."""
    for ground in (palette.ground, palette.panel):
        for name in ("ink", "faint", "spruce", "ember", "dusk"):
            bright, dark = sorted((luminance(getattr(palette, name)), luminance(ground)), reverse=True)
            ratio = (bright + 0.05) / (dark + 0.05)
            assert ratio >= 4.5, f"{name} on {ground}: {ratio:.2f}"


@pytest.mark.parametrize("vision", SEEN_AS)
@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_colours_stay_apart_for_every_colour_vision(palette: Palette, vision: str) -> None:
    """Level, danger and delivery differ by 15 CIELAB units or more for all eyes (matrices from memory)."""
    for a, b in combinations(("spruce", "ember", "dusk"), 2):
        seen = [lab(SEEN_AS[vision] @ linear(getattr(palette, name))) for name in (a, b)]
        assert float(np.linalg.norm(seen[0] - seen[1])) >= 15, (a, b)


@pytest.mark.parametrize(("theme", "palette"), [("light", LIGHT), ("dark", DARK)])
def test_charts_and_pages_share_one_palette(theme: str, palette: Palette) -> None:
    """The page theme and the charts use the same colours."""
    file = Path(fuelplan.pages.__file__).parent / "settings.toml"
    colours = tomllib.loads(file.read_text(encoding="utf-8"))["theme"][theme]
    assert colours["backgroundColor"] == palette.ground
    assert colours["secondaryBackgroundColor"] == palette.panel
    assert colours["textColor"] == palette.ink
    assert colours["primaryColor"] == palette.spruce
    assert charts.palette_for(theme) is palette


def written_in(spec: object) -> Iterator[str]:
    """Every text that a person reads in a chart: names on lines, flags, and what a pointer shows."""
    if isinstance(spec, dict):
        for key, value in spec.items():
            if key in {"name", "text", "title", "usual", "range", "low"} and isinstance(value, str):
                yield value
            elif key != "data":
                yield from written_in(value)
    elif isinstance(spec, list):
        for one in spec:
            yield from written_in(one)


def test_words_of_the_chart_go_through_the_catalogue(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a language that nobody speaks every name in the chart, and over every value, is that language's."""
    pseudo = speak_pseudo(monkeypatch, tmp_path)
    with strict(), written_for(pseudo):
        written = set(written_in(spec_of()))
    assert {"⟦reserve⟧", "⟦store full⟧", "⟦delivery⟧", "⟦Only 1 in 50 is lower⟧"} <= written
    assert [text for text in written if re.search(r"[a-z]{3}", outside(text))] == []
