"""What a person writes down: an entry, the truth behind it, and the slip of the pen in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

READINGS, DELIVERIES = "readings.csv", "deliveries.csv"


@dataclass(frozen=True)
class Entry:
    """One thing written into the folder.

    Attributes
    ----------
    kind
        "look", "tape", "order", "delivery" or "failed".
    day
        The date that is written, right or wrong.
    text
        The reading or the amount as typed.
    how
        How it was read, in the program's own words.
    when, moment
        Where a tanker came on that day, "before delivery" or "after delivery": as written, and as it was.
    ordered_on
        Of a delivery or a failed order: the order that it answers.
    window
        The days that the supplier named for an order.
    said_kg, true_kg, doubt_kg
        What the text means, what was there, and the error one may expect of this way of reading. [kg]
    slip
        The mistake in it, in words; empty where there is none.
    weighed, filled_full
        As on the weigh note, and as the person says.
    """

    kind: str
    day: date
    text: str
    how: str = ""
    when: str = ""
    moment: str = ""
    ordered_on: date | None = None
    window: tuple[date, date] | None = None
    said_kg: float = 0.0
    true_kg: float = 0.0
    doubt_kg: float = 1.0
    slip: str = ""
    weighed: bool = True
    filled_full: bool = False

    @property
    def file(self) -> str:
        """The file it goes into."""
        return READINGS if self.kind in {"look", "tape"} else DELIVERIES

    @property
    def is_level(self) -> bool:
        """Whether it says what lies in store."""
        return self.kind in {"look", "tape"}

    @property
    def sound(self) -> bool:
        """Whether it is true within twice its own error and on the right day."""
        return not self.slip and abs(self.said_kg - self.true_kg) <= 2 * self.doubt_kg

    def __str__(self) -> str:
        more = f" ({self.slip})" if self.slip else ""
        return f"{self.kind} of {self.day}: {self.text}{more}"
