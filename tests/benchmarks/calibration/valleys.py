"""Do a supplier's customers learn from each other?

`python -m tests.benchmarks.calibration.valleys [--valleys=N] [WORLD …]`.

Each valley is a round of 100 invented houses under one weather, asked through the door of a supplier's folder
(`answers.open_round` → `believe`): the use of the next 90 and 365 days, with what the valley shares and
without it, and whether a tanker that comes on the last safe day comes too late. Houses of one valley hang
together, so intervals are by valley.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from fuelplan import answers
from fuelplan.answers.who_is_due.beliefs import Beliefs
from fuelplan.dispatch import outlook
from fuelplan.dispatch.outlook import OutlookSettings, share_beyond
from tests.benchmarks.calibration.books import levels
from tests.benchmarks.calibration.case import day_of
from tests.benchmarks.calibration.climate import Floats, climate
from tests.benchmarks.calibration.houses import House
from tests.benchmarks.calibration.score import HEAD, Asked, asked_of, score
from tests.benchmarks.calibration.worlds.burning import NOW, STATED_SD, winter_of

SEED, HOUSES, RISK = 1807, 100, 0.02
LOOKS = 3

ROUND = """\
format = 2
name = "Invented valley"
currency = "EUR"
classes = ["A1"]
[place]
country = "DE"
time_zone = "Europe/Berlin"
[weather]
source = "file"
file = "weather.csv"
[[depot]]
name = "yard"
latitude = 50.0
longitude = 9.0
stock = {A1 = "100 t"}
[[tanker]]
name = "Heron"
depot = "yard"
chambers = ["5000 kg", "5000 kg"]
hose = "40 m"
width = "2.5 m"
laden_weight = "18 t"
cost_per_km = "1.3 EUR/km"
cost_per_hour = "50 EUR/h"
blow_rate = "6 t/h"
[prices]
A1 = "300 EUR/t"
"""


@dataclass(frozen=True)
class ValleyWorld:
    """How the houses of a valley burn in the winter that is asked about.

    Attributes
    ----------
    more
        By what share all burn more than usual.
    own_sd
        How far houses differ from each other in it.
    winters
        Winters of books before this one.
    wrong
        Share of the customers whose looks of this winter are nonsense.
    """

    more: float
    own_sd: float = 0.0
    winters: int = 3
    wrong: float = 0.0


WORLDS = {
    "15 % more, three winters of books": ValleyWorld(0.15),
    "15 % more, new customers": ValleyWorld(0.15, winters=0),
    "15 % more, 5 % of the looks nonsense": ValleyWorld(0.15, wrong=0.05),
    "as usual, three winters of books": ValleyWorld(0.0),
    "as usual, new customers": ValleyWorld(0.0, winters=0),
    "as usual, each house its own 8 %": ValleyWorld(0.0, own_sd=0.08),
}


@dataclass(frozen=True)
class Valley:
    """A folder's rows and what is true: use of each day and level of each evening, (houses, days). [kg]"""

    folder: Path
    mean_c: Floats
    as_of: date
    now: int
    burned_kg: Floats
    level_kg: Floats


def valley(world: ValleyWorld, number: int, seed: int, folder: Path, houses: int = HOUSES) -> Valley:
    """Invent a valley and write its folder."""
    rng = np.random.default_rng([seed, number, 7])
    mean_c = climate(number, seed)
    now = NOW + int(rng.integers(190, 220))
    begin = now - int(365.25 * world.winters) if world.winters else NOW + 62
    customers, deliveries, readings, burned, level = [], [], [], [], []
    this = winter_of(len(mean_c)) == winter_of(len(mean_c))[now]
    for h in range(houses):
        own = np.random.default_rng([seed, number, 8, h])
        house = House.invented(own, mean_c)
        factor = 1 + world.more + world.own_sd * own.standard_normal()
        use = house.burned(mean_c, own, np.where(this, factor, 1.0))
        capacity = round(house.year_kg * own.uniform(0.6, 1.2), -1)
        at, came = levels(own, use, capacity, begin)
        name = f"C{h:03d}"
        stated = house.year_kg * max(0.3, 1 + STATED_SD * own.standard_normal())
        reserve = round(0.05 * capacity)
        customers.append((name, f"House {h}", "A1", capacity, reserve, "top-up", round(stated)))
        deliveries += [(name, day_of(t), round(kg), "A1") for t, kg in came.items() if t <= now]
        for t, share in _looks(own, world, begin, now, at / capacity, came):
            readings.append((name, day_of(t), "", share))
        burned.append(use)
        level.append(at)
    columns = ["customer", "name", "classes", "store_kg", "reserve_kg", "contract", "kg_per_year"]
    frame = pd.DataFrame(customers, columns=columns)
    frame["latitude"], frame["longitude"] = 50.0 + rng.uniform(0, 0.1, houses), 9.0
    frame.to_csv(folder / "customers.csv", index=False)
    for file, rows, head in (("deliveries", deliveries, "class"), ("readings", readings, "percent")):
        written = pd.DataFrame(rows, columns=["customer", "date", "kg", head])
        written.to_csv(folder / f"{file}.csv", index=False)
    (folder / "round.toml").write_text(ROUND, encoding="utf-8")
    days = [f"{day_of(t)},{c:.1f}" for t, c in enumerate(mean_c[: now + 1])]
    (folder / "weather.csv").write_text("\n".join(["date,mean_c", *days]) + "\n", encoding="utf-8")
    return Valley(folder, mean_c, day_of(now), now, np.array(burned), np.array(level))


def _looks(
    rng: np.random.Generator, world: ValleyWorld, begin: int, now: int, share: Floats, came: dict[int, float]
) -> Iterator[tuple[int, int]]:
    """Levels by eye, to the next 5 % with an error of 7 % of the store: monthly before, few since autumn."""
    autumn = NOW + 62
    step = rng.uniform(20, 45)
    before = np.arange(begin + 2, autumn, step).astype(int) if world.winters else np.zeros(0, int)
    since = np.linspace(autumn + 15, now - 2, LOOKS).astype(int)
    nonsense = rng.random() < world.wrong
    for t in sorted({*before.tolist(), *since.tolist()} - set(came)):
        seen = share[t] + 0.07 * rng.standard_normal()
        if nonsense and t >= autumn:
            seen = rng.uniform(0, 1)
        yield t, min(max(int(5 * round(100 * seen / 5)), 0), 100)


@dataclass(frozen=True)
class Found:
    """What one valley showed, alone and together: answers by what is asked, and late last safe days."""

    asked: dict[str, list[Asked]]
    late: dict[str, list[bool]]
    factor: tuple[float, float, int]


def ask(world: ValleyWorld, number: int, seed: int = SEED, houses: int = HOUSES) -> Found:
    """Ask one valley."""
    with tempfile.TemporaryDirectory() as name:
        v = valley(world, number, seed, Path(name), houses)
        round_ = answers.open_round(name)
        weather = answers.weather_for_round(round_, v.as_of)
        near = answers.believe(round_, weather, v.as_of, 1, 90)
        far = answers.believe(round_, weather, v.as_of, 1, 365, learned=near)
    alone = outlook.learned_here(near.many)
    asked: dict[str, list[Asked]] = {}
    late = {}
    for how, learned in (("alone", alone), ("together", near.learned)):
        for beliefs, days in ((near, 90), (far, 365)):
            use = _use_kg(replace(beliefs, learned=learned), days)
            true = v.burned_kg[:, v.now + 1 : v.now + 1 + days].sum(axis=1)
            asked[f"use {days} {how}"] = [
                asked_of(d, t, abs(t), number) for d, t in zip(use, true, strict=True)
            ]
        late[how] = _late(replace(near, learned=learned), v)
    common = near.season.areas[0]
    return Found(asked, late, (common.mean, common.sd, common.houses))


def _use_kg(beliefs: Beliefs, days: int) -> Floats:
    """Use of the days ahead, (houses, draws): drawn with possible winters. [kg]"""
    drawn = beliefs.draw(slice(0, len(beliefs.store)))
    return outlook.use_paths(beliefs.tables, beliefs.store.area, drawn)[..., days]


def _late(beliefs: Beliefs, v: Valley) -> list[bool]:
    """Whether the level was below the reserve before a tanker that came on the last safe day, for those whose
    day lies within the days looked ahead and is not past.
    """
    asked = OutlookSettings(beliefs.draws, 1, below_shares=(share_beyond(RISK, beliefs.draws),), weekly=False)
    last = outlook.outlook_of(beliefs.tables, beliefs.store, beliefs.summary, asked).below_day[:, 0]
    reserve = beliefs.store.reserve_kg
    used = np.cumsum(v.burned_kg[:, v.now + 1 :], axis=1)
    level = v.level_kg[:, v.now]
    return [
        bool(level[i] - (used[i, day - 2] if day > 1 else 0.0) < reserve[i])
        for i, day in enumerate(last.astype(int))
        if day >= 1 and level[i] > reserve[i]
    ]


def report(name: str, valleys: int) -> list[str]:
    """The lines of one world."""
    found = [ask(WORLDS[name], number) for number in range(valleys)]
    lines = []
    for what in found[0].asked:
        lines.append(f"{name:<38}{what:<18}{score([a for f in found for a in f.asked[what]]).line()}")
    true = WORLDS[name].more
    for how in ("alone", "together"):
        by_valley = [f.late[how] for f in found]
        every = np.concatenate([np.array(x, float) for x in by_valley])
        rates = np.array([np.mean(x) if x else 0.0 for x in by_valley])
        error = rates.std(ddof=1) / np.sqrt(len(rates)) if len(rates) > 1 else np.inf
        lines.append(
            f"{name:<38}{'late ' + how:<18}{len(every):5d}  {100 * every.mean():.1f} ± {196 * error:.1f} %"
            f" of the last safe days (promised {100 * RISK:.0f} %)"
        )
    inside = np.mean([abs(m - true) < 1.2816 * s for m, s, _ in (f.factor for f in found)])
    mean, sd = np.mean([f.factor[0] for f in found]), np.mean([f.factor[1] for f in found])
    lines.append(
        f"{name:<38}{'factor':<18}{len(found):5d}  mean {100 * mean:+.1f} %, own sd {100 * sd:.1f} %, "
        f"true in the 80 % band {100 * inside:.0f} %"
    )
    return lines


def main(words: list[str]) -> None:
    """Print the table."""
    valleys = next((int(w.split("=")[1]) for w in words if w.startswith("--valleys=")), 12)
    given = [w for w in words if not w.startswith("--")] or list(WORLDS)
    print(f"{'world':<38}{'asked':<18}{HEAD}", flush=True)
    for name in given:
        print("\n".join(report(name, valleys)), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
