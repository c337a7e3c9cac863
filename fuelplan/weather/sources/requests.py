"""What can be asked for, what comes back, and what can go wrong."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Literal

from fuelplan.messages import Fault, Listed, Message, Refusal, Said, message
from fuelplan.weather.record import DailyWeather, Forecast

Progress = Callable[[Said], None]
FIRST_FAULTS = 5
TWELVE_MEANS = message("weather.twelve_means", "twelve monthly means")


class WeatherFault(Refusal):
    """A weather file that cannot be used as it is, with every fault found in it."""

    def __init__(self, path: Path, faults: Sequence[Fault]) -> None:
        """Keep the faults; the message shows the first few."""
        self.path, self.faults = path, tuple(faults)
        shown = Listed(tuple(fault.as_line() for fault in self.faults[:FIRST_FAULTS]), "\n")
        more = len(self.faults) - FIRST_FAULTS
        if more <= 0:
            super().__init__(message("weather_file.faults", "{faults}", faults=shown))
            return
        super().__init__(
            message(
                "weather_file.first_faults", "{faults}\n… and {more} more faults", faults=shown, more=more
            )
        )

    def __reduce__(self) -> tuple[type[WeatherFault], tuple[Path, Sequence[Fault]]]:
        """Return how it is made anew in another process."""
        return type(self), (self.path, self.faults)


class WeatherUnavailable(Refusal):
    """Weather that cannot be had now; the message says what to do."""


@dataclass(frozen=True)
class FileRequest:
    """Weather from a file of one's own.

    Attributes
    ----------
    path
        A CSV file, or an EPW file.
    columns
        Which column of the file holds what, e.g. ``{"date": "Tag", "mean_c": "TMK"}``; keys are date,
        mean_c, min_c, max_c, humidity_pct for daily and time, temp_c, humidity_pct for hourly files. None:
        the columns bear these names themselves.
    unit
        Of all temperatures in the file: "degC", "degF" or "K".
    kind
        "csv" or "epw"; None goes by the name of the file.
    decimal
        "." or ",".
    separator
        Between columns; None finds it: comma, semicolon or tab.
    date_format
        As for `datetime.strptime`; None: ISO 8601, e.g. 2026-01-31 or 2026-01-31T14:00.
    clock
        Of hourly times without an offset of their own: "local" (with summer time), "standard" (winter time
        all year) or "utc".
    name, licence, attribution
        Said with the data where it is shown.
    invented
        Whether its figures are made up.
    folder
        In which the file must lie; None: a person has named it, and it may lie anywhere.
    """

    path: Path
    columns: Mapping[str, str] | None = None
    unit: str = "degC"
    kind: Literal["csv", "epw"] | None = None
    decimal: str = "."
    separator: str | None = None
    date_format: str | None = None
    clock: Literal["local", "standard", "utc"] = "local"
    name: Said = ""
    licence: str = ""
    attribution: str = ""
    invented: bool = False
    folder: Path | None = None


@dataclass(frozen=True)
class MonthlyRequest:
    """A place with nothing else: twelve monthly means.

    Attributes
    ----------
    mean_c
        January to December. [degC]
    sd_c
        Standard deviation of the daily means within each month about its usual mean; None: a stated rule. [K]
    name
        Where the means come from.
    invented
        Whether they are made up.
    """

    mean_c: tuple[float, ...]
    sd_c: tuple[float, ...] | None = None
    name: Said = TWELVE_MEANS
    invented: bool = False


@dataclass(frozen=True)
class MeteostatRequest:
    """Station data through the meteostat library, kept in a store of our own.

    Attributes
    ----------
    first_day
        First day wanted.
    last_day
        Last day wanted; None: the day of asking, and the forecast after it.
    stations
        How many stations to blend at most.
    radius_km
        How far they may lie. [km]
    resolution
        "daily" or "hourly".
    store_path
        The store; None: the environment's FUELPLAN_WEATHER_STORE, else the user's cache directory.
    timeout_s
        Longest silence of a host to put up with. [s]
    slow_s
        Longest time to wait for a piece of 64 kB, or for the end of a file; a dripping host is given up. [s]
    total_s
        Longest time for all downloads together. [s]
    offline
        Use the store alone.
    refetch
        Ask for every year and the list of stations anew, and put what comes in the place of what is stored.
    """

    first_day: date
    last_day: date | None = None
    stations: int = 4
    radius_km: float = 50.0
    resolution: Literal["daily", "hourly"] = "daily"
    store_path: Path | None = None
    timeout_s: float = 15.0
    slow_s: float = 60.0
    total_s: float = 300.0
    offline: bool = False
    refetch: bool = False


Request = FileRequest | MonthlyRequest | MeteostatRequest


@dataclass(frozen=True)
class Loaded:
    """Weather as it came.

    Attributes
    ----------
    weather
        The record, gaps not filled.
    forecast
        Of the days after `as_of`, if one had been issued by then.
    notes
        What the person should know: ages, gaps, repeated rows, fall-backs.
    shortfall
        Why days are missing, where a server did not send what it was asked for; None where that is not so.
    """

    weather: DailyWeather
    forecast: Forecast | None = None
    notes: tuple[Message, ...] = field(default=())
    shortfall: Message | None = None
