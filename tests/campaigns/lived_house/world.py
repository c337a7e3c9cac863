"""What happens whether anybody writes it down or not: fuel burns, tankers come, stores run empty."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np

from tests.campaigns.lived_house.store import TrueStore
from tests.campaigns.lived_house.supplier import Supplier
from tests.campaigns.lived_house.weather import Weather

FAILS = 0.03  # share of deliveries that could not be unloaded


@dataclass(frozen=True)
class OnItsWay:
    """An order that the supplier has. [kg]"""

    ordered_on: date
    comes_on: date
    kg: float


@dataclass(frozen=True)
class Came:
    """A tanker at the door: what went in, 0 for nothing, and whether the store was full then. [kg]"""

    ordered_on: date
    ordered_kg: float
    kg: float
    full: bool


@dataclass(frozen=True)
class Happened:
    """What a day brought."""

    delivery: Came | None
    emptied: bool


@dataclass
class World:
    """The truth of one life. `level_kg` is that of the evening, `before_kg` that before the tanker. [kg]"""

    today: date
    weather: Weather
    burned_kg: np.ndarray
    store: TrueStore
    supplier: Supplier
    reserve_kg: float
    level_kg: float
    rng: np.random.Generator
    before_kg: float = 0.0
    on_its_way: list[OnItsWay] = field(default_factory=list)
    is_empty: bool = False
    was_low: bool = False
    late_orders: int = 0
    had_notes: bool = False

    def step(self, day: date) -> Happened:
        """Burn a day, and let the tanker come in the middle of it."""
        self.today = day
        burned = float(self.burned_kg[(day - self.weather.first_day).days])
        self._burn(burned / 2)
        self.before_kg = self.level_kg
        came = self._tanker(day)
        was_empty = self.is_empty
        self._burn(burned / 2)
        if came is None or came.kg == 0:
            self.is_empty = self.level_kg <= self.store.stays_kg + 1e-6
        else:
            self.is_empty = False
        self.was_low = self.was_low or (bool(self.on_its_way) and self.level_kg < self.reserve_kg)
        return Happened(came, self.is_empty and not was_empty)

    def place(self, day: date, kg: float, rng: np.random.Generator) -> None:
        """Ring the supplier."""
        self.on_its_way.append(OnItsWay(day, self.supplier.arrival(day, rng), kg))
        self.was_low = self.level_kg < self.reserve_kg

    def _burn(self, kg: float) -> None:
        self.level_kg = max(self.level_kg - kg, self.store.stays_kg)

    def _tanker(self, day: date) -> Came | None:
        due = [o for o in self.on_its_way if o.comes_on <= day]
        if not due:
            return None
        order = due[0]
        self.on_its_way.remove(order)
        self.late_orders += self.was_low
        self.was_low = False
        if self.rng.random() < FAILS:
            return Came(order.ordered_on, order.kg, 0.0, False)
        room = self.store.holds_kg * self.rng.uniform(0.98, 1.02) - self.level_kg
        kg = max(min(order.kg * self.rng.uniform(0.97, 1.02), room), 0.0)
        kg = 0.0 if kg < 100 else kg
        self.level_kg += kg
        return Came(order.ordered_on, order.kg, kg, self.level_kg >= 0.97 * self.store.holds_kg)
