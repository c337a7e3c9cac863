"""The first day of a life: a house drawn by its seed, its folder, and sometimes years of notes before."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from tests.campaigns.lived_house import asking, folder
from tests.campaigns.lived_house.entries import Entry
from tests.campaigns.lived_house.folder import Owner
from tests.campaigns.lived_house.house import draw_house
from tests.campaigns.lived_house.life import Life
from tests.campaigns.lived_house.person import draw_person
from tests.campaigns.lived_house.store import draw_store
from tests.campaigns.lived_house.supplier import draw_supplier
from tests.campaigns.lived_house.weather import draw_climate, draw_weather
from tests.campaigns.lived_house.world import World

PLACES = (
    ("AT", "Europe/Vienna", "EUR"), ("DE", "Europe/Berlin", "EUR"), ("CH", "Europe/Zurich", "CHF"),
    ("FR", "Europe/Paris", "EUR"), ("SE", "Europe/Stockholm", "SEK"), ("IT", "Europe/Rome", "EUR"),
)  # fmt: skip
SOUTH = (("NZ", "Pacific/Auckland", "NZD"), ("CL", "America/Santiago", "CLP"))
PRICES = {"EUR": 320, "CHF": 420, "SEK": 3900, "NZD": 700, "CLP": 260000}
HISTORY_DAYS = 540
LONGEST_DAYS = 400  # shorter lives are the beginnings of those of this length


def begin(seed: int, days: int, path: Path, ask: asking.Ask) -> Life:
    """Return the life of a seed on the morning of its first day."""
    rng = np.random.default_rng([seed, 16])
    south = rng.random() < 0.2
    country, zone, currency = (SOUTH if south else PLACES)[int(rng.integers(0, 2 if south else len(PLACES)))]
    first = date(2023, 1, 1) + timedelta(days=int(rng.integers(0, 365)))
    has_history = bool(rng.random() < 0.5)
    drawn = max(days, LONGEST_DAYS)
    weather = draw_weather(draw_climate(rng, south), first, first + timedelta(days=drawn + 1), rng)
    house = draw_house(first, drawn, rng)
    burned = house.burned_kg(weather, rng)
    use_kg = float(burned.mean() * 365.25)
    store = draw_store(use_kg, rng)
    supplier, person = draw_supplier(rng), draw_person(rng)
    reserve = int(50 * round(float(rng.uniform(0.06, 0.12)) * use_kg / 50)) + 100
    owner = Owner(
        country,
        zone,
        currency,
        use_t=max(use_kg * float(rng.uniform(0.88, 1.12)) / 1000, 1.0),
        people=int(rng.integers(2, 6)),
        reserve_kg=reserve,
        price=f"{PRICES[currency]} {currency}/t" if rng.random() < 0.6 else "",
    )
    says_capacity = store.form == "capacity" or bool(rng.random() < 0.2)
    if says_capacity:
        person = replace(person, tape=0.0)  # without a shape a tape tells nothing
    folder.make_folder(path, owner, store, supplier, house, says_capacity)
    start = first - timedelta(days=HISTORY_DAYS if has_history else 0)
    level = float(rng.uniform(0.35, 0.95)) * store.holds_kg
    world = World(start, weather, burned, store, supplier, reserve, level, rng)
    life = Life(seed, path, world, person, rng, ask)
    world.had_notes = has_history
    if has_history:
        notes_before(life, start, first)
    else:
        look = person.look(first - timedelta(days=1), level, store, rng)
        refused = folder.write(path, look, first)
        assert not refused, refused
        life.written.append(look)
    world.today = first
    life.next_look = first + timedelta(days=int(rng.integers(3, person.every_days)))
    return life


def notes_before(life: Life, start: date, first: date) -> None:
    """Live the time before without the program: a rule of thumb orders, and some of it is noted."""
    world, person, day = life.world, life.person, start
    next_look = start
    while day < first:
        happened = world.step(day)
        if happened.delivery is not None:
            _keep(life, life.note_of(day, happened.delivery))
        if day >= next_look:
            _keep(life, person.look(day, world.level_kg, world.store, life.rng))
            next_look = day + timedelta(days=int(2 * person.every_days * life.rng.uniform(0.6, 1.4)))
        if not world.on_its_way and world.level_kg < 0.35 * world.store.holds_kg:
            kg = 100.0 * int(0.55 * world.store.holds_kg / 100)
            world.place(day, kg, life.rng)
            _keep(life, Entry("order", day, f"{kg / 1000:g} t", said_kg=kg))
        day += timedelta(days=1)
    world.late_orders = 0


def _keep(life: Life, entry: Entry) -> None:
    refused = folder.write(life.path, entry, life.world.today)
    assert not refused, f"{entry}: {refused}"
    life.written.append(entry)
