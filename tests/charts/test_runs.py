"""Pictures of a run plan: the map the right way round, nothing by colour alone, each with its words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from fuelplan import units
from fuelplan.answers.who_is_due.answer import OutlookAnswer, Weekly
from fuelplan.charts import DARK, LIGHT
from fuelplan.charts.runs import (
    loads_alt,
    loads_chart,
    loads_table,
    map_alt,
    map_chart,
    tankers_of,
    weeks_alt,
    weeks_chart,
    weeks_table,
)
from fuelplan.charts.store import svg_of
from fuelplan.messages import as_text
from tests.runs_answers import DAYS, TAG, YARD, empty_runs, example_runs, run, stop


def tables_of(chart: Any) -> list[list[dict[str, Any]]]:
    """The rows behind each layer of a chart."""
    return list(chart.to_dict()["datasets"].values())


def rows_with(chart: Any, *names: str) -> list[dict[str, Any]]:
    """All rows that have these columns."""
    return [row for table in tables_of(chart) for row in table if set(names) <= set(row)]


def encodings(chart: Any, channel: str) -> list[dict[str, Any]]:
    """Every encoding of a channel by tanker."""
    layers = chart.to_dict()["layer"]
    found = [layer["encoding"][channel] for layer in layers if channel in layer.get("encoding", {})]
    return [e for e in found if e.get("field") == "tanker"]


def outlook_of(weekly: Weekly) -> OutlookAnswer:
    """An outlook that holds weeks alone."""
    empty: Any = None
    return OutlookAnswer(
        round="Test", as_of=date(2026, 1, 15), seed=1, horizon_days=21, risk_limit=0.02, sentences=(),
        customers=empty, weekly_t=weekly, weekly_burned_t=weekly, weekly_t_by_class={}, due=(),
        to_ring=(), late_promises=(), winters=24, draws=1000, notes=(), attributions=(),
    )  # fmt: skip


WEEKS = Weekly((date(2026, 1, 16), date(2026, 1, 23)), (80.0, 10.0), (105.2, 25.0), (120.0, 48.0))


def test_the_map_draws_each_run_in_driving_order() -> None:
    """From the depot through the stops in their order and back, each run a line of its own."""
    answer = example_runs()
    rows = rows_with(map_chart(answer), "place", "run")
    first = [r for r in rows if r["run"] == 0]
    assert [r["place"] for r in first] == [0, 1, 2, 3, 4]
    assert first[0]["latitude"] == first[-1]["latitude"] == YARD[1]
    assert [r["latitude"] for r in first[1:-1]] == [s.latitude for s in answer.runs[0].stops]
    assert {r["run"] for r in rows} == set(range(len(answer.runs)))


def test_only_the_days_asked_for_are_drawn() -> None:
    """The map of one day holds its stops and no other."""
    answer = example_runs()
    shown = {r["who"] for r in rows_with(map_chart(answer, [DAYS[2]]), "who")}
    assert shown == {"Weir 1", "Weir 2"}


def test_no_tanker_is_told_by_its_colour_alone() -> None:
    """Each tanker has a dash and a shape of its own, and the same ones on every day and in both themes."""
    answer = example_runs()
    for days in (None, [DAYS[0]], [DAYS[2]]):
        for channel in ("shape", "strokeDash", "color"):
            for found in encodings(map_chart(answer, days), channel):
                scale = found["scale"]
                values = [tuple(v) if isinstance(v, list) else v for v in scale["range"]]
                assert len(set(values)) == len(scale["domain"]), channel
    every = dict(
        zip(tankers_of(answer), encodings(map_chart(answer), "shape")[0]["scale"]["range"], strict=True)
    )
    alone = encodings(map_chart(answer, [DAYS[2]], palette=DARK), "shape")[0]["scale"]
    assert alone["range"] == [every["Wren"]]


def test_a_second_run_of_a_day_shows_in_the_numbers() -> None:
    """Where a tanker goes out twice, the number of the run stands before that of the stop."""
    rows = rows_with(map_chart(example_runs(), [DAYS[0]]), "number", "who")
    assert [r["number"] for r in rows] == ["1.1", "1.2", "1.3", "2.1", "2.2", "1"]


def test_the_map_asks_for_no_tiles() -> None:
    """Nothing in the map is an address from which something would be fetched."""
    document = str(map_chart(example_runs()).to_dict(context={})).replace("https://vega.github.io/schema", "")
    assert "http" not in document and "'url'" not in document


def test_over_the_180th_meridian_the_map_stays_small() -> None:
    """A round on both sides of the antimeridian is one small map, not one around the globe."""
    places = (stop(1, "A", "west", latitude=10.0, longitude=179.6), stop(2, "B", "east", longitude=-179.7))
    one = run(DAYS[0], "Heron", 1, places, depot_longitude=-179.9, depot_latitude=10.1)
    rows = rows_with(map_chart(replace(example_runs(), runs=(one,))), "longitude", "latitude")
    longitudes = [r["longitude"] for r in rows]
    assert max(longitudes) - min(longitudes) < 1.5


def test_a_single_place_has_a_map() -> None:
    """A stop at the depot's own door is drawn as a village, not as a point without a scale."""
    one = run(DAYS[0], "Heron", 1, (stop(1, "A", "here", latitude=YARD[1], longitude=YARD[2]),))
    chart = map_chart(replace(example_runs(), runs=(one,)), width=300)
    longitudes = [r["longitude"] for r in rows_with(chart, "longitude", "latitude")]
    assert max(longitudes) - min(longitudes) >= 0.0199
    assert "NaN" not in svg_of(chart)


def test_charts_need_something_to_show() -> None:
    """Without a run there is neither map nor loads, and it says so."""
    with pytest.raises(ValueError, match="no run"):
        map_chart(empty_runs())
    with pytest.raises(ValueError, match="no run"):
        loads_chart(empty_runs())
    with pytest.raises(ValueError, match="shorter than a week"):
        weeks_chart(outlook_of(Weekly((), (), (), ())))
    assert as_text(map_alt(empty_runs())) == "No run on these days."


def test_the_map_in_words_names_every_stop() -> None:
    """Who cannot see the map hears the tankers, the days and the stops in order."""
    said = as_text(map_alt(example_runs(), [DAYS[0]]))
    assert (
        f"Heron on 16 January, run 1: from yard to Lime tree house, {TAG}, =SUM(A1), and back, 41 km" in said
    )
    assert "Stork" not in said


def test_loads_add_up_over_the_runs_of_a_day() -> None:
    """Two runs of a tanker on a day count together, what it delivers and what it can carry."""
    rows = loads_table(example_runs())
    assert rows[0] == (DAYS[0], "Heron", 18200.0, 30000.0)
    assert sum(kg for *_, kg, _ in rows) == example_runs().kg
    drawn = rows_with(loads_chart(example_runs()), "row", "amount")
    assert drawn[0]["row"] == "Fri 16 January · Heron ×2"
    assert (drawn[0]["amount"], drawn[0]["holds"], drawn[0]["share"]) == (18.2, 30.0, "61%")
    assert "Fri 16 January, Heron: 18.2 t of 30 t" in as_text(loads_alt(example_runs()))


def test_weeks_show_middle_and_band() -> None:
    """Each week has its middle and its 8 in 10; the table says the same."""
    rows = rows_with(weeks_chart(outlook_of(WEEKS)), "week", "p10")
    assert [(r["week"], r["p10"], r["middle"], r["p90"]) for r in rows] == [
        ("16 Jan", 80.0, "105", 120.0), ("23 Jan", 10.0, "25", 48.0),
    ]  # fmt: skip
    row = [as_text(cell) for cell in weeks_table(outlook_of(WEEKS))[1]]
    assert row == ["23 January 2026", "25 t", "10 t to 48 t"]
    assert "from 23 January 2026: 25 t, 10 t to 48 t" in as_text(weeks_alt(outlook_of(WEEKS)))


def test_us_units_in_pictures() -> None:
    """In US units the axes are in short tons and the scale of the map in miles."""
    with units.written_for(units.reader_in("US")):
        told = rows_with(map_chart(example_runs()), "text", "longitude")
        weeks = rows_with(weeks_chart(outlook_of(WEEKS)), "week", "p10")
        loads = as_text(loads_alt(example_runs()))
    assert told[0]["text"].endswith(" miles")
    assert weeks[0]["p10"] == pytest.approx(80 / 0.90718474)
    assert "kg" not in loads and " t " not in loads


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_the_demo_supplier_can_be_drawn(palette: Any) -> None:
    """Every picture of the example becomes a drawing without a network, in both themes."""
    for chart in (
        map_chart(example_runs(), palette=palette, width=600),
        loads_chart(example_runs(), palette=palette, width=600),
        weeks_chart(outlook_of(WEEKS), palette=palette, width=600),
    ):
        assert svg_of(chart).startswith("<svg")


def test_names_are_no_markup_in_a_drawing() -> None:
    """A customer's name is text in the drawing, whatever it is made of."""
    one = run(DAYS[0], "<b>T</b>", 1, (stop(1, "A", TAG),), depot="<script>x</script>")
    drawing = svg_of(map_chart(replace(example_runs(), runs=(one,)), width=300))
    assert "<script" not in drawing and "<b>" not in drawing
