"""Which past winters are played: whole heating years, and the days of books before each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

BOOK_DAYS = 730
"""Days of books before a winter that is played."""

MIDSUMMER = 7
"""Month in which a heating year begins in the north."""


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
    """Return the last so many whole heating years before the evening of `as_of`, the oldest first.

    Parameters
    ----------
    month
        In which a heating year begins: midsummer of the place, 7 in the north, 1 in the south.
    """
    ended = date(as_of.year, month, 1) - timedelta(days=1)
    year = as_of.year if as_of >= ended else as_of.year - 1
    return tuple(winter_from(y, month) for y in range(year - count, year))


def winter_from(year: int, month: int = MIDSUMMER) -> PastWinter:
    """Return the heating year that begins on the first of a month: 1 July, in the south 1 January."""
    first, last = date(year, month, 1), date(year + 1, month, 1) - timedelta(days=1)
    name = str(year) if first.year == last.year else f"{year}/{(year + 1) % 100:02d}"
    return PastWinter(name, first, last)
