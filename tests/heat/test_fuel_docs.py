"""The tables of the document on fuels and boilers, computed on the invented valley; the tests hold the
document to them.

Print them with `python -m tests.heat.test_fuel_docs`.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from importlib.resources import files

import numpy as np
import pytest

from fuelplan.heat import boiler, building
from fuelplan.heat import fuels as fuel
from fuelplan.heat.boiler import Boiler
from fuelplan.heat.fuels import MoistureWet
from fuelplan.messages import as_text
from fuelplan.store import buffer, log_heating, log_pile
from fuelplan.store.log_heating import NEVER, LoadingRule, LogLoad, LogPelletBoiler
from fuelplan.weather.valley import valley_days
from tests.log_heating_played import play

WATER = (0.15, 0.20, 0.30, 0.45)
WOODS = ("beech", "birch", "spruce", "poplar")


def rows(table: list[tuple[str, ...]]) -> list[str]:
    """Lines of a Markdown table."""
    head, *body = table
    return [f"| {' | '.join(r)} |" for r in (head, ("---",) * len(head), *body)]


def wood() -> list[str]:
    """Energy of a kilogram and of a stacked metre by kind and water."""
    out: list[tuple[str, ...]] = [
        ("wood", *(f"{w:.0%} wet ({MoistureWet(w).dry.share:.0%} dry)" for w in WATER))
    ]
    for name in WOODS:
        kinds = [fuel.logs(name, MoistureWet(w)) for w in WATER]
        out.append((name, *(f"{k.kwh_per_kg:.2f} kWh/kg, {k.kwh_per_stacked_m3:,.0f} kWh/m³" for k in kinds)))
    return rows(out)


def valley() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Dates, means and humidity of ten invented years. [-, degC, %]"""
    first, last = date(2014, 7, 1), date(2024, 6, 30)
    days = valley_days(first, last, seed=4)
    dates = np.arange(np.datetime64(first), np.datetime64(last) + 1)
    return dates, days.mean_c, days.humidity_pct


def house() -> building.HeatNeed:
    """The house of the document: 12 kW at -12 degC, 140 m2."""
    water = building.hot_water_for_floor_area(140).kwh_per_day
    return building.from_design_loss(12, -12, gains_w=560, hot_water_kwh_per_day=water)


def seasons() -> list[str]:
    """Seasonal efficiency of pellet boilers of four sizes in the same house."""
    load = house().daily_kwh(valley()[1]) / 24
    head = (
        "boiler",
        "on the test stand",
        "over the year",
        "starts a day",
        "with 800 l of buffer",
        "starts a day",
    )
    out: list[tuple[str, ...]] = [head]
    for kw in (12, 15, 20, 30):
        made = Boiler.typical(kw, installed=2021)
        plain, with_buffer = boiler.season(made, load), boiler.season(made, load, buffer_l=800)
        cells = [f"{kw} kW", f"{made.full_load_efficiency:.0%}"]
        for s in (plain, with_buffer):
            cells += [f"{s.efficiency:.0%}", f"{s.starts_per_day:.1f}"]
        out.append(tuple(cells))
    return rows(out)


def why() -> list[str]:
    """The sentence that explains the 15 kW boiler's year."""
    season = boiler.season(Boiler.typical(15, installed=2021), house().daily_kwh(valley()[1]) / 24)
    return [f"> {as_text(season.why)}"]


def drying() -> list[str]:
    """Weeks to 20 % of the wet mass from 1 March, usual and slow."""
    climate = log_pile.PileClimate.from_days(*valley())
    since = date(2025, 3, 1)
    out: list[tuple[str, ...]] = [("logs split on 1 March", "dry after, usually", "if it dries slowly")]
    for name, kept in (("beech", "covered"), ("spruce", "covered"), ("oak", "covered"), ("beech", "open")):
        lot = log_pile.PileLot(fuel.species(name), 1.0, since, kept=kept)  # type: ignore[arg-type]
        cells = [f"{name}, {kept}"]
        for pace in (1.0, log_pile.CAUTIOUS_PACE):
            dry = log_pile.dry_on(lot, climate, pace=pace)
            cells.append("not within five years" if dry is None else f"{(dry - since).days / 7:.0f} weeks")
        out.append(tuple(cells))
    return rows(out)


def farm() -> list[str]:
    """Logs and pellets of an invented farmhouse under four habits of loading."""
    dates, mean, _ = valley()
    need = house()
    winters = np.array([mean[i * 365 : i * 365 + 365] for i in range(10)])
    plant = LogPelletBoiler(
        Boiler.typical(30, "logs", installed=2021),
        Boiler.typical(25, installed=2021),
        buffer.Buffer(2500),
        LogLoad(30, fuel.logs("beech", MoistureWet(0.18)).kwh_per_kg, 4.5),
    )
    habits = {
        "never": NEVER,
        "week-ends": LoadingRule(weekday_hours=()),
        "evenings and week-ends": LoadingRule(),
        "the same, and all day below −5 °C": LoadingRule(cold_below_c=-5.0),
    }
    played = {
        name: play(plant, rule, dates[:365], winters, need.space_kwh(winters), need.hot_water_kwh_per_day)
        for name, rule in habits.items()
    }
    head = (
        "logs are loaded",
        "logs a year",
        "pellets a year",
        "loads a year",
        "pellets saved by an hour of loading",
    )
    out: list[tuple[str, ...]] = [head]
    for name, r in played.items():
        value = log_heating.value_of_loading(r, played["never"])
        saved = "–" if name == "never" else f"{round(value.kg_per_hour, -1):.0f} kg"
        years = (f"{total.sum() / 10 / 1000:.1f} t" for total in (r.logs_kg, r.pellets_kg))
        out.append((name, *years, f"{r.loads.sum() / 10:.0f}", saved))
    return rows(out)


def buffers() -> list[str]:
    """Every rule's buffer for a log boiler of 30 kW in the house."""
    rules = buffer.size_rules(
        30, by_hand=True, house_kw=12, burn_h=4.5, chamber_l=150, batch_kwh=110, country="DE"
    )
    return rows(
        [
            ("rule", "buffer", "source"),
            *((as_text(r.rule), f"{r.litres:,.0f} l", as_text(r.source)) for r in rules),
        ]
    )


TABLES: dict[str, Callable[[], list[str]]] = {
    f.__name__: f for f in (wood, seasons, why, drying, farm, buffers)
}


@pytest.mark.parametrize("name", list(TABLES))
def test_the_document_shows_what_is_computed(name: str) -> None:
    """Each table of the document is what the rooms compute today."""
    page = files("fuelplan").joinpath("docs/fuel_and_boilers.md").read_text(encoding="utf-8")
    assert "\n".join(TABLES[name]()) in page


if __name__ == "__main__":
    for table in TABLES.values():
        print("\n".join(table()), end="\n\n")
