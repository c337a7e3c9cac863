"""One question about one house, asked through the door that a person uses."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from fuelplan import answers
from fuelplan.answers.draws import joint_draws
from fuelplan.answers.when_to_order.order import Prepared, WhatIf, prepare
from tests.benchmarks.calibration.books import DELIVERIES, READINGS
from tests.benchmarks.calibration.climate import FIRST_DAY, Floats
from tests.signature_worlds import weather_of

SITE = """\
format = 1
name = "Invented house"
[place]
country = "{country}"
time_zone = "{zone}"
[weather]
source = "file"
file = "weather.csv"
[building]
{building}
[boiler]
seasonal_efficiency = "80 %"
[pellets]
energy = "4.8 kWh/kg"
[store]
capacity = "{capacity_kg:.0f} kg"
reserve = "{reserve_kg:.0f} kg"
residue = "0 kg"
[supply]
lead_time = "4 to 10 working days"
smallest_drop = "500 kg"
price = "300 EUR/t"
{more}"""

Draws = Mapping[str, Floats]


@dataclass(frozen=True)
class Case:
    """A house as its folder tells it, and what is true.

    Attributes
    ----------
    building
        Lines of `[building]`, e.g. `pellets_a_year = "4 t"`.
    readings, deliveries
        Rows of the two tables, without heads.
    capacity_kg
        What the store holds. [kg]
    mean_c
        Daily means from `climate.FIRST_DAY` on, the future among them; it is cut off before asking. [degC]
    as_of
        Evening that is asked about.
    truth
        What is true, by name: of "level", "use 90" and "use 365" draws are known; see `ask` for others. [kg]
    ask
        Makes draws of everything in `truth` from what was prepared, in place of :func:`usual_draws`.
    cluster
        Cases of one number are not independent of each other.
    ahead_kg
        What is burned on each day after `as_of`, where a world tells it. [kg]
    """

    building: str
    readings: tuple[str, ...]
    deliveries: tuple[str, ...]
    capacity_kg: float
    mean_c: Floats
    as_of: date
    truth: Mapping[str, float]
    ask: Callable[[Prepared], Draws] | None = None
    cluster: int = 0
    ahead_kg: Floats = field(default_factory=lambda: np.empty(0))
    country: str = "DE"
    zone: str = "Europe/Berlin"
    more: str = ""
    said: Mapping[str, float] = field(default_factory=dict)


World = Callable[[int, int], Case]


def usual_draws(prepared: Prepared) -> Draws:
    """Draws of the level, and of the use of the next 90 and 365 days, as an order goes by them. [kg]"""
    rng = np.random.default_rng(prepared.seed)
    belief = prepared.belief
    drawn = joint_draws(prepared.setting, belief.posterior, prepared.winters, WhatIf(), rng, belief.fuller)
    return {
        "level": drawn.level_kg,
        "use 90": drawn.demand_kg[:, :90].sum(axis=1),
        "use 365": drawn.demand_kg[:, :365].sum(axis=1),
    }


def asked(case: Case, seed: int = 1) -> Draws:
    """Draws of everything that is true."""
    return (case.ask or usual_draws)(prepared(case, seed))


def prepared(case: Case, seed: int = 1) -> Prepared:
    """Write the folder, open it and prepare what an order is made from."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        text = SITE.format(
            building=case.building, capacity_kg=case.capacity_kg, reserve_kg=0.05 * case.capacity_kg,
            country=case.country, zone=case.zone, more=case.more,
        )  # fmt: skip
        (folder / "site.toml").write_text(text, encoding="utf-8")
        (folder / "weather.csv").write_text("date,mean_c\n2003-07-01,1\n", encoding="utf-8")
        for file, head, rows in (
            ("readings.csv", READINGS, case.readings),
            ("deliveries.csv", DELIVERIES, case.deliveries),
        ):
            (folder / file).write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
        site = answers.open_site(folder)
    days = (case.as_of - FIRST_DAY).days + 1
    return prepare(site, weather_of(case.mean_c[:days], FIRST_DAY), case.as_of, seed)


def day_of(number: int) -> date:
    """The date of a day of the weather."""
    return FIRST_DAY + timedelta(days=number)
