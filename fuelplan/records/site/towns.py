"""Where towns lie, from a list kept in the package, so that no other machine is asked.

Source: GeoNames (geonames.org), CC BY 4.0: towns above a few thousand people in lands where wood is burned
for heat; places rounded to a hundredth of a degree. `also` holds further names of the larger ones.
"""

from __future__ import annotations

import csv
import difflib
import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from fuelplan.messages import Listed, Own, Refusal, message

SOURCE = "Towns: GeoNames, CC BY 4.0"
_POINT = re.compile(r"([+-])(\d{2})(\d{2})(?:\d{2})?([+-])(\d{3})(\d{2})(?:\d{2})?")
# Letters that do not fall apart into a letter and an accent.
_PLAIN = str.maketrans({"ß": "ss", "ø": "o", "æ": "ae", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "œ": "oe"})


@dataclass(frozen=True)
class Town:
    """A town. [degrees north, degrees east]"""

    country: str
    name: str
    latitude: float
    longitude: float
    time_zone: str


class UnknownTown(Refusal):
    """A town that the list does not hold."""


def folded(name: str) -> str:
    """Return a name without case, accents, spaces and signs."""
    plain = unicodedata.normalize("NFKD", name.casefold().translate(_PLAIN))
    return re.sub(r"[^a-z0-9]", "", plain)


@lru_cache(maxsize=1)
def _towns() -> dict[str, dict[str, Town]]:
    """Return, by country, every town by each of its folded names; the larger town keeps the name."""
    found: dict[str, dict[str, Town]] = {}
    text = (files("fuelplan.records.site") / "towns.csv").read_text(encoding="utf-8")
    second: list[tuple[dict[str, Town], str, Town]] = []
    for row in csv.DictReader(text.splitlines()):
        town = Town(
            row["country"], row["name"], float(row["latitude"]), float(row["longitude"]), row["time_zone"]
        )
        names = found.setdefault(town.country, {})
        names.setdefault(folded(town.name), town)
        second += [(names, folded(also), town) for also in row["also"].split("|") if also]
    for names, name, town in second:
        names.setdefault(name, town)
    return found


def find_town(name: str, country: str) -> Town:
    """Return a town of a country by name; accents and case do not matter.

    Parameters
    ----------
    country
        Two letters.

    Raises
    ------
    UnknownTown
        With the nearest names, and what to write instead.
    """
    names = _towns().get(country, {})
    asked = folded(name)
    if asked and asked in names:
        return names[asked]
    near = difflib.get_close_matches(asked, names, n=3, cutoff=0.75) if len(asked) <= 60 else []
    written, meant = Own(name[:40]), tuple(map(Own, dict.fromkeys(names[n].name for n in near)))
    if meant:
        raise UnknownTown(
            message(
                "site.town_meant", '"{written}" is not in the list of towns; did you mean {towns}?',
                written=written, towns=Listed(meant, " or "),
            )
        )  # fmt: skip
    raise UnknownTown(
        message(
            "site.town_unknown",
            '"{written}" is not in the list of towns; write the next larger town, or latitude and longitude',
            written=written,
        )
    )


@lru_cache(maxsize=1)
def _zone_points() -> tuple[tuple[str, float, float, str], ...]:
    """Return (country, degrees north, degrees east, zone) of every time zone."""
    text = (files("tzdata") / "zoneinfo" / "zone.tab").read_text(encoding="utf-8")
    found = []
    for line in text.splitlines():
        cells = line.split("\t")
        match = _POINT.fullmatch(cells[1]) if len(cells) > 2 and not line.startswith("#") else None
        if match is None:
            continue
        north = float(f"{match[1]}1") * (int(match[2]) + int(match[3]) / 60)
        east = float(f"{match[4]}1") * (int(match[5]) + int(match[6]) / 60)
        found.append((cells[0], north, east, cells[2]))
    return tuple(found)


def time_zone_of(country: str, latitude: float | None = None, longitude: float | None = None) -> str:
    """Return the time zone of a country; of several that of the nearest town; UTC without a country.

    Parameters
    ----------
    country
        Two letters; "" where nobody knows.
    latitude, longitude
        None where nobody knows. [degrees]
    """
    zones = [z for z in _zone_points() if z[0] == country]
    if not zones:
        return "UTC"
    if latitude is None or longitude is None:
        return zones[0][3]
    towns = [(t.latitude, t.longitude, t.time_zone) for t in _towns().get(country, {}).values()]
    points = towns or [zone[1:] for zone in zones]
    return min(points, key=lambda p: (p[0] - latitude) ** 2 + (p[1] - longitude) ** 2)[2]


@lru_cache(maxsize=1)
def country_names() -> dict[str, str]:
    """Return the English name of every country by its two-letter code, sorted by name."""
    text = (files("tzdata") / "zoneinfo" / "iso3166.tab").read_text(encoding="utf-8")
    pairs = [line.split("\t")[:2] for line in text.splitlines() if line and not line.startswith("#")]
    return dict(sorted(((code, name) for code, name in pairs), key=lambda pair: pair[1]))
