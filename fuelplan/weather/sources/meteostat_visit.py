"""One loading of station weather: what was asked, what went wrong, and the words for it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np

from fuelplan.messages import Listed, Message, Own, Said, counted_message, message, paragraph
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
    notes: list[Message] = field(default_factory=list)
    silent: Message | None = None
    advice: Message = CONNECT
    refusals: int = 0
    short: set[int] = field(default_factory=set)  # years that did not come whole

    def give_up(self, reason: Message, advice: Message) -> None:
        """Ask for nothing more."""
        self.silent, self.advice = reason, advice

    def say(self, said: Said) -> None:
        """Tell what is being fetched."""
        if self.progress is not None:
            self.progress(said)


def coverage_notes(
    visit: LibraryVisit, weather: DailyWeather, fetched_on: date | None, stations: int
) -> list[Message]:
    """Say what is missing of what was asked, and how old it is."""
    notes = []
    missing = int((~np.isfinite(weather.mean_c)).sum())
    asked = (visit.last - visit.first).days + 1
    if missing:
        years = weather.dates[~np.isfinite(weather.mean_c)].astype("datetime64[Y]").astype(int) + 1970
        worst = [
            Own(f"{year}: {int(count)}")
            for year, count in zip(*np.unique(years, return_counts=True), strict=True)
        ]
        notes.append(
            message(
                "station.days_missing",
                "{missing} of the {asked} days asked for have no weather ({years}).",
                missing=missing,
                asked=asked,
                years=Listed(tuple(worst), ", "),
            )
        )
    if stations < visit.request.stations:
        notes.append(
            message(
                "station.fewer_stations",
                "{stations} weather stations have weather here; {asked} were asked for.",
                stations=stations,
                asked=visit.request.stations,
            )
        )
    if visit.silent is not None:
        notes.append(_as_stored(visit, visit.silent, fetched_on))
    return notes


def _as_stored(visit: LibraryVisit, silent: Message, fetched_on: date | None) -> Message:
    stored = message(
        "station.as_stored",
        "Nothing new could be fetched ({why}); the stored weather is used.",
        why=silent,
    )
    if fetched_on is None:
        return stored
    age = counted_message(
        "station.fetched_ago",
        "The newest weather was fetched {n} day ago.",
        "The newest weather was fetched {n} days ago.",
        (visit.today - fetched_on).days,
    )
    return paragraph([stored, age])


def nothing(visit: LibraryVisit) -> Message:
    """Say why there is no weather at all, and what to do."""
    if visit.silent is not None:
        return message(
            "station.nothing_stored",
            "no weather is stored for this place and none could be fetched ({why}); {advice}, or use a "
            'weather file: source = "file"',
            why=visit.silent,
            advice=visit.advice,
        )
    if visit.notes:
        return message(
            "station.nothing_usable",
            "nothing of what the weather server sent can be used ({why}); {advice}, or use a weather file: "
            'source = "file"',
            why=_first_of(visit.notes),
            advice=LATER,
        )
    return message(
        "station.no_weather_then",
        "the stations nearby have no weather from {first} to {last}; widen the radius, or use a weather file",
        first=Own(str(visit.first)),
        last=Own(str(visit.last)),
    )


def _first_of(notes: list[Message]) -> Listed:
    return Listed(tuple(notes[:3]), "; ")


def shortfall(visit: LibraryVisit) -> Message | None:
    """Say what did not come whole from the server, for a record that has too many days missing."""
    if visit.silent is not None:
        return message(
            "station.not_asked_for_all",
            "the weather server could not be asked for all of it ({why}); {advice}",
            why=visit.silent,
            advice=visit.advice,
        )
    if visit.notes:
        return message(
            "station.sent_unusable",
            "the weather server sent what cannot be used ({why}); {advice}",
            why=_first_of(visit.notes),
            advice=LATER,
        )
    if visit.short:
        return message(
            "station.sent_a_part",
            "the weather server sent nothing, or only a part, for {years}; it is asked for them again after "
            "a day, and then after ever longer pauses",
            years=Listed(tuple(Own(str(year)) for year in sorted(visit.short)), ", "),
        )
    return None
