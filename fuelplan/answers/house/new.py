"""A house that has no folder yet: what a newcomer says in a short form, made into a folder that answers."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from fuelplan.answers.house.new_entries import FieldFaults, NewHouse, ReadHouse, burned_in_bulk
from fuelplan.answers.house.new_read import read_house
from fuelplan.answers.house.new_text import readings_of, site_toml_of
from fuelplan.answers.weather_of_site import check_weather
from fuelplan.messages import Message, Said, message
from fuelplan.records.folder import FolderError, folder_files, folder_word, new_folder
from fuelplan.records.schema import DELIVERIES_FILE, READINGS_FILE, SITE_FILE
from fuelplan.records.site import check_folder, country_names
from fuelplan.records.tables import Fault

__all__ = [
    "FieldFaults", "FolderError", "NewHouse", "WeatherFile", "burned_in_bulk", "country_names", "draft_house",
    "keep_house",
]  # fmt: skip


@dataclass(frozen=True)
class WeatherFile:
    """A weather file as it was handed in; of its name only the ending counts."""

    name: str
    content: bytes


def draft_house(
    entries: NewHouse,
    parent: Path,
    as_of: date,
    weather_file: WeatherFile | None = None,
    *,
    written: Callable[[Message], str] = str,
) -> Path:
    """Make a folder inside `parent` from a newcomer's entries, ready to be answered for, and return it.

    Parameters
    ----------
    as_of
        The day on which the form was filled in: that of the reading "today".
    weather_file
        CSV or EPW, for the sources "invented" and "file".
    written
        How comments in the files are written for their reader; left out: in English and metric units.

    Raises
    ------
    FieldFaults
        With one sentence for every field that cannot be used; nothing is written then.
    """
    house = read_house(entries, as_of)
    files = _files(entries, house, weather_file, written)
    made = new_folder(parent, house.name, files)
    try:
        site, faults = check_folder(made)
        if site is not None and not faults:
            faults = check_weather(site)
        if faults:
            raise FieldFaults(_by_field(faults, entries))
    except BaseException:
        shutil.rmtree(made, ignore_errors=True)
        raise
    return made


def keep_house(draft: Path, parent: Path, name: str = "") -> Path:
    """Copy a draft to a folder of its own inside `parent`, never over another one, and return that folder.

    Parameters
    ----------
    draft
        A folder as :func:`draft_house` makes it, or another house's.
    name
        What the folder is to be called, made harmless for a disk; left out: as the draft's.

    Raises
    ------
    FolderError
        Where `parent` cannot be written to, or names like it are all taken.
    """
    return new_folder(parent, folder_word(name) if name else draft.name, folder_files(draft))


def _files(
    entries: NewHouse,
    house: ReadHouse,
    weather_file: WeatherFile | None,
    written: Callable[[Message], str],
) -> dict[str, bytes]:
    reading, delivery = readings_of(house)
    name = "weather.epw" if weather_file and weather_file.name.lower().endswith(".epw") else "weather.csv"
    files = {
        SITE_FILE: site_toml_of(house, name, written).encode("utf-8"),
        READINGS_FILE: reading.encode("utf-8"),
        DELIVERIES_FILE: delivery.encode("utf-8"),
    }
    if entries.weather in ("invented", "file"):
        if weather_file is None:
            raise FieldFaults(
                {
                    "weather_file": message(
                        "house.no_weather_file",
                        "choose a file with daily or hourly temperatures (CSV or EPW)",
                    )
                }
            )
        files[name] = weather_file.content
    return files


FIELD_OF_KEY = {
    "place.country": "country",
    "place.time_zone": "country",
    "place.latitude": "latitude",
    "place.longitude": "longitude",
    "weather.monthly_means": "monthly_means",
    "weather.file": "weather_file",
    "store.capacity": "store",
    "store.reserve": "reserve",
    "supply.lead_time": "lead_time",
    "supply.smallest_drop": "smallest_drop",
    "supply.step": "smallest_drop",
    "supply.price": "price",
    "boiler.rated": "rated",
    "boiler.installed": "installed",
    "boiler.full_load_efficiency": "tested",
    "building.indoor": "indoor",
    "building.people": "people",
    "risk.per_order": "risk",
    "name": "name",
}


def _by_field(faults: list[Fault], entries: NewHouse) -> dict[str, Said]:
    """Return the folder's faults at the fields that they come from."""
    found: dict[str, Said] = {}
    for fault in faults:
        if fault.file in ("weather.csv", "weather.epw"):
            found.setdefault("weather_file", fault.said if fault.line is None else fault.as_line())
            continue
        if fault.file == READINGS_FILE:
            field = "level"
        elif fault.file == DELIVERIES_FILE:
            field = "delivered"
        elif fault.key.startswith("store") and fault.key not in FIELD_OF_KEY:
            field = "store"
        else:
            field = FIELD_OF_KEY.get(fault.key, "use" if fault.key.startswith("building") else "")
        if field == "reserve" and not entries.reserve.strip():
            field = "store"
        if field == "smallest_drop" and not entries.smallest_drop.strip():
            field = "store"
        found.setdefault(field, fault.said)
    return found
