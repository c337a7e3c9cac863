"""For whom numbers and dates are written: metric or US units, the day or the month first.

Rooms write sentences without knowing who reads them. The reader is kept in a context variable, as Python's
own `decimal` keeps its precision: set for one thread of work, the usual everywhere else.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar, Token
from dataclasses import dataclass, replace
from typing import Literal

System = Literal["metric", "us"]
DayOrder = Literal["day first", "month first"]

MONTH_FIRST = frozenset({"US", "PH", "PR", "GU", "VI"})
"""Lands that write the month before the day (common practice)."""


@dataclass(frozen=True)
class Reader:
    """Units, order of a date, and language, as a person reads them.

    `language` is "en", "de", or with its land "de_AT"; English keeps to `dates`, others to their own order.
    `unbroken`: a number and its unit never part at the end of a line, for what is laid out in lines.
    """

    system: System = "metric"
    dates: DayOrder = "day first"
    language: str = "en"
    unbroken: bool = False

    @property
    def space(self) -> str:
        """What stands between a number and its unit."""
        return NO_BREAK if self.unbroken else " "


NO_BREAK = "\u00a0"
USUAL = Reader()
_reader: ContextVar[Reader] = ContextVar("reader", default=USUAL)


def reader_in(country: str | None, system: System | None = None) -> Reader:
    """Return how people of a country read, in the units asked for or in those of the country."""
    usual: System = "us" if country == "US" else "metric"
    return Reader(system or usual, "month first" if country in MONTH_FIRST else "day first")


def reader() -> Reader:
    """Return for whom is written now."""
    return _reader.get()


def write_for(found: Reader) -> Token[Reader]:
    """Write for this reader from now on, in this thread of work."""
    return _reader.set(found)


@contextmanager
def written_for(found: Reader) -> Iterator[None]:
    """Write for this reader inside a with-block."""
    token = _reader.set(found)
    try:
        yield
    finally:
        _reader.reset(token)


@contextmanager
def unbroken(on: bool = True) -> Iterator[None]:
    """Inside a with-block, hold a number and its unit together in a line, or (`on` False) leave a plain space
    between them, as programs expect it.
    """
    with written_for(replace(reader(), unbroken=on)):
        yield
