"""The weather of a round: that of each of its areas, and the possible winters that all of them share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import cast

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.weather_of_site import SiteWeather, known_weather, weather_for
from fuelplan.dispatch.outlook import LEARN_DAYS, AreaRecord
from fuelplan.messages import Said
from fuelplan.records.round import AreaFolder, Round
from fuelplan.records.schema import AreaOfWeather
from fuelplan.records.site import Site

Progress = Callable[[Said], None]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class _Wanted:
    day: date


@dataclass(frozen=True)
class _AreaAsSite:
    """An area where the weather of a site is asked for: a folder, a place and a source."""

    beside: Path
    table: AreaOfWeather

    def read_by(self, as_of: date) -> tuple[_Wanted]:
        """Return what a site's first reading would be: the day from which weather is wanted."""
        return (_Wanted(as_of - timedelta(days=LEARN_DAYS)),)

    def delivered(self, as_of: date) -> tuple[()]:
        """Return the deliveries: an area has none."""
        return ()


@dataclass(frozen=True)
class RoundWeather:
    """Weather of the areas of a round, in their order."""

    areas: tuple[SiteWeather, ...]

    @property
    def invented(self) -> bool:
        """Whether the weather of any area is made up."""
        return any(area.invented for area in self.areas)

    @property
    def notes(self) -> tuple[Said, ...]:
        """What should be known about it, each thing once; that it is invented, the answer says first."""
        return tuple(dict.fromkeys(note for area in self.areas for note in area.notes))

    @property
    def attributions(self) -> tuple[str, ...]:
        """Whom to thank for the data, each once."""
        found = [s.attribution for area in self.areas for s in area.record.sources if s.attribution]
        return tuple(dict.fromkeys(found))


def weather_for_round(
    round_: Round, as_of: date | None = None, progress: Progress | None = None, *, refetch: bool = False
) -> RoundWeather:
    """Return the weather that a round asks for; areas with one source and one place share it. With `refetch`
    a weather server is asked for all of it anew.

    Raises
    ------
    WeatherFault
        Where a weather file cannot be used.
    WeatherUnavailable
        Where the weather cannot be had and there is no fall-back.
    """
    loaded: dict[str, SiteWeather] = {}
    found = []
    for area in round_.areas:
        key = f"{area.table.place!r} {area.table.weather!r}"
        if key not in loaded:
            loaded[key] = weather_for(area, as_of, progress, refetch=refetch)
        found.append(loaded[key])
    return RoundWeather(tuple(found))


def known_for_round(round_: Round, weather: RoundWeather, as_of: date) -> RoundWeather:
    """Return the weather known on the evening of `as_of`, without gaps and reaching to that day."""
    known: dict[int, SiteWeather] = {}
    for area, given in zip(round_.areas, weather.areas, strict=True):
        if id(given) not in known:
            known[id(given)] = known_weather(_as_site(area), given, as_of)
    return RoundWeather(tuple(known[id(given)] for given in weather.areas))


def _as_site(area: AreaFolder) -> Site:
    return cast(Site, _AreaAsSite(area.beside, area.table))


def area_records(weather: RoundWeather) -> list[AreaRecord]:
    """Return what the winters of each area are made from; areas with one weather have one record."""
    made: dict[int, AreaRecord] = {}
    return [made.setdefault(id(a), AreaRecord(a.for_winters, a.forecast)) for a in weather.areas]


def learning_weather(known: RoundWeather, as_of: date) -> tuple[date, Floats]:
    """Return the first day and the daily means of each area, (areas, days), up to `as_of`. [degC]"""
    first = max(area.weather.first_day for area in known.areas)
    first = max(first, as_of - timedelta(days=LEARN_DAYS - 1))
    days = (as_of - first).days + 1
    rows = [a.weather.mean_c[a.weather.index_of(first) :][:days] for a in known.areas]
    return first, np.stack(rows)
