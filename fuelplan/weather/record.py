"""The one weather record of the house: a run of days at a place, with where each day came from."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Said

Floats = NDArray[np.float64]
Codes = NDArray[np.uint8]
Ints = NDArray[np.int64]
Dates = NDArray[np.datetime64]


class Origin(IntEnum):
    """How the temperature of one day came to be known."""

    OBSERVED = 0
    MODEL = 1  # a provider's model value in place of an observation
    INTERPOLATED = 2  # between the days before and after
    NEIGHBOUR = 3  # another station with its offset
    USUAL = 4  # mean of the same days of other years
    GENERATED = 5  # from a weather generator or twelve monthly means
    INVENTED = 6  # demo data, said to be invented
    MISSING = 255


@dataclass(frozen=True)
class Place:
    """Where: degrees north and east, metres above sea level, and an IANA time zone."""

    latitude: float | None = None
    longitude: float | None = None
    elevation_m: float | None = None
    time_zone: str = "UTC"


@dataclass(frozen=True)
class Source:
    """Where records come from, and what must be said when they are shown.

    Attributes
    ----------
    name
        What people know it by.
    licence, attribution
        In the words of whose data they are.
    invented
        Whether its figures are made up.
    """

    name: Said
    licence: str = ""
    attribution: str = ""
    invented: bool = False


@dataclass(frozen=True)
class DailyWeather:
    """Daily weather without holes in its calendar: one entry a day from `first_day` on.

    Attributes
    ----------
    first_day
        Date of entry 0, local to `place`.
    mean_c, min_c, max_c, humidity_pct
        Shape (days,), NaN where not known. [degC, degC, degC, %]
    origin
        Shape (days,), :class:`Origin` of the mean temperature.
    source
        Shape (days,), index into `sources`.
    sources
        The sources used, in order of first use.
    place
        Where.
    hourly_c
        Shape (days, 24) by local clock hour, NaN where not known; None where there are no hourly values.
        [degC]
    reference_year
        True where the dates are not those of one real year: a year put together of typical months, or made
        from monthly means. Such a record has no winters to count and is never cut at a date.
    spread_c
        Shape (days,): usual standard deviation of a day's mean about `mean_c`, only with a reference year;
        None where the days themselves show it. [K]
    """

    first_day: date
    mean_c: Floats
    min_c: Floats
    max_c: Floats
    humidity_pct: Floats
    origin: Codes
    source: Codes
    sources: tuple[Source, ...]
    place: Place = field(default_factory=Place)
    hourly_c: Floats | None = None
    reference_year: bool = False
    spread_c: Floats | None = None

    def __post_init__(self) -> None:
        """Refuse arrays of different lengths."""
        n = len(self.mean_c)
        for name in ("min_c", "max_c", "humidity_pct", "origin", "source"):
            if len(getattr(self, name)) != n:
                raise ValueError(f"{name} has {len(getattr(self, name))} days, mean_c has {n}")
        if self.hourly_c is not None and self.hourly_c.shape != (n, 24):
            raise ValueError(f"hourly_c must have the shape ({n}, 24), not {self.hourly_c.shape}")
        if self.spread_c is not None and len(self.spread_c) != n:
            raise ValueError(f"spread_c has {len(self.spread_c)} days, mean_c has {n}")

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.mean_c)

    @property
    def last_day(self) -> date:
        """Date of the last entry."""
        return self.first_day + timedelta(days=len(self) - 1)

    @property
    def dates(self) -> Dates:
        """Shape (days,), datetime64[D]."""
        return np.datetime64(self.first_day, "D") + np.arange(len(self))

    def index_of(self, day: date) -> int:
        """Return the entry of a date; may lie outside the record.

        Parameters
        ----------
        day
            Any date.

        Returns
        -------
        int
            Days after the first day, below 0 before it; it may lie outside the record. [days]
        """
        return (day - self.first_day).days

    def between(self, first: date, last: date) -> DailyWeather:
        """Return the part from `first` to `last`, both included, cut to what the record holds.

        Parameters
        ----------
        first, last
            First and last day wanted.

        Returns
        -------
        DailyWeather
            A record of its own; empty where the two have no day in common.
        """
        a = max(0, self.index_of(first))
        b = max(a, min(len(self), self.index_of(last) + 1))
        return replace(
            self,
            first_day=self.first_day + timedelta(days=a),
            mean_c=self.mean_c[a:b],
            min_c=self.min_c[a:b],
            max_c=self.max_c[a:b],
            humidity_pct=self.humidity_pct[a:b],
            origin=self.origin[a:b],
            source=self.source[a:b],
            hourly_c=None if self.hourly_c is None else self.hourly_c[a:b],
            spread_c=None if self.spread_c is None else self.spread_c[a:b],
        )

    def until(self, day: date) -> DailyWeather:
        """Return the part known on the evening of `day`: nothing dated later is kept (a reference year has
        no date).

        Parameters
        ----------
        day
            Last day that may be known.

        Returns
        -------
        DailyWeather
            The record up to that day; a reference year as it is.
        """
        return self if self.reference_year else self.between(self.first_day, day)


@dataclass(frozen=True)
class Forecast:
    """A forecast as issued on one day: daily means of the days after it, shape (days,). [degC]"""

    issued_on: date
    mean_c: Floats
    source: Source

    def __len__(self) -> int:
        """Return the number of days forecast."""
        return len(self.mean_c)


LOTS = 900
"""Numbers of paths: real years with their variants first, made paths behind them."""


@dataclass(frozen=True)
class Winters:
    """Many possible winters: whole paths of daily mean temperature from `first_day` on.

    Attributes
    ----------
    first_day
        Date of column 0.
    mean_c
        Shape (paths, days). [degC]
    year
        Shape (paths,): the real year each path begins in; variants of one year carry its number, paths from
        the weather generator carry 0.
    winters
        How many *real* winters stand behind the paths; variants and generated paths do not count.
    forecast_days
        How many of the first days are led by a forecast.
    notes
        What must be said with the paths: joined years, a generator, the warming correction.
    lot
        Shape (paths,): a number that a path keeps from one first day to the next, below :data:`LOTS`; what
        else is drawn for it can be drawn by this number. None: paths have none.
    """

    first_day: date
    mean_c: Floats
    year: NDArray[np.int64]
    winters: int
    forecast_days: int = 0
    notes: tuple[Message, ...] = ()
    lot: NDArray[np.int64] | None = None

    @property
    def days(self) -> int:
        """Number of days of each path."""
        return int(self.mean_c.shape[1])
