"""What a past winter holds whatever anybody decides: weather, what is burned, habits, books of before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.past_winters.books import (
    WEIGHED_IN_KG,
    Books,
    ReadingHabits,
    emptied,
    largest_drop_kg,
    reading_habits,
)
from fuelplan.answers.who_is_due.weather import RoundWeather
from fuelplan.dispatch.replay import KFactor, Stocks, degree_days_of, first_k, ring_shares
from fuelplan.records.round import Round, working_days_of
from fuelplan.units import WorkingDays

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

BOOK_DAYS = 730
"""Days of books before a winter that is played."""

MIDSUMMER = 7
"""Month in which a heating year begins in the north."""

PROMISE_DAYS = 5
"""Working days within which an order is promised (our assumption)."""

WEEK = 7


@dataclass(frozen=True)
class PastWinter:
    """A heating year, and the days of books before it."""

    name: str
    first_day: date
    last_day: date

    @property
    def books_from(self) -> date:
        """First day of the books."""
        return self.first_day - timedelta(days=BOOK_DAYS)

    @property
    def days(self) -> int:
        """Days of the heating year."""
        return (self.last_day - self.first_day).days + 1


def past_winters(as_of: date, count: int, month: int = MIDSUMMER) -> tuple[PastWinter, ...]:
    """Return the last so many whole heating years before the evening of `as_of`; they begin in `month`."""
    ended = date(as_of.year, month, 1) - timedelta(days=1)
    year = as_of.year if as_of >= ended else as_of.year - 1
    return tuple(winter_from(y, month) for y in range(year - count, year))


def winter_from(year: int, month: int = MIDSUMMER) -> PastWinter:
    """Return the heating year that begins on the first of a month: 1 July, in the south 1 January."""
    first, last = date(year, month, 1), date(year + 1, month, 1) - timedelta(days=1)
    name = str(year) if first.year == last.year else f"{year}/{(year + 1) % 100:02d}"
    return PastWinter(name, first, last)


def daily_means(weather: RoundWeather, first_day: date, last_day: date) -> Floats:
    """Return the daily means of each area as observed, (areas, days); a gap takes the day before it. [degC]

    Nothing is filled from later days: a rule that looks at these sees no future.
    """
    days = (last_day - first_day).days + 1
    out = np.empty((len(weather.areas), days))
    for a, area in enumerate(weather.areas):
        record = area.record
        at = record.index_of(first_day)
        if at < 0 or at + days > len(record):
            raise ValueError(
                f"the weather runs {record.first_day} to {record.last_day}; {first_day} to {last_day} is "
                "needed to play that winter – ask for fewer winters, or give longer weather"
            )
        values = record.mean_c[at : at + days]
        known = np.where(np.isfinite(values), np.arange(days), -1)
        back = np.maximum.accumulate(known)
        first = int(np.argmax(known >= 0))
        out[a] = values[np.where(back >= 0, back, first)]
    return out


class World:
    """One winter as it stands before the first decision; the same for every policy."""

    def __init__(
        self, round_: Round, weather: RoundWeather, winter: PastWinter, use_kg: Floats, as_of: date, seed: int
    ) -> None:
        """Play the books of the years before by the rule "deliver when the customer rings".

        `use_kg` has the shape (N, BOOK_DAYS + winter.days): what is burned from `winter.books_from` on. [kg]
        """
        self.winter, self.weather = winter, weather
        self.base = emptied(round_)
        self.calendar: WorkingDays = working_days_of(round_.table)
        c = round_.customers
        n = len(c)
        self.largest_kg = np.minimum(largest_drop_kg(self.base), c.store_kg)
        self.served = self.largest_kg > 0
        self.use_kg = np.where(self.served[:, None], use_kg, 0.0)
        self.degree_days = degree_days_of(daily_means(weather, winter.books_from, winter.last_day))[c.area]
        rng = np.random.default_rng([seed, 71, winter.first_day.year])
        # Habits belong to the customers, not to a winter.
        rate, by_eye = reading_habits(round_, as_of)
        shares = ring_shares(round_.table.rules.ring_at, n, np.random.default_rng([seed, 70]))
        self.habits = ReadingHabits(shares, rate, by_eye)
        days = use_kg.shape[1]
        self.tells = rng.random((n, days)) < rate[:, None]
        self.deviate = rng.standard_normal((n, days))
        self.books = Books(self.base)
        self.stocks = Stocks(rng.uniform(0.35, 0.95, n) * c.store_kg, c.store_kg, np.zeros(n, bool))
        year = self.degree_days[:, :BOOK_DAYS].sum(axis=1) * 365.25 / BOOK_DAYS
        self.k: KFactor = first_k(c.kg_per_year, np.maximum(year, 1.0), c.store_kg)
        self._play_books(rng)

    def at(self, day: date) -> int:
        """Return the column of a day."""
        return (day - self.winter.books_from).days

    def fill_kg(self, i: int, level_kg: float, until: date, today: date, k: KFactor) -> float:
        """Return what an order is for: what fits on its last promised day if the last week's cold goes on."""
        at = self.at(today)
        usual = self.degree_days[i, max(0, at - WEEK + 1) : at + 1].mean()
        later = (until - today).days * float(k.daily_kg(np.full(len(k.k), usual))[i])
        step = float(self.base.table.rules.step_kg)
        room = float(self.stocks.store_kg[i]) - max(0.0, level_kg - later)
        return float(max(step, min(np.floor(room / step) * step, np.floor(self.largest_kg[i] / step) * step)))

    def morning(
        self, books: Books, stocks: Stocks, k: KFactor, day: date, drops: dict[int, tuple[float, int]]
    ) -> tuple[Stocks, KFactor, Floats]:
        """Return stocks and reckoning after the drops {customer: (kg planned, class)}, and the kg given.

        What does not fit stays aboard.
        """
        n = len(stocks.level_kg)
        given, full = np.zeros(n), np.zeros(n, bool)
        room = stocks.room_kg()
        for i, (planned, grade) in drops.items():
            kg = WEIGHED_IN_KG * np.floor(max(0.0, min(planned, room[i])) / WEIGHED_IN_KG + 1e-9)
            full[i] = planned >= room[i] - WEIGHED_IN_KG
            given[i] = kg
            if kg > 0:
                books.note_drop(i, day, float(kg), grade, bool(full[i]))
        return stocks.filled(given), k.after_drops(given, full), given

    def evening(self, books: Books, stocks: Stocks, day: date) -> None:
        """Let customers tell their levels unasked."""
        at = self.at(day)
        for i in np.flatnonzero(self.tells[:, at]):
            books.note_seen(
                int(i), day, float(stocks.level_kg[i]), float(self.deviate[i, at]),
                bool(self.habits.by_eye[i]),
            )  # fmt: skip

    def rings(self, books: Books, stocks: Stocks, who: Bools) -> NDArray[np.int64]:
        """Return who rings this evening: the level has fallen to their share, and no order is open."""
        low = who & self.served & (stocks.level_kg <= self.habits.ring_share * stocks.store_kg)
        return np.array([int(i) for i in np.flatnonzero(low) if int(i) not in books.orders], np.int64)

    def _play_books(self, rng: np.random.Generator) -> None:
        """Play the days before: whoever rings is served on one of the promised days, without any tanker."""
        everyone = np.ones(len(self.served), bool)
        classes = self.base.customers.takes.argmax(axis=1)
        due: dict[int, date] = {}
        for d in range(BOOK_DAYS):
            day = self.winter.books_from + timedelta(days=d)
            drops = {
                i: (float(self.books.orders[i].kg or 0.0), int(classes[i]))
                for i, on in due.items()
                if on == day
            }
            self.stocks, self.k, _ = self.morning(self.books, self.stocks, self.k, day, drops)
            for i in drops:
                del due[i], self.books.orders[i]
            self.stocks, _, out = self.stocks.burned(self.use_kg[:, d])
            self.k = self.k.after_day(self.degree_days[:, d]).found_empty(out)
            self.evening(self.books, self.stocks, day)
            late = BOOK_DAYS - 1 - d < WEEK + 1  # those of the last week are open when the winter begins
            for i in self.rings(self.books, self.stocks, everyone):
                self._ring(int(i), day)
                wait = int(rng.integers(1, PROMISE_DAYS + 1))
                if not late:
                    due[int(i)] = self.calendar.add(day, wait)

    def _ring(self, i: int, day: date) -> None:
        self.books.note_seen(
            i, day, float(self.stocks.level_kg[i]), float(self.deviate[i, self.at(day)]), True
        )
        last = self.calendar.add(day, PROMISE_DAYS)
        self.books.order(i, self.fill_kg(i, float(self.stocks.level_kg[i]), last, day, self.k), last)
