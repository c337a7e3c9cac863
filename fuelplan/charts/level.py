"""Pictures of an order answer as Altair charts, each with its text alternative and its table beside it.

Pure functions: an answer goes in, a chart comes out; nothing is fetched, and the same chart serves the page
and the printed report. No meaning rests on colour alone: every line has its own dash and its name written
next to it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from fuelplan.answers.when_to_order import FuelStock, LevelBand, OrderAnswer, RunOut
from fuelplan.charts import level_words as words
from fuelplan.charts.level_words import band_of
from fuelplan.charts.palette import FONT, LIGHT, Palette, mass_scale
from fuelplan.messages import Day, Quantity, Range, as_text

HEADROOM = 1.22


def level_chart(
    answer: OrderAnswer,
    fuel: str | None = None,
    *,
    palette: Palette = LIGHT,
    days: int | None = None,
    height: int = 380,
) -> alt.LayerChart:
    """Return the level in the store, day by day: band, reserve, order day, delivery and run-out range.

    Parameters
    ----------
    answer
        An order answer with its level bands.
    fuel
        Which fuel; None for that of the bulk store.
    days
        How many days from the day of the answer to draw; all where None.

    Raises
    ------
    ValueError
        If the answer holds no level band for the fuel.
    """
    fuel = fuel or answer.stocks[0].fuel
    planned = band_of(answer, fuel, True)
    if planned is None:
        raise ValueError(f"the answer holds no levels of {fuel}; compute it with its level bands")
    stock = next(s for s in answer.stocks if s.fuel == fuel)
    shown = len(planned.dates) if days is None else min(days, len(planned.dates))
    unit, kg_per_unit = mass_scale(max(stock.capacity_kg, float(planned.p90[:shown].max())))
    sketch = _Sketch(answer, stock, palette, unit, kg_per_unit, shown)
    layers = [
        *sketch.band(planned),
        *sketch.without_plan(),
        *sketch.limits(),
        *sketch.marks(),
        sketch.hover(planned),
    ]
    return (
        alt.layer(*layers)
        .resolve_scale(color="independent")
        .properties(height=height, width="container")
        .configure(
            background="transparent", font=FONT, padding={"left": 2, "right": 8, "top": 6, "bottom": 2}
        )
        .configure_view(stroke=None)
        .configure_axis(**palette.axis)
    )


def ticks(top: float) -> list[float]:
    """Return round values from 0 up to `top`, four to eight of them: nothing is marked above a full store."""
    if top <= 0:
        return [0.0]
    size = 10.0 ** np.floor(np.log10(top / 4))
    step = next(size * s for s in (1, 2, 5, 10) if top / (size * s) <= 8)
    return [round(float(v), 9) for v in np.arange(0, top + step * 1e-6, step)]


@dataclass(frozen=True)
class _Sketch:
    """What the layers of one level chart share."""

    answer: OrderAnswer
    stock: FuelStock
    palette: Palette
    unit: str
    kg_per_unit: float
    shown: int

    @property
    def first(self) -> date:
        return self.answer.as_of

    @property
    def top(self) -> float:
        """Upper end of the axis: room above the full store for the names of the marks."""
        return max(self.stock.capacity_kg, self.stock.p90_kg) * HEADROOM / self.kg_per_unit

    def _x(self, field: str = "day", **more: Any) -> alt.X:
        axis = alt.Axis(
            title=None,
            grid=False,
            labelExpr=_MONTH_LABELS,
            tickCount={"interval": "month", "step": 1},
            labelOverlap=True,
            labelAlign="left",
            labelOffset=2,
        )
        return alt.X(f"{field}:T", axis=axis, **more)

    def _y(self, field: str, **more: Any) -> alt.Y:
        axis = alt.Axis(
            title=None,
            values=ticks(self.stock.capacity_kg / self.kg_per_unit),
            labelExpr=f"datum.label + ' {self.unit}'",
            gridOpacity=0.6,
        )
        return alt.Y(
            f"{field}:Q", axis=axis, scale=alt.Scale(domain=[0, self.top], nice=False, zero=True), **more
        )

    def _table(self, band: LevelBand) -> pd.DataFrame:
        n, k = self.shown, self.kg_per_unit
        return pd.DataFrame(
            {
                "day": pd.to_datetime(band.dates[:n]),
                "p02": band.p02[:n] / k,
                "p10": band.p10[:n] / k,
                "p50": band.p50[:n] / k,
                "p90": band.p90[:n] / k,
            }
        )

    def band(self, planned: LevelBand) -> list[alt.Chart]:
        """Two shades of doubt and the middle line."""
        base = alt.Chart(self._table(planned))
        colour = self.palette.spruce
        return [
            base.mark_area(color=colour, opacity=0.14).encode(self._x(), self._y("p02"), alt.Y2("p10")),
            base.mark_area(color=colour, opacity=0.30).encode(self._x(), self._y("p10"), alt.Y2("p90")),
            base.mark_line(color=colour, strokeWidth=2.6).encode(self._x(), self._y("p50")),
        ]

    def without_plan(self) -> list[alt.Chart]:
        """Where the level would go if nothing were ordered: dotted, down to the empty store."""
        band = band_of(self.answer, self.stock.fuel, False)
        if band is None:
            return []
        table = self._table(band)
        level = table["p50"].to_numpy()
        # What stays at the end is the residue: from there on nothing moves.
        table = table.iloc[: int(np.argmax(level <= level[-1])) + 1]
        line = alt.Chart(table).mark_line(color=self.palette.faint, strokeWidth=1.8, strokeDash=[2, 4])
        return [line.encode(self._x(), self._y("p50"))]

    def limits(self) -> list[alt.Chart]:
        """The reserve and the full store, each with its name on the line."""
        layers = []
        last = _day(self.answer.as_of, self.shown - 1)
        for kg, name, colour, dash, dy in (
            (self.stock.reserve_kg, as_text(words.RESERVE), self.palette.ember, [7, 3], -7),
            (self.stock.capacity_kg, as_text(words.FULL), self.palette.faint, [1, 3], -7),
        ):
            where = pd.DataFrame({"day": [last], "kg": [kg / self.kg_per_unit], "name": [name]})
            chart = alt.Chart(where)
            layers.append(
                chart.mark_rule(color=colour, strokeDash=dash, strokeWidth=1.6).encode(self._y("kg"))
            )
            layers.append(
                chart.mark_text(color=colour, align="right", dy=dy, fontSize=13).encode(
                    self._x(), self._y("kg"), alt.Text("name:N")
                )
            )
        return layers

    def marks(self) -> list[alt.Chart]:
        """The day to order, the delivery windows, and the range of days on which the reserve is reached."""
        layers = []
        coming = [p for p in self.answer.on_its_way if p.fuel == self.stock.fuel]
        windows = [(p.deliver_from, p.deliver_to) for p in coming]
        order = self.answer.order
        if order and order.fuel == self.stock.fuel:
            windows.append((order.deliver_from, order.deliver_to))
            layers += self._flag(order.order_by, as_text(words.order_by(order.order_by)))
        for first, last in windows:
            layers += self._window(first, last)
        run_out = next((r for r in self.answer.run_out if r.fuel == self.stock.fuel), None)
        return layers + (self._run_out(run_out) if run_out else [])

    def _flag(self, day: date, text: str) -> list[alt.Chart]:
        """A vertical line with its date written at the top."""
        top = self.top * 0.965
        chart = alt.Chart(
            pd.DataFrame({"day": [pd.Timestamp(day)], "top": [top], "zero": [0.0], "text": [text]})
        )
        late = (day - self.first).days > self.shown / 2
        return [
            chart.mark_rule(color=self.palette.ink, strokeWidth=1.6).encode(
                self._x(), self._y("zero"), alt.Y2("top")
            ),
            chart.mark_point(
                shape="triangle-right", filled=True, size=120, color=self.palette.ink, opacity=1, dx=5
            ).encode(self._x(), self._y("top")),
            chart.mark_text(
                color=self.palette.ink,
                align="right" if late else "left",
                dx=-8 if late else 14,
                dy=0,
                fontSize=14,
                fontWeight="bold",
            ).encode(self._x(), self._y("top"), alt.Text("text:N")),
        ]

    def _window(self, first: date, last: date) -> list[alt.Chart]:
        """The days on which the tanker may come: a framed strip from bottom to top."""
        top = self.top * 0.885
        where = pd.DataFrame(
            {
                "day": [pd.Timestamp(first)],
                "end": [pd.Timestamp(last) + pd.Timedelta(days=1)],
                "zero": [0.0],
                "top": [top],
                "text": [as_text(words.DELIVERY)],
            }
        )
        chart = alt.Chart(where)
        return [
            chart.mark_rect(
                color=self.palette.dusk,
                opacity=0.14,
                stroke=self.palette.dusk,
                strokeOpacity=1,
                strokeWidth=1,
            ).encode(self._x(), alt.X2("end"), self._y("zero"), alt.Y2("top")),
            chart.mark_text(color=self.palette.dusk, align="left", dx=1, dy=-8, fontSize=13).encode(
                self._x(), self._y("top"), alt.Text("text:N")
            ),
        ]

    def _run_out(self, run_out: RunOut) -> list[alt.Chart]:
        """The range of days on which the reserve is reached if nothing is ordered: a bar with its middle."""
        edge = _day(self.answer.as_of, self.shown - 1)
        earliest = run_out.p02 or run_out.p10
        if earliest is None or pd.Timestamp(earliest) > edge:
            return []
        first = pd.Timestamp(earliest)
        last = min(pd.Timestamp(run_out.p90) if run_out.p90 else edge, edge)
        level = self.stock.reserve_kg / self.kg_per_unit
        layers = [
            alt.Chart(pd.DataFrame({"day": [first], "end": [last], "kg": [level]}))
            .mark_rule(color=self.palette.ember, strokeWidth=6, opacity=0.85, strokeCap="butt")
            .encode(self._x(), alt.X2("end"), self._y("kg"))
        ]
        if run_out.p50 and pd.Timestamp(run_out.p50) <= edge:
            middle = pd.DataFrame({"day": [pd.Timestamp(run_out.p50)], "kg": [level]})
            layers.append(
                alt.Chart(middle)
                .mark_point(shape="diamond", filled=True, size=130, color=self.palette.ember, opacity=1)
                .encode(self._x(), self._y("kg"))
            )
        return layers

    def hover(self, planned: LevelBand) -> alt.Chart:
        """Thin invisible lines that tell day and level under the pointer."""
        n = self.shown
        step = max(1, n // 120)
        rows = range(0, n, step)
        days = [planned.dates[i].astype("datetime64[D]").item() for i in rows]
        table = pd.DataFrame(
            {
                "day": pd.to_datetime(planned.dates[:n:step]),
                "on": [as_text(Day(d, year=True)) for d in days],
                "usual": [as_text(Quantity(float(planned.p50[i]), "mass")) for i in rows],
                "range": [as_text(Range(float(planned.p10[i]), float(planned.p90[i]), "mass")) for i in rows],
                "low": [as_text(Quantity(float(planned.p02[i]), "mass")) for i in rows],
            }
        )
        tips = [
            alt.Tooltip("on:N", title=as_text(words.TIP_DAY)),
            alt.Tooltip("usual:N", title=as_text(words.TIP_USUAL)),
            alt.Tooltip("range:N", title=as_text(words.TIP_RANGE)),
            alt.Tooltip("low:N", title=as_text(words.TIP_LOW)),
        ]
        return (
            alt.Chart(table)
            .mark_rule(strokeWidth=9, opacity=0, color=self.palette.ink)
            .encode(self._x(), tooltip=tips)
        )


# The month's name, and under January (and the first label) the year.
_MONTH_LABELS = (
    "month(datum.value) == 0 || datum.index == 0 "
    "? [timeFormat(datum.value, '%b'), timeFormat(datum.value, '%Y')] : timeFormat(datum.value, '%b')"
)


def _day(first: date, after: int) -> pd.Timestamp:
    return pd.Timestamp(first) + pd.Timedelta(days=after)
