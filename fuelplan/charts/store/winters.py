"""Pictures through time: every size over the winters, the worst winter, the hopper in the coldest week."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from fuelplan.answers.how_big import HopperPart, SizeAnswer, SizeOption, WorstWinter, room
from fuelplan.charts import FONT, LIGHT, Palette, mass_scale, room_scale, ticks
from fuelplan.charts.store.style import LABEL, MONTHS, styled
from fuelplan.messages import Day, Message, Money, Number, Own, Quantity, as_text, counted_message, message
from fuelplan.units import parse, reader

FULL = message("chart.full", "full")


def cost_chart(
    answer: SizeAnswer,
    *,
    palette: Palette = LIGHT,
    height: int = 300,
    font: str = FONT,
    width: Any = "container",
) -> alt.LayerChart:
    """Return the yearly cost of every size; sizes that do not work are crosses."""
    unit, m3_per_unit = room_scale()
    shown = _sizes(answer)
    shown["room"] /= m3_per_unit
    x = alt.X(
        "room:Q",
        axis=alt.Axis(title=as_text(_room_axis(unit)), grid=False),
        scale=alt.Scale(zero=False, padding=16),
    )
    y = alt.Y(
        "cost:Q",
        axis=alt.Axis(title=as_text(_cost_axis(answer.currency)), format=",.0f", tickCount=5),
        scale=alt.Scale(zero=False, padding=18),
    )
    layers: list[Any] = []
    if answer.best_range_m3 is not None:
        low, high = (m3 / m3_per_unit for m3 in answer.best_range_m3)
        layers += _best_range((low, high), palette)
    base = alt.Chart(shown)
    tips = [
        alt.Tooltip("said:N", title=as_text(message("chart.room", "Room"))),
        alt.Tooltip("empty:N", title=as_text(message("chart.store", "Store"))),
    ]
    layers.append(
        base.transform_filter("datum.works").mark_line(color=palette.spruce, strokeWidth=2).encode(x, y)
    )
    layers.append(
        base.transform_filter("datum.works")
        .mark_point(color=palette.spruce, filled=True, size=70, opacity=1)
        .encode(x, y, tooltip=tips)
    )
    layers.append(
        base.transform_filter("!datum.works")
        .mark_point(shape="cross", filled=True, angle=45, color=palette.ember, size=90, opacity=1)
        .encode(x, y, tooltip=tips)
    )
    return styled(alt.layer(*layers).properties(height=height, width=width), palette, font)


def _sizes(answer: SizeAnswer) -> pd.DataFrame:
    """Return a row a size; those that cost far more than any that works would only flatten the picture."""
    table = pd.DataFrame(
        {
            "room": [o.room_m3 for o in answer.options],
            "cost": [o.yearly_cost for o in answer.options],
            "works": [o.works for o in answer.options],
            "said": [as_text(_cost_said(o, answer.currency)) for o in answer.options],
            "empty": [as_text(_empty_said(o)) for o in answer.options],
        }
    )
    good = table[table["works"]] if table["works"].any() else table
    most = max(float(good["cost"].max()), 1.12 * float(good["cost"].min()))
    return table[table["cost"] <= most * 1.02].copy()


def _room_axis(unit: str) -> Message:
    return message("chart.room_axis", "room of the store, {unit}", unit=Own(unit))


def _cost_axis(currency: str) -> Message:
    return message("chart.cost_axis", "cost a year, {currency}", currency=Own(currency))


def _cost_said(option: SizeOption, currency: str) -> Message:
    cost = Money(option.yearly_cost, currency)
    return message("chart.cost_of_room", "{room}: {cost}", room=room(option.room_m3), cost=cost)


def _empty_said(option: SizeOption) -> Message:
    return message(
        "chart.empty_in",
        "empty in {empty} of {winters}",
        empty=option.empty_winters,
        winters=option.winters_said,
    )


def _best_range(best_range: tuple[float, float], palette: Palette) -> list[Any]:
    """Return the shaded range with its name."""
    a, b = best_range
    said = as_text(message("chart.serves_best", "serves best"))
    base = alt.Chart(pd.DataFrame({"a": [a], "b": [b], "text": [said]}))
    name = base.mark_text(color=palette.spruce, align="left", dx=5, fontSize=LABEL)
    return [
        base.mark_rect(color=palette.spruce, opacity=0.14).encode(alt.X("a:Q"), alt.X2("b")),
        name.encode(alt.X("a:Q"), alt.Text("text:N"), y=alt.value(10)),
    ]


def cost_alt(answer: SizeAnswer) -> Message:
    """Return what the cost chart shows, in words."""
    working = [o for o in answer.options if o.works]
    if not working:
        return message("chart.no_size_works", "Yearly cost of each store size: no size in question works.")
    a, b = working[0], working[-1]
    return message(
        "chart.cost_alt",
        "Yearly cost by room: {first_cost} at {first_room}, {last_cost} at {last_room}; crosses are sizes "
        "that run empty or undercut the reserve.",
        first_cost=Money(a.yearly_cost, answer.currency),
        first_room=room(a.room_m3),
        last_cost=Money(b.yearly_cost, answer.currency),
        last_room=room(b.room_m3),
    )


def winter_chart(
    winter: WorstWinter,
    *,
    palette: Palette = LIGHT,
    height: int = 300,
    font: str = FONT,
    width: Any = "container",
) -> alt.LayerChart:
    """Return the level through the worst winter, with its deliveries and the reserve."""
    unit, kg_per_unit = mass_scale(winter.full_kg)
    table = pd.DataFrame({"day": pd.to_datetime(winter.dates), "t": winter.level_kg / kg_per_unit})
    top = max(winter.full_kg, float(winter.level_kg.max())) / kg_per_unit
    x = alt.X(
        "day:T",
        axis=alt.Axis(
            title=None,
            grid=False,
            labelExpr=MONTHS,
            tickCount={"interval": "month", "step": 1},
            labelAlign="left",
        ),
    )
    y = alt.Y(
        "t:Q",
        axis=alt.Axis(title=None, values=ticks(top), labelExpr=f"datum.label + ' {unit}'"),
        scale=alt.Scale(domain=[0, top * 1.18], nice=False),
    )
    base = alt.Chart(table)
    layers: list[Any] = [
        base.mark_area(color=palette.spruce, opacity=0.28, interpolate="step-after").encode(x, y),
        base.mark_line(color=palette.spruce, strokeWidth=2, interpolate="step-after").encode(x, y),
    ]
    layers += _limits(winter, x, y, palette)
    layers += _drops(winter, x, y, palette)
    return styled(alt.layer(*layers).properties(height=height, width=width), palette, font)


def _limits(winter: WorstWinter, x: alt.X, y: alt.Y, palette: Palette) -> list[Any]:
    """Return the reserve and the full store, each with its name on the line."""
    layers = []
    kg_per_unit = mass_scale(winter.full_kg)[1]
    for kg, name, colour, dash in (
        (winter.reserve_kg, as_text(message("chart.reserve", "reserve")), palette.ember, [7, 3]),
        (winter.full_kg, as_text(FULL), palette.faint, [1, 3]),
    ):
        where = pd.DataFrame(
            {"day": pd.to_datetime(winter.dates[-1:]), "t": [kg / kg_per_unit], "name": [name]}
        )
        rule = alt.Chart(where)
        text = rule.mark_text(color=colour, align="right", dy=-7, fontSize=LABEL)
        layers.append(rule.mark_rule(color=colour, strokeDash=dash, strokeWidth=1.6).encode(y))
        layers.append(text.encode(x, y, alt.Text("name:N")))
    return layers


def _drops(winter: WorstWinter, x: alt.X, y: alt.Y, palette: Palette) -> list[Any]:
    """Return each delivery with its amount."""
    came = winter.delivered_kg > 0
    if not came.any():
        return []
    marks = pd.DataFrame(
        {
            "day": pd.to_datetime(winter.dates[came]),
            "t": winter.level_kg[came] / mass_scale(winter.full_kg)[1],
            "text": [as_text(Quantity(float(kg), "mass")) for kg in winter.delivered_kg[came]],
        }
    )
    drops = alt.Chart(marks)
    look = {
        "shape": "triangle-down",
        "filled": True,
        "size": 90,
        "color": palette.dusk,
        "opacity": 1,
        "dy": -7,
    }
    text = drops.mark_text(color=palette.dusk, dy=-20, fontSize=LABEL, align="center")
    return [drops.mark_point(**look).encode(x, y), text.encode(x, y, alt.Text("text:N"))]


def winter_words(winter: WorstWinter) -> Message:
    """Return which winter is drawn, and with which store."""
    return counted_message(
        "chart.worst_winter",
        "The winter in which the store came lowest, {which} at today's temperature level ({use}), with a "
        "store of {room}: {n} delivery, lowest level {lowest}.",
        "The winter in which the store came lowest, {which} at today's temperature level ({use}), with a "
        "store of {room}: {n} deliveries, lowest level {lowest}.",
        int((winter.delivered_kg > 0).sum()),
        which=_which(winter.year),
        use=Quantity(winter.use_kg, "mass"),
        room=room(winter.size_m3),
        lowest=Quantity(float(winter.level_kg.min()), "mass"),
    )


def _which(year: int) -> Message:
    """Return the winter that began in a year; 0 is one of the weather generator."""
    if not year:
        return message("chart.generated_winter", "a winter of the weather generator")
    years = Own(f"{year}/{(year + 1) % 100:02d}")
    return message("chart.winter_of", "the winter of {years}", years=years)


def hopper_chart(
    hopper: HopperPart,
    *,
    palette: Palette = LIGHT,
    height: int = 260,
    font: str = FONT,
    width: Any = "container",
) -> alt.LayerChart:
    """Return the content of the hopper through the coldest week on record, quiet hours shaded."""
    steps = len(hopper.week_kg)
    unit, kg_per_unit = ("kg", 1.0) if reader().system == "metric" else ("lb", parse("1 lb", "mass"))
    start = pd.Timestamp(hopper.coldest_week_from)
    at = start + pd.to_timedelta(np.arange(steps) * hopper.step_min, unit="min")
    x = alt.X(
        "at:T", axis=alt.Axis(title=None, grid=False, format="%a %d", tickCount="day", labelAlign="left")
    )
    y = alt.Y(
        "kg:Q",
        axis=alt.Axis(title=None, labelExpr=f"datum.label + ' {unit}'", tickCount=5),
        scale=alt.Scale(domain=[0, hopper.drawn_kg / kg_per_unit * 1.12], nice=False),
    )
    layers: list[Any] = []
    if hopper.quiet is not None:
        a, b = hopper.quiet
        hours = (b - a) % 24
        end = start + pd.Timedelta(days=7)
        nights = [
            (start + pd.Timedelta(days=d, hours=a), start + pd.Timedelta(days=d, hours=a + hours))
            for d in range(-1, 7)
        ]
        bands = pd.DataFrame(
            [(max(p, start), min(q, end)) for p, q in nights if q > start and p < end], columns=["at", "to"]
        )
        layers.append(alt.Chart(bands).mark_rect(color=palette.faint, opacity=0.16).encode(x, alt.X2("to")))
    base = alt.Chart(pd.DataFrame({"at": at, "kg": hopper.week_kg / kg_per_unit}))
    layers.append(base.mark_line(color=palette.spruce, strokeWidth=1.8).encode(x, y))
    top = {"at": [at[-1]], "kg": [hopper.drawn_kg / kg_per_unit], "name": [as_text(FULL)]}
    full = alt.Chart(pd.DataFrame(top))
    layers.append(full.mark_rule(color=palette.faint, strokeDash=[1, 3], strokeWidth=1.6).encode(y))
    return styled(alt.layer(*layers).properties(height=height, width=width), palette, font)


def hopper_words(hopper: HopperPart) -> Message:
    """Return what the hopper's week shows."""
    size, first_day = Quantity(hopper.drawn_kg, "mass"), Day(hopper.coldest_week_from, year=True)
    fillings = Number(hopper.fillings_per_day_coldest_week, 1)
    lowest = Quantity(float(hopper.week_kg.min()), "mass")
    if hopper.quiet is None:
        return message(
            "chart.hopper_week",
            "A hopper of {size} in the coldest week on record, from {first_day}: filled {fillings} times a "
            "day, lowest {lowest}.",
            size=size,
            first_day=first_day,
            fillings=fillings,
            lowest=lowest,
        )
    begin, end = (Own(f"{hour:g}") for hour in hopper.quiet)
    return message(
        "chart.hopper_week_quiet",
        "A hopper of {size} in the coldest week on record, from {first_day}: filled {fillings} times a day, "
        "lowest {lowest}; grey: quiet hours, {begin} to {end}.",
        size=size,
        first_day=first_day,
        fillings=fillings,
        lowest=lowest,
        begin=begin,
        end=end,
    )
