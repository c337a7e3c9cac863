"""What a past winter holds whatever anybody decides: weather, what is burned, habits, books of before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.replay.past_winter import BOOK_DAYS, PastWinter
from fuelplan.dispatch.replay.played_books import WEIGHED_IN_KG, NotedDrop, PlayedBooks
from fuelplan.dispatch.replay.round_rules import KFactor, first_k, ring_shares
from fuelplan.dispatch.replay.round_stock import Stocks
from fuelplan.units import WorkingDays

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

PROMISE_DAYS = 5
"""Working days within which an order is promised (our assumption)."""

WEEK = 7


@dataclass(frozen=True)
class PlayedCustomers:
    """N customers as they are played, each array of shape (N,).

    Attributes
    ----------
    store_kg, kg_per_year
        What a store holds; what its owner says a usual year takes, NaN where nothing is said. [kg]
    grade
        Number of the class of fuel that each takes.
    top_up
        Whose store the supplier watches; the others order themselves.
    largest_kg
        The largest drop that a tanker can bring, 0 where none reaches the customer. [kg]
    readings_per_day, by_eye
        How often each tells a level unasked, and whether by eye.
    """

    store_kg: Floats
    kg_per_year: Floats
    grade: Ints
    top_up: Bools
    largest_kg: Floats
    readings_per_day: Floats
    by_eye: Bools


@dataclass(frozen=True)
class PlayedRules:
    """What holds for all customers.

    Attributes
    ----------
    ring_at
        Share of the store at which customers ring, about; the share at which the K-factor rule orders.
    step_kg
        Amounts are planned in steps of this size. [kg]
    calendar
        The days on which tankers drive.
    """

    ring_at: float
    step_kg: float
    calendar: WorkingDays


class World:
    """One winter as it stands before the first decision; the same for every policy."""

    def __init__(
        self, customers: PlayedCustomers, rules: PlayedRules, winter: PastWinter, use_kg: Floats,
        degree_days: Floats, seed: int,
    ) -> None:  # fmt: skip
        """Play the books of the years before by the rule "deliver when the customer rings".

        Parameters
        ----------
        use_kg, degree_days
            Shape (N, BOOK_DAYS + winter.days): what is burned, and the degree-days of the place, on each day
            from `winter.books_from` on. [kg, K·d]
        """
        self.winter, self.customers, self.rules = winter, customers, rules
        self.calendar = rules.calendar
        n = len(customers.store_kg)
        self.largest_kg = np.minimum(customers.largest_kg, customers.store_kg)
        self.served = self.largest_kg > 0
        self.use_kg = np.where(self.served[:, None], use_kg, 0.0)
        self.degree_days = degree_days
        rng = np.random.default_rng([seed, 71, winter.first_day.year])
        # Habits belong to the customers, not to a winter.
        self.ring_share = ring_shares(rules.ring_at, n, np.random.default_rng([seed, 70]))
        days = use_kg.shape[1]
        self.tells = rng.random((n, days)) < customers.readings_per_day[:, None]
        self.deviate = rng.standard_normal((n, days))
        self.books = PlayedBooks(customers.store_kg)
        store = customers.store_kg
        self.stocks = Stocks(rng.uniform(0.35, 0.95, n) * store, store, np.zeros(n, bool))
        year = self.degree_days[:, :BOOK_DAYS].sum(axis=1) * 365.25 / BOOK_DAYS
        self.k: KFactor = first_k(customers.kg_per_year, np.maximum(year, 1.0), store)
        self._play_books(rng)

    def at(self, day: date) -> int:
        """Return the column of a day."""
        return (day - self.winter.books_from).days

    def fill_kg(self, i: int, level_kg: float, until: date, today: date, k: KFactor) -> float:
        """Return what an order is for: what fits on its last promised day if the last week's cold goes on."""
        at = self.at(today)
        usual = self.degree_days[i, max(0, at - WEEK + 1) : at + 1].mean()
        later = (until - today).days * float(k.daily_kg(np.full(len(k.k), usual))[i])
        step = float(self.rules.step_kg)
        room = float(self.stocks.store_kg[i]) - max(0.0, level_kg - later)
        return float(max(step, min(np.floor(room / step) * step, np.floor(self.largest_kg[i] / step) * step)))

    def blow_in(self, day: date, drops: dict[int, tuple[float, int]]) -> Floats:
        """Blow in the drops {customer: (kg planned, class)} of a morning and return the kg given, shape (N,).

        What does not fit stays aboard.
        """
        n = len(self.stocks.level_kg)
        given, full = np.zeros(n), np.zeros(n, bool)
        room = self.stocks.room_kg()
        for i, (planned, grade) in drops.items():
            kg = WEIGHED_IN_KG * np.floor(max(0.0, min(planned, room[i])) / WEIGHED_IN_KG + 1e-9)
            full[i] = planned >= room[i] - WEIGHED_IN_KG
            given[i] = kg
            if kg > 0:
                self.books.drops.append(NotedDrop(i, day, float(kg), grade, bool(full[i])))
        self.stocks, self.k = self.stocks.filled(given), self.k.after_drops(given, full)
        return given

    def burn(self, day: date) -> tuple[Floats, Bools]:
        """Burn a day; return what was missing [kg] and who ran empty, each of shape (N,)."""
        at = self.at(day)
        self.stocks, missing, out = self.stocks.burned(self.use_kg[:, at])
        self.k = self.k.after_day(self.degree_days[:, at]).found_empty(out)
        return missing, out

    def evening(self, day: date) -> None:
        """Let customers tell their levels unasked."""
        at = self.at(day)
        for i in np.flatnonzero(self.tells[:, at]):
            level, deviate = float(self.stocks.level_kg[i]), float(self.deviate[i, at])
            self.books.note_seen(int(i), day, level, deviate, bool(self.customers.by_eye[i]))

    def ringing(self, who: Bools) -> Ints:
        """Return who rings this evening: the level has fallen to their share, and no order is open."""
        low = who & self.served & (self.stocks.level_kg <= self.ring_share * self.stocks.store_kg)
        return np.array([int(i) for i in np.flatnonzero(low) if int(i) not in self.books.orders], np.int64)

    def ring(self, i: int, day: date, last: date) -> None:
        """Let a customer tell the level by eye and order, promised until `last`."""
        level = float(self.stocks.level_kg[i])
        self.books.note_seen(i, day, level, float(self.deviate[i, self.at(day)]), True)
        self.books.order(i, self.fill_kg(i, level, last, day, self.k), last)

    def _play_books(self, rng: np.random.Generator) -> None:
        """Play the days before: whoever rings is served on one of the promised days, without any tanker."""
        everyone = np.ones(len(self.served), bool)
        due: dict[int, date] = {}
        for d in range(BOOK_DAYS):
            day = self.winter.books_from + timedelta(days=d)
            drops = {
                i: (self.books.orders[i].kg, int(self.customers.grade[i]))
                for i, on in due.items()
                if on == day
            }
            self.blow_in(day, drops)
            for i in drops:
                del due[i], self.books.orders[i]
            self.burn(day)
            self.evening(day)
            late = BOOK_DAYS - 1 - d < WEEK + 1  # those of the last week are open when the winter begins
            for i in self.ringing(everyone):
                self.ring(int(i), day, self.calendar.add(day, PROMISE_DAYS))
                wait = int(rng.integers(1, PROMISE_DAYS + 1))
                if not late:
                    due[int(i)] = self.calendar.add(day, wait)
