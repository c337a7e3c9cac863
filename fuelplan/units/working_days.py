"""Working days of a land and its parts: bank holidays, and lead times counted in working days."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.units.number import UnitError

Dates = NDArray[np.datetime64]

FIRST_YEAR, LAST_YEAR = 1990, 2099
"""Dates outside these years are refused rather than counted without their bank holidays."""

_BLOCK = 10
_MARGIN_YEARS = 3
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class UnknownCountry(UnitError):
    """A country, or a part of one, whose bank holidays are not known; the sentence lists close matches."""


@dataclass(frozen=True)
class WorkingDays:
    """The working days of a supplier: not the closed weekdays, not the bank holidays, not days of its own.

    Parameters
    ----------
    country
        ISO 3166 code or English name ("AT", "AUT", "Austria"); None for a land without bank holidays.
    subdivision
        Part of the country by ISO 3166-2 code or name ("BY", "DE-BY", "Bayern"); None for the holidays of
        the whole country alone.
    closed
        Closed weekdays, Monday is 0.
    also_closed
        Further closed days, such as a works holiday.

    Raises
    ------
    UnknownCountry
        When the country or the part is not known.
    ValueError
        When every weekday is closed, or a date asked for lies outside `FIRST_YEAR` to `LAST_YEAR`.
    """

    country: str | None
    subdivision: str | None = None
    closed: tuple[int, ...] = (5, 6)
    also_closed: tuple[date, ...] = ()

    def __post_init__(self) -> None:
        """Check the names, and keep the ISO codes."""
        wrong = [day for day in self.closed if day not in range(7)]
        if wrong:
            raise ValueError(f"{wrong[0]} is not a weekday; write 0 for Monday to 6 for Sunday")
        if len(set(self.closed)) == 7:
            raise UnitError(
                "units.no_working_day",
                "every weekday is closed, so there is no working day; leave at least one open",
            )
        if self.country is None:
            if self.subdivision is not None:
                raise UnknownCountry(
                    "units.part_of_no_country",
                    '"{part}" is part of a country, but no country is given; write it too',
                    part=self.subdivision,
                )
            return
        code = country_code(self.country)
        object.__setattr__(self, "country", code)
        if self.subdivision is not None:
            object.__setattr__(self, "subdivision", _subdivision_code(code, self.subdivision))

    def is_working(self, day: date) -> bool:
        """Tell whether a day is a working day."""
        return bool(np.is_busday(np.datetime64(day, "D"), busdaycal=self._calendar(day.year, day.year)))

    def add(self, day: date, n: int) -> date:
        """Return the day `n` working days after `day` (before it, for a negative `n`).

        An order given on a closed day counts from the next working day on, since nobody reads it earlier;
        counting back from a closed day starts at the working day before it.
        """
        return _as_date(self.add_array(np.array([day], dtype="datetime64[D]"), np.array([n]))[0])

    def add_array(self, days: ArrayLike, n: ArrayLike) -> Dates:
        """Return the days `n` working days after `days`, element by element; the rule of `add`.

        Parameters
        ----------
        days
            datetime64[D], any shape that broadcasts with `n`; no NaT.
        n
            Whole numbers. [working days]
        """
        start, offset = np.broadcast_arrays(np.asarray(days, dtype="datetime64[D]"), np.asarray(n))
        if start.size == 0:
            return start.copy()
        if not np.issubdtype(offset.dtype, np.integer):
            raise ValueError("working days are counted in whole numbers")
        if np.isnat(start).any():
            raise ValueError("a date is missing (NaT), so no working days can be counted from it")
        years = start.astype("datetime64[Y]").astype(int) + 1970
        calendar = self._calendar(
            int(years.min()) + int(min(0, offset.min())) // 200,
            int(years.max()) + int(max(0, offset.max())) // 200,
        )
        forward = np.busday_offset(start, np.maximum(offset, 0), roll="forward", busdaycal=calendar)
        if (offset >= 0).all():
            return np.asarray(forward)
        back = np.busday_offset(start, np.minimum(offset, 0), roll="backward", busdaycal=calendar)
        return np.where(offset < 0, back, forward)

    def count(self, first: date, last: date) -> int:
        """Return the number of working days from `first` to `last`, both included; 0 if `last` is earlier."""
        if last < first:
            return 0
        end = np.datetime64(last, "D") + np.timedelta64(1, "D")
        calendar = self._calendar(first.year, last.year)
        return int(np.busday_count(np.datetime64(first, "D"), end, busdaycal=calendar))

    def between(self, first: date, last: date) -> Dates:
        """Return the working days from `first` to `last`, both included, as datetime64[D]."""
        if last < first:
            return np.array([], dtype="datetime64[D]")
        days = np.arange(np.datetime64(first, "D"), np.datetime64(last, "D") + np.timedelta64(1, "D"))
        return days[np.is_busday(days, busdaycal=self._calendar(first.year, last.year))]

    def why_closed(self, day: date) -> str | None:
        """Return why a day is not a working day ("Sunday", "Christmas Day"), or None if it is one."""
        if day in self.also_closed:
            return "closed"
        if self.country is not None:
            name = _bank_holidays(self.country, self.subdivision, day.year, day.year).get(day)
            if name:
                return name
        return _WEEKDAYS[day.weekday()] if day.weekday() in self.closed else None

    @cached_property
    def _weekmask(self) -> str:
        """The open weekdays as numpy writes them."""
        return "".join("0" if day in self.closed else "1" for day in range(7))

    def _calendar(self, first_year: int, last_year: int) -> np.busdaycalendar:
        """Return numpy's calendar for whole decades that hold the years asked for and some after them."""
        for year in (first_year, last_year):
            if not FIRST_YEAR <= year <= LAST_YEAR:
                raise UnitError(
                    "units.year_not_counted",
                    "the year {year} lies outside {first} to {last}, for which days are counted",
                    year=str(year), first=str(FIRST_YEAR), last=str(LAST_YEAR),
                )  # fmt: skip
        start = (first_year - _MARGIN_YEARS) // _BLOCK * _BLOCK
        end = (last_year + _MARGIN_YEARS) // _BLOCK * _BLOCK + _BLOCK - 1
        return _busdaycalendar(self.country, self.subdivision, self._weekmask, self.also_closed, start, end)


@lru_cache(maxsize=256)
def _busdaycalendar(
    country: str | None, subdivision: str | None, weekmask: str, also: tuple[date, ...], start: int, end: int
) -> np.busdaycalendar:
    """Build numpy's calendar; kept, since many suppliers and customers share one."""
    holidays: Iterable[date] = () if country is None else _bank_holidays(country, subdivision, start, end)
    closed = np.array(sorted({*holidays, *also}), dtype="datetime64[D]")
    return np.busdaycalendar(weekmask=weekmask, holidays=closed)


@lru_cache(maxsize=64)
def _bank_holidays(country: str, subdivision: str | None, first_year: int, last_year: int) -> dict[date, str]:
    """Return the bank holidays of the years with their names."""
    import holidays

    found = holidays.country_holidays(
        country,
        subdiv=subdivision,
        years=range(first_year, last_year + 1),
        expand=False,
        language=_language(country),
    )
    return dict(found.items())


def country_code(country: str) -> str:
    """Return the ISO 3166 alpha-2 code of a country given by code or English name.

    Raises
    ------
    UnknownCountry
        With close matches, when its bank holidays are not known.
    """
    names = _countries()
    folded = _folded(country)
    if folded in names:
        return names[folded]
    near = [
        n for n in difflib.get_close_matches(folded, names, n=6, cutoff=0.6) if len(n) > 3 or len(folded) <= 3
    ]
    codes = list(dict.fromkeys(names[n] for n in near))[:3]
    if codes:
        raise UnknownCountry(
            "units.country_meant", '"{country}" has no known bank holidays; did you mean {countries}?',
            country=country, countries=tuple(f"{code} ({_english(code)})" for code in codes),
        )  # fmt: skip
    raise UnknownCountry(
        "units.country_unknown",
        '"{country}" has no known bank holidays; write a country by its code, e.g. AT',
        country=country,
    )


@lru_cache(maxsize=1)
def _countries() -> dict[str, str]:
    """Return the alpha-2 code by every code and English name."""
    from holidays.registry import COUNTRIES

    names: dict[str, str] = {}
    for module, (_, alpha2, alpha3, *_) in COUNTRIES.items():
        for name in (alpha2, alpha3, module):
            names[_folded(name)] = alpha2
    names.update({"uk": "GB", "greatbritain": "GB", "england": "GB", "usa": "US", "czechrepublic": "CZ"})
    return names


def _english(code: str) -> str:
    """Return the English name of a country by its alpha-2 code."""
    from holidays.registry import COUNTRIES

    found: str = next(module for module, (_, alpha2, *_) in COUNTRIES.items() if alpha2 == code)
    return found.replace("_", " ").title()


def _language(country: str) -> str | None:
    """English names of the holidays where there are any; the country's own language else."""
    supported: Any = getattr(_holiday_class(country), "supported_languages", ())
    chosen: str | None = next(
        (language for language in ("en_GB", "en_US", "en") if language in supported), None
    )
    return chosen


@lru_cache(maxsize=64)
def _holiday_class(country: str) -> Any:
    """Return the class of a country's holidays; loads its module alone."""
    import holidays

    return type(holidays.country_holidays(country))


def _subdivision_code(country: str, subdivision: str) -> str:
    """Return the code of a part of a country given by code, "DE-BY", or name."""
    holiday_class = _holiday_class(country)
    aliases: dict[str, str] = dict(getattr(holiday_class, "subdivisions_aliases", {}) or {})
    names = {_folded(name): code for name, code in aliases.items()}
    names |= {_folded(code): code for code in holiday_class.subdivisions}
    folded = _folded(subdivision)
    folded = folded.removeprefix(country.casefold()) if folded not in names else folded
    if folded in names:
        return names[folded]
    near = difflib.get_close_matches(folded, names, n=6, cutoff=0.6)
    found = list(dict.fromkeys(names[n] for n in near))[:3]
    if not holiday_class.subdivisions:
        raise UnknownCountry(
            "units.parts_not_known",
            'no bank holidays are known for parts of {country}; leave out "{part}"',
            country=country, part=subdivision,
        )  # fmt: skip
    if found:
        raise UnknownCountry(
            "units.part_meant",
            '"{part}" is not a part of {country} whose bank holidays are known; did you mean {parts}?',
            part=subdivision, country=country, parts=tuple(found),
        )  # fmt: skip
    raise UnknownCountry(
        "units.part_unknown",
        '"{part}" is not a part of {country} whose bank holidays are known ({parts})',
        part=subdivision, country=country, parts=", ".join(list(holiday_class.subdivisions)[:30]),
    )  # fmt: skip


def _folded(name: str) -> str:
    """Return a name without case, spaces, hyphens and underscores."""
    return "".join(c for c in name.casefold() if c.isalnum())


def _as_date(day: Any) -> date:
    """Return a `date` for numpy's day."""
    result: date = np.datetime64(day, "D").astype(date)
    return result
