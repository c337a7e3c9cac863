"""One loading of station weather: what was asked, what went wrong, and the words for it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np

from fuelplan.weather.record import DailyWeather, Place
from fuelplan.weather.sources.meteostat_fetch import CONNECT, LATER
from fuelplan.weather.sources.requests import MeteostatRequest, Progress


@dataclass
class LibraryVisit:
    """One loading: what was asked, and what there is to tell."""

    request: MeteostatRequest
    place: Place
    today: date
    first: date
    last: date
    deadline: float
    progress: Progress | None
    notes: list[str] = field(default_factory=list)
    silent: str = ""
    advice: str = CONNECT
    refusals: int = 0
    short: set[int] = field(default_factory=set)  # years that did not come whole

    def give_up(self, reason: str, advice: str) -> None:
        """Ask for nothing more."""
        self.silent, self.advice = reason, advice

    def say(self, text: str) -> None:
        """Tell what is being fetched."""
        if self.progress is not None:
            self.progress(text)


def coverage_notes(
    visit: LibraryVisit, weather: DailyWeather, fetched_on: date | None, stations: int
) -> list[str]:
    """Say what is missing of what was asked, and how old it is."""
    notes = []
    missing = int((~np.isfinite(weather.mean_c)).sum())
    asked = (visit.last - visit.first).days + 1
    if missing:
        years = weather.dates[~np.isfinite(weather.mean_c)].astype("datetime64[Y]").astype(int) + 1970
        worst = ", ".join(
            f"{year}: {int(count)}" for year, count in zip(*np.unique(years, return_counts=True), strict=True)
        )
        notes.append(f"{missing} of the {asked} days asked for have no weather ({worst}).")
    if stations < visit.request.stations:
        notes.append(
            f"{stations} weather stations have weather here; {visit.request.stations} were asked for."
        )
    if visit.silent:
        age = (
            ""
            if fetched_on is None
            else f" The newest weather was fetched {(visit.today - fetched_on).days} days ago."
        )
        notes.append(f"Nothing new could be fetched ({visit.silent}); the stored weather is used.{age}")
    return notes


def nothing(visit: LibraryVisit) -> str:
    """Say why there is no weather at all, and what to do."""
    if visit.silent:
        return (
            f"no weather is stored for this place and none could be fetched ({visit.silent}); "
            f"{visit.advice}, or "
            'use a weather file: source = "file"'
        )
    if visit.notes:
        return (
            f"nothing of what the weather server sent can be used ({'; '.join(visit.notes[:3])}); {LATER}, "
            'or use a weather file: source = "file"'
        )
    return (
        f"the stations nearby have no weather from {visit.first} to {visit.last}; widen the radius, or use "
        "a weather file"
    )


def shortfall(visit: LibraryVisit) -> str:
    """Say what did not come whole from the server, for a record that has too many days missing."""
    if visit.silent:
        return f"the weather server could not be asked for all of it ({visit.silent}); {visit.advice}"
    if visit.notes:
        return f"the weather server sent what cannot be used ({'; '.join(visit.notes[:3])}); {LATER}"
    if visit.short:
        years = ", ".join(map(str, sorted(visit.short)))
        return (
            f"the weather server sent nothing, or only a part, for {years}; it is asked for them again after "
            "a day, and then after ever longer pauses"
        )
    return ""
