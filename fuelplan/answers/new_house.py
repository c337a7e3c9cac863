"""A house that has no folder yet: what a newcomer says in a short form, made into a folder that answers."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from datetime import date
from pathlib import Path
from typing import Literal, TypeVar

from fuelplan import units
from fuelplan.answers.new_house_text import readings_of, site_toml_of
from fuelplan.answers.weather_of_site import check_weather
from fuelplan.checks import check_folder
from fuelplan.site import Fault
from fuelplan.site.folder import DELIVERIES_FILE, READINGS_FILE, SITE_FILE
from fuelplan.site.new_folder import folder_files, folder_word, new_folder
from fuelplan.site.quantities import MOST_LEAD_DAYS
from fuelplan.site.towns import find_town, time_zone_of
from fuelplan.units import UnitError
from fuelplan.working_days import WorkingDays

T = TypeVar("T")

ROOM_KG_PER_M3 = 650.0 * 2 / 3
"""Pellets in a cubic metre of store room: two thirds of it usable at 650 kg/m3 (guidance of the Austrian and
German pellet associations). [kg/m3]"""

RESERVE_SHARE = 170.0 / 31.0 * 10.0 / 1000.0
"""Reserve where none is given: ten January days; January takes 170 of 1,000 parts of a heating year (VDI 2067
sheet 1, 1983, table 22)."""

GAS_KWH_PER_M3 = 10.0 / 0.901
"""Gross energy of a cubic metre of natural gas, as a bill counts it: 10 kWh net (value from memory). [kWh/m3]

"""

LONGEST_ENTRY = 120
LONGEST_MEANS = 400


class FieldFaults(ValueError):
    """Entries that cannot be used; `faults` holds a sentence for each field by its name."""

    def __init__(self, faults: Mapping[str, str]) -> None:
        """Keep the faults by field."""
        self.faults = dict(faults)
        super().__init__("; ".join(f"{field}: {message}" for field, message in self.faults.items()))


@dataclass(frozen=True)
class NewHouse:
    """What a newcomer wrote, as text with units; an empty text is left out.

    Attributes
    ----------
    burns
        What `use` is measured for: pellets, or the oil or gas of the heating before.
    weather
        "invented": the file given is the demo valley's; "monthly": `monthly_means`; "file": the file given;
        "stations": open station data, for which latitude and longitude or a town are needed.
    level, delivered_on, delivered, filled_full
        What is in the store today, or the last delivery, or both.
    """

    name: str = ""
    country: str = ""
    town: str = ""
    latitude: str = ""
    longitude: str = ""
    weather: Literal["invented", "monthly", "file", "stations"] = "invented"
    monthly_means: str = ""
    burns: Literal["pellets", "oil", "gas"] = "pellets"
    use: str = ""
    store: str = ""
    level: str = ""
    delivered_on: date | None = None
    delivered: str = ""
    filled_full: bool = False
    reserve: str = ""
    lead_time: str = ""
    smallest_drop: str = ""
    price: str = ""
    indoor: str = ""
    people: str = ""
    rated: str = ""
    installed: str = ""
    risk: str = ""


@dataclass(frozen=True)
class ReadHouse:
    """The entries of a :class:`NewHouse` as they were understood. [kg, kWh, m3, degC, degrees]

    `use` and `store` are text for the folder's file, with a unit; None means left out.
    """

    name: str
    country: str | None
    time_zone: str
    latitude: float | None
    longitude: float | None
    town: str
    weather: str
    monthly_means_c: tuple[float, ...]
    use_key: str
    use: str
    store: str
    store_said: str
    day: date
    reading: str
    delivered_on: date | None
    delivered: str
    filled_full: bool
    reserve: str
    own_reserve: bool
    more: Mapping[str, str]
    people: int | None
    installed: int | None


@dataclass(frozen=True)
class WeatherFile:
    """A weather file as it was handed in; of its name only the ending counts."""

    name: str
    content: bytes


def draft_house(
    entries: NewHouse, parent: Path, as_of: date, weather_file: WeatherFile | None = None
) -> Path:
    """Make a folder inside `parent` from a newcomer's entries, ready to be answered for, and return it.

    Parameters
    ----------
    as_of
        The day on which the form was filled in: that of the reading "today".
    weather_file
        CSV or EPW, for the sources "invented" and "file".

    Raises
    ------
    FieldFaults
        With one sentence for every field that cannot be used; nothing is written then.
    """
    house = read_house(entries, as_of)
    files = _files(entries, house, weather_file)
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
    """Copy a draft to a folder of its own inside `parent`, never over another one, and return that folder."""
    return new_folder(parent, folder_word(name) if name else draft.name, folder_files(draft))


def _files(entries: NewHouse, house: ReadHouse, weather_file: WeatherFile | None) -> dict[str, bytes]:
    reading, delivery = readings_of(house)
    name = "weather.epw" if weather_file and weather_file.name.lower().endswith(".epw") else "weather.csv"
    files = {
        SITE_FILE: site_toml_of(house, name).encode("utf-8"),
        READINGS_FILE: reading.encode("utf-8"),
        DELIVERIES_FILE: delivery.encode("utf-8"),
    }
    if entries.weather in ("invented", "file"):
        if weather_file is None:
            raise FieldFaults(
                {"weather_file": "choose a file with daily or hourly temperatures (CSV or EPW)"}
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
    "building.indoor": "indoor",
    "building.people": "people",
    "risk.per_order": "risk",
    "name": "name",
}


def _by_field(faults: list[Fault], entries: NewHouse) -> dict[str, str]:
    """Return the folder's faults at the fields that they come from."""
    found: dict[str, str] = {}
    for fault in faults:
        if fault.file in ("weather.csv", "weather.epw"):
            found.setdefault(
                "weather_file", str(fault).partition(": ")[2] if fault.line is None else str(fault)
            )
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
        found.setdefault(field, fault.message)
    return found


class _Reading:
    """Reads fields one by one and collects what is wrong with each."""

    def __init__(self, entries: NewHouse) -> None:
        self.entries = entries
        self.faults: dict[str, str] = {}
        for field in fields(entries):
            value = getattr(entries, field.name)
            most = LONGEST_MEANS if field.name == "monthly_means" else LONGEST_ENTRY
            if isinstance(value, str) and len(value) > most:
                self.faults[field.name] = f"this has {len(value):,} characters; {most} are the most"

    def text(self, field: str) -> str:
        if field in self.faults:
            return ""
        return str(getattr(self.entries, field)).strip()

    def fault(self, field: str, message: str) -> None:
        self.faults.setdefault(field, message)

    def tried(self, field: str, read: Callable[[str], T], otherwise: T) -> T:
        """Return what `read` makes of a field; `otherwise` where it is empty or wrong, which is noted."""
        text = self.text(field)
        if not text:
            return otherwise
        try:
            return read(text)
        except ValueError as error:
            self.fault(field, str(error))
            return otherwise

    def needed(self, field: str, message: str) -> None:
        if not self.text(field):
            self.fault(field, message)


def read_house(entries: NewHouse, as_of: date) -> ReadHouse:
    """Return the entries as understood.

    Raises
    ------
    FieldFaults
        With every fault at once.
    """
    read = _Reading(entries)
    country, place, zone = _place(read)
    use_key, use, use_kg = _use(read)
    store, store_said, store_kg = _store(read)
    reading, delivered_on, delivered = _stock(read, as_of)
    own_reserve = bool(read.text("reserve"))
    reserve = read.tried("reserve", lambda t: _kept(t, "mass", least=0.0), "")
    if not own_reserve and use_kg and store_kg:
        kg = min(RESERVE_SHARE * use_kg, 0.2 * store_kg)
        reserve = f"{max(10, round(kg, -1)):.0f} kg"
    more = {
        key: _more(read, key) for key in ("lead_time", "smallest_drop", "price", "indoor", "rated", "risk")
    }
    none: tuple[float, ...] = ()
    means = read.tried("monthly_means", _means, none) if entries.weather == "monthly" else none
    if entries.weather == "monthly" and not means:
        read.fault("monthly_means", "write twelve mean temperatures in °C, January first, e.g. -2 0 4 9 ...")
    people = read.tried("people", lambda t: _whole(t, 0, 10_000), None)
    installed = read.tried("installed", lambda t: _whole(t, 1900, as_of.year), None)
    if read.faults:
        raise FieldFaults(read.faults)
    return ReadHouse(
        name=read.text("name") or "My house",
        country=country,
        time_zone=zone,
        latitude=place[0] if place else None,
        longitude=place[1] if place else None,
        town=read.text("town"),
        weather=entries.weather,
        monthly_means_c=means,
        use_key=use_key,
        use=use,
        store=store,
        store_said=store_said,
        day=as_of,
        reading=reading,
        delivered_on=delivered_on,
        delivered=delivered,
        filled_full=entries.filled_full,
        reserve=reserve,
        own_reserve=own_reserve,
        more={key: value for key, value in more.items() if value},
        people=people,
        installed=installed,
    )


def _place(read: _Reading) -> tuple[str | None, tuple[float, float] | None, str]:
    country = read.text("country") or None
    if country is not None:
        read.tried("country", lambda t: WorkingDays(t, None), None)
    north = read.tried("latitude", lambda t: _degrees(t, 90.0, "47.2"), None)
    east = read.tried("longitude", lambda t: _degrees(t, 180.0, "11.4"), None)
    place = None if north is None or east is None else (north, east)
    if place is None and (north is not None or east is not None):
        read.fault("longitude" if east is None else "latitude", "latitude and longitude belong together")
    zone = time_zone_of(country or "", *(place or (None, None)))
    if read.text("town") and place is None:
        if country is None:
            read.fault("town", "choose the country first: many towns share a name")
        else:
            town = read.tried("town", lambda t: find_town(t, country), None)
            if town is not None:
                place, zone = (town.latitude, town.longitude), town.time_zone
    if read.entries.weather == "stations" and place is None and "town" not in read.faults:
        read.fault("town", "stations are found by the place: write a town, or latitude and longitude")
    return country, place, zone


def _use(read: _Reading) -> tuple[str, str, float]:
    """Return key and text of the yearly use, and about how many kilograms of pellets that is."""
    kinds = {"pellets": _pellets, "oil": _oil, "gas": _gas}
    examples = {"pellets": "5 t", "oil": "2400 litres", "gas": "2600 m3"}
    kind = read.entries.burns
    read.needed("use", f'without this there is no answer; write e.g. "{examples[kind]}"')
    return read.tried("use", kinds[kind], ("", "", 0.0))


def _pellets(text: str) -> tuple[str, str, float]:
    kg = _mass_kg(text)
    _between(kg, 50.0, 1_000_000.0, text, "5 t")
    return "pellets_a_year", _as_written(text, kg), kg


def _oil(text: str) -> tuple[str, str, float]:
    m3 = units.parse(text, "volume")
    _between(m3, 0.02, 500.0, text, "2400 litres")
    return "heating_oil_a_year", units.exact(m3, "volume"), m3 * 1000.0 * 10.0 / 4.8


def _gas(text: str) -> tuple[str, str, float]:
    try:
        kwh = units.parse(text, "energy")
    except UnitError:
        kwh = units.parse(text, "volume") * GAS_KWH_PER_M3
    kwh = round(kwh)
    _between(kwh, 200.0, 5_000_000.0, text, "26000 kWh")
    return "gas_a_year", units.exact(kwh, "energy"), kwh * 0.901 / 4.8


def _store(read: _Reading) -> tuple[str, str, float]:
    """Return the capacity as text, how it was understood, and the kilograms."""
    read.needed("store", 'without this nobody can say what fits; write e.g. "6 t", or its room: "13 m3"')
    return read.tried("store", _capacity, ("", "", 0.0))


def _capacity(text: str) -> tuple[str, str, float]:
    said = ""
    try:
        kg = units.parse(text, "volume") * ROOM_KG_PER_M3
        said = f"{text} of room, two thirds of it usable, at 650 kg/m3."
    except UnitError:
        kg = _mass_kg(text)
    _between(kg, 100.0, 500_000.0, text, "6 t")
    return (f"{kg:.0f} kg" if said else _as_written(text, kg)), said, kg


def _stock(read: _Reading, as_of: date) -> tuple[str, date | None, str]:
    """Return the reading of today, and day and amount of the last delivery."""
    day, delivered, level = read.entries.delivered_on, read.text("delivered"), read.text("level")
    if not level and not delivered and day is None:
        read.fault(
            "level", 'write what is in it today, e.g. "2.4 t", "40 %", "full", or the last delivery below'
        )
    if day is not None and day > as_of:
        read.fault("delivered_on", f"{units.show_date(day, year=True)} has not come yet")
    if day is not None and not delivered:
        read.fault("delivered", 'write what the ticket says, e.g. "3480 kg"')
    if delivered and day is None:
        read.fault("delivered_on", "choose the day on which the tanker came")
    return read.tried("level", _level, ""), day, delivered


def _level(text: str) -> str:
    """Return a level as the folder's file takes it: a weight, a share, empty or full."""
    if text.casefold() in ("empty", "full"):
        return text.casefold()
    examples = 'write e.g. "2.4 t", "40 %", "160 bags", "empty" or "full"'
    try:
        amount = units.parse_amount(text)
    except UnitError as error:
        raise ValueError(f"{str(error).partition(';')[0]}; {examples}") from None
    if amount.kg is None and amount.measure != "percent":
        raise ValueError(f'"{text[:40]}" does not say how much is in it; {examples}')
    if amount.value < 0:
        raise ValueError(f'"{text[:40]}" is below nothing; {examples}')
    return text


def _more(read: _Reading, field: str) -> str:
    """Return an optional entry as the folder's file takes it, checked on its own."""
    readers: dict[str, Callable[[str], str]] = {
        "lead_time": _lead_time,
        "smallest_drop": lambda t: _kept(t, "mass", least=1.0),
        "price": _price,
        "indoor": lambda t: _kept(t, "temperature", least=5.0, most=30.0),
        "rated": lambda t: _kept(t, "power", least=1.0, most=2000.0),
        "risk": _risk,
    }
    return read.tried(field, readers[field], "")


def _kept(text: str, quantity: str, *, least: float, most: float = 1e6) -> str:
    example = units.QUANTITIES[quantity].example
    _between(units.parse(text, quantity), least, most, text, example)
    return text


def _lead_time(text: str) -> str:
    said = text if "day" in text.lower() else f"{text} working days"
    _, high = units.parse_working_days(said)
    if high > MOST_LEAD_DAYS:
        raise ValueError(f'"{text[:40]}" is more than can be planned for; {MOST_LEAD_DAYS} is the most')
    return said


def _price(text: str) -> str:
    value, _ = units.parse_money(text, "money_per_mass")
    if not 0.01 <= value <= 100:
        raise ValueError(f'"{text[:40]}" is no price of pellets; write e.g. "310 EUR/t"')
    return text


def _risk(text: str) -> str:
    share = units.parse(text, "share")
    if not 0.001 <= share < 0.5:
        raise ValueError(f'"{text[:40]}" is no risk to plan with; write between "1 in 1000" and "1 in 3"')
    return text


def _mass_kg(text: str) -> float:
    """Return a mass, bags and pallets included. [kg]"""
    amount = units.parse_amount(text)
    if amount.kg is None:
        raise ValueError(f'"{text[:40]}" is no weight; write it in t, kg, lb, bags or pallets, e.g. "5 t"')
    return amount.kg


def _as_written(text: str, kg: float) -> str:
    """Return a mass in the person's own words where the folder's file takes them, else in kilograms."""
    try:
        return text if units.parse(text, "mass") == kg else units.exact(kg, "mass")
    except UnitError:
        return units.exact(kg, "mass")


def _between(value: float, least: float, most: float, text: str, example: str) -> None:
    if not least <= value <= most:
        size = "too little" if value < least else "too much"
        raise ValueError(f'"{text[:40]}" is {size} to be meant; write e.g. "{example}"')


def _degrees(text: str, most: float, example: str) -> float:
    try:
        value = float(text.removesuffix("°"))
    except ValueError:
        raise ValueError(f'"{text[:40]}" is no number of degrees; write e.g. {example}') from None
    if not -most <= value <= most:
        raise ValueError(f'"{text[:40]}" lies beyond {most:g} degrees; write e.g. {example}')
    return value


def _whole(text: str, least: int, most: int) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 9):
        raise ValueError(f'"{text[:40]}" is no whole number; write one from {least} to {most}')
    if not least <= int(text) <= most:
        raise ValueError(f"{int(text)} is not meant; write a whole number from {least} to {most}")
    return int(text)


def _means(text: str) -> tuple[float, ...]:
    """Return twelve mean temperatures; commas, semicolons and spaces part them."""
    parts = text.replace(";", " ").replace("\u2212", "-").split()
    if len(parts) < 12:
        parts = text.replace(";", " ").replace(",", " ").replace("\u2212", "-").split()
    try:
        found = tuple(float(part.rstrip(",").replace(",", ".")) for part in parts)
    except ValueError:
        raise ValueError("write twelve numbers in °C parted by spaces, January first") from None
    if len(found) != 12:
        raise ValueError(f"there are {len(found)} numbers; write twelve in °C, January first")
    if not all(-60 <= c <= 45 for c in found):
        raise ValueError("a mean temperature below -60 or above 45 °C is not meant; write °C, January first")
    return found
