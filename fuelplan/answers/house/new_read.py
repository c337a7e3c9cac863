"""A newcomer's entries read one by one: each fault is said at its field, all of them at once."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import fields
from datetime import date
from typing import TypeVar, cast

from fuelplan import units
from fuelplan.answers.house.new_entries import FieldFaults, NewHouse, ReadHouse, burned_in_bulk
from fuelplan.heat import fuels
from fuelplan.messages import (
    Day,
    Listed,
    Message,
    Number,
    Own,
    Refusal,
    counted_message,
    message,
    said_by,
)
from fuelplan.records.schema import MOST_LEAD_DAYS
from fuelplan.records.site import find_town, time_zone_of
from fuelplan.units import UnitError, WorkingDays

T = TypeVar("T")

_DEGREES = re.compile(r"(?:°\s*|deg\s*)[CF]\b|(?<=[0-9])\s*[CF]\b", re.IGNORECASE)

ROOM_SHARE = 2 / 3
"""Usable share of a store room (guidance of the Austrian and German pellet associations)."""

RESERVE_SHARE = 170.0 / 31.0 * 10.0 / 1000.0
"""Reserve where none is given: ten days of midwinter; January takes 170 of 1,000 parts of a heating year
(VDI 2067 sheet 1, 1983, table 22)."""

GAS_KWH_PER_M3 = 10.0 / 0.901
"""Gross energy of a cubic metre of natural gas, as a bill counts it: 10 kWh net (value from memory). [kWh/m3]

"""

_SEVERAL_MEANINGS = "units.meant_"

LONGEST_ENTRY = 120
LONGEST_MEANS = 400


class _Reading:
    """Reads fields one by one and collects what is wrong with each."""

    def __init__(self, entries: NewHouse) -> None:
        self.entries = entries
        self.faults: dict[str, Message] = {}
        for field in fields(entries):
            value = getattr(entries, field.name)
            most = LONGEST_MEANS if field.name == "monthly_means" else LONGEST_ENTRY
            if isinstance(value, str) and len(value) > most:
                self.faults[field.name] = too_long(len(value), most)

    def text(self, field: str) -> str:
        if field in self.faults:
            return ""
        return str(getattr(self.entries, field)).strip()

    def fault(self, field: str, said: Message) -> None:
        self.faults.setdefault(field, said)

    def tried(self, field: str, read: Callable[[str], T], otherwise: T) -> T:
        """Return what `read` makes of a field; `otherwise` where it is empty or wrong, which is noted."""
        text = self.text(field)
        if not text:
            return otherwise
        try:
            return read(text)
        except ValueError as error:
            self.fault(field, said_by(error))
            return otherwise

    def needed(self, field: str, said: Message) -> None:
        if not self.text(field):
            self.fault(field, said)


def too_long(length: int, most: int) -> Message:
    """Return that an entry is longer than any that is meant."""
    return message(
        "house.too_long", "this has {length} characters; {most} are the most", length=length, most=most
    )


def read_house(entries: NewHouse, as_of: date) -> ReadHouse:
    """Return the entries as understood, amounts by what they mean in the country entered.

    Raises
    ------
    FieldFaults
        With every fault at once.
    """
    with units.bought_in(entries.country.strip()):
        return _read_house(entries, as_of)


def _read_house(entries: NewHouse, as_of: date) -> ReadHouse:
    read = _Reading(entries)
    country, place, zone = _place(read)
    fuel = _fuel(read)
    use_key, use, use_kg = _use(read, fuel)
    store, store_said, store_kg = _store(read, fuel)
    reading, delivered_on, delivered = _stock(read, as_of, fuel)
    own_reserve = bool(read.text("reserve"))
    reserve = read.tried("reserve", lambda t: _weight(t, fuel, least=0.0), "")
    if not own_reserve and use_kg and store_kg:
        kg = min(RESERVE_SHARE * use_kg, 0.2 * store_kg)
        reserve = f"{max(10, round(kg, -1)):.0f} kg"
    more = {
        key: _more(read, key, fuel)
        for key in ("lead_time", "smallest_drop", "price", "indoor", "rated", "tested", "risk")
    }
    none: tuple[float, ...] = ()
    means = read.tried("monthly_means", _means, none) if entries.weather == "monthly" else none
    if entries.weather == "monthly" and not means:
        read.fault(
            "monthly_means",
            message(
                "house.no_monthly_means",
                "write twelve mean temperatures in °C, January first, e.g. -2 0 4 9 ...",
            ),
        )
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
        fuel=fuel,
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
        read.fault(
            "longitude" if east is None else "latitude",
            message("house.half_a_place", "latitude and longitude belong together"),
        )
    zone = time_zone_of(country or "", *(place or (None, None)))
    if read.text("town") and place is None:
        if country is None:
            read.fault(
                "town",
                message("house.town_without_country", "choose the country first: many towns share a name"),
            )
        else:
            town = read.tried("town", lambda t: find_town(t, country), None)
            if town is not None:
                place, zone = (town.latitude, town.longitude), town.time_zone
    if read.entries.weather == "stations" and place is None and "town" not in read.faults:
        read.fault(
            "town",
            message(
                "house.no_town", "weather stations are found by the town: write it, or choose other weather"
            ),
        )
    return country, place, zone


def _fuel(read: _Reading) -> fuels.Fuel:
    """Return what the new boiler burns: the fuel named, else the usual one in place of oil or gas."""
    kind = read.entries.burns
    if kind not in (*burned_in_bulk(), *BEFORE):
        known = Listed(tuple(Own(name) for name in (*burned_in_bulk(), *BEFORE)), ", ")
        read.fault(
            "burns",
            message(
                "house.unknown_fuel",
                '"{written}" is not known; choose one of {known}',
                written=_short(kind),
                known=known,
            ),
        )
    return fuels.fuel(kind) if kind in burned_in_bulk() else fuels.usual()


def _use(read: _Reading, fuel: fuels.Fuel) -> tuple[str, str, float]:
    """Return key and text of the yearly use, and about how many kilograms of the fuel that is."""
    nothing = ("", "", 0.0)
    example, before = BEFORE.get(read.entries.burns, (fuel.year_example, None))
    read.needed(
        "use",
        message(
            "house.no_use", 'without this there is no answer; write e.g. "{example}"', example=Own(example)
        ),
    )
    if before is None:
        return read.tried("use", lambda t: _burned(t, fuel), nothing)
    return read.tried("use", lambda t: before(t, fuel.usual_kwh_per_kg), nothing)


def _burned(text: str, fuel: fuels.Fuel) -> tuple[str, str, float]:
    kg = _kg(text, fuel)
    _between(kg, 50.0, 1_000_000.0, text, fuel.year_example)
    return fuel.year_key, _as_written(text, kg) if fuel.is_sold_by_weight else text, kg


def _oil(text: str, kwh_per_kg: float) -> tuple[str, str, float]:
    m3 = units.parse(text, "volume")
    _between(m3, 0.02, 500.0, text, "2400 litres")
    return "heating_oil_a_year", units.exact(m3, "volume"), m3 * 1000.0 * 10.0 / kwh_per_kg


def _gas(text: str, kwh_per_kg: float) -> tuple[str, str, float]:
    try:
        kwh = units.parse(text, "energy")
    except UnitError:
        kwh = units.parse(text, "volume") * GAS_KWH_PER_M3
    kwh = round(kwh)
    _between(kwh, 200.0, 5_000_000.0, text, "26000 kWh")
    return "gas_a_year", units.exact(kwh, "energy"), kwh * 0.901 / kwh_per_kg


BEFORE: dict[str, tuple[str, Callable[[str, float], tuple[str, str, float]]]] = {
    "oil": ("2400 litres", _oil),
    "gas": ("2600 m3", _gas),
}
"""What the heating before may have burned: an example, and what reads it."""


def _store(read: _Reading, fuel: fuels.Fuel) -> tuple[str, str, float]:
    """Return the capacity as text, how it was understood, and the kilograms."""
    read.needed(
        "store",
        message(
            "house.no_store",
            'without this nobody can say what fits; write e.g. "6 t", or its room: "13 m3"',
        ),
    )
    return read.tried("store", lambda t: _capacity(t, fuel), ("", "", 0.0))


def _capacity(text: str, fuel: fuels.Fuel) -> tuple[str, str, float]:
    said, dense = "", bulk_kg_per_m3(fuel)
    try:
        kg = units.parse(text, "volume") * (dense * ROOM_SHARE)
        said = f"{text} of room, two thirds of it usable, at {dense:.0f} kg/m3."
    except UnitError:
        kg = _kg(text, fuel)
        said = "" if _weighs(text) else f"{text} at {dense:.0f} kg/m3."
    _between(kg, 100.0, 500_000.0, text, "6 t")
    return (f"{kg:.0f} kg" if said else _as_written(text, kg)), said, kg


def _stock(read: _Reading, as_of: date, fuel: fuels.Fuel) -> tuple[str, date | None, str]:
    """Return the reading of today, and day and amount of the last delivery."""
    day, delivered, level = read.entries.delivered_on, read.text("delivered"), read.text("level")
    if not level and not delivered and day is None:
        read.fault(
            "level",
            message(
                "house.no_level",
                'write what is in it today, e.g. "2.4 t", "40 %", "full", or the last delivery below',
            ),
        )
    if day is not None and day > as_of:
        read.fault("delivered_on", message("house.future", "{day} has not come yet", day=Day(day, year=True)))
    if day is not None and not delivered:
        read.fault(
            "delivered",
            message("house.no_amount_delivered", 'write what the weigh note says, e.g. "3480 kg"'),
        )
    if delivered and day is None:
        read.fault(
            "delivered_on",
            message("house.no_day_delivered", "choose the day on which the tanker came"),
        )
    return read.tried("level", lambda t: _level(t, fuel), ""), day, delivered


def _level(text: str, fuel: fuels.Fuel) -> str:
    """Return a level as the folder's file takes it: a weight, a share, empty or full."""
    if text.casefold() in ("empty", "full"):
        return text.casefold()
    try:
        measure = units.parse_amount(text).measure
    except UnitError as error:
        if error.code != "units.amount_without_unit":
            raise
        measure = ""
    if measure not in (*fuels.WEIGHTS, "percent", *fuel.measures):
        raise Refusal(
            message(
                "house.not_a_level",
                '"{written}" does not say how much is in it; write e.g. "2.4 t", "40 %", "160 bags", '
                '"empty" or "full"',
                written=_short(text),
            )
        )
    return text


def _more(read: _Reading, field: str, fuel: fuels.Fuel) -> str:
    """Return an optional entry as the folder's file takes it, checked on its own."""
    readers: dict[str, Callable[[str], str]] = {
        "lead_time": _lead_time,
        "smallest_drop": lambda t: _weight(t, fuel, least=1.0),
        "price": lambda t: _price(t, fuel),
        "indoor": lambda t: _kept(t, "temperature", least=5.0, most=30.0),
        "rated": lambda t: _kept(t, "power", least=1.0, most=2000.0),
        "tested": lambda t: _kept(t, "efficiency", least=0.3, most=1.09),
        "risk": _risk,
    }
    return read.tried(field, readers[field], "")


def _kept(text: str, quantity: str, *, least: float, most: float = 1e6) -> str:
    example = units.QUANTITIES[quantity].example
    _between(units.parse(text, quantity), least, most, text, example)
    return text


def _weight(text: str, fuel: fuels.Fuel, *, least: float) -> str:
    """Return an amount as the folder's file takes it: a weight as it is written, a volume in kilograms."""
    weighs = fuel.is_sold_by_weight or _weighs(text)
    kg = units.parse_mass(text) if weighs else _kg(text, fuel)
    _between(kg, least, 1e6, text, units.QUANTITIES["mass"].example)
    return text if weighs else f"{kg:.0f} kg"


def _lead_time(text: str) -> str:
    said = text if "day" in text.lower() else f"{text} working days"
    _, high = units.parse_working_days(said)
    if high > MOST_LEAD_DAYS:
        raise Refusal(
            message(
                "house.lead_time_too_long",
                '"{written}" is more than can be planned for; {most} is the most',
                written=_short(text),
                most=MOST_LEAD_DAYS,
            )
        )
    return said


def _price(text: str, fuel: fuels.Fuel) -> str:
    value, _ = units.parse_money(text, "money_per_mass")
    if not 0.01 <= value <= 100:
        raise Refusal(
            message(
                "house.not_a_price",
                '"{written}" is not a valid price of {fuel}; write e.g. "310 EUR/t"',
                written=_short(text),
                fuel=fuel.word,
            )
        )
    return text


def _risk(text: str) -> str:
    share = units.parse(text, "share")
    if not 0.001 <= share < 0.5:
        raise Refusal(
            message(
                "house.not_a_risk",
                '"{written}" is not a valid risk to plan with; write between "1 in 1000" and "1 in 3"',
                written=_short(text),
            )
        )
    return text


def bulk_kg_per_m3(fuel: fuels.Fuel) -> float:
    """Return the usual bulk density of a fuel. [kg/m3]"""
    return cast(fuels.BulkMaterial, fuel.material()).bulk_kg_per_m3


def _weighs(text: str) -> bool:
    try:
        return units.parse_mass(text) >= 0
    except UnitError:
        return False


def _kg(text: str, fuel: fuels.Fuel) -> float:
    """Return an amount of a fuel, its volume at the usual density where it is bought by volume. [kg]"""
    if fuel.is_sold_by_weight or _weighs(text):
        return _mass_kg(text)
    return fuel.amount_kg(units.parse_amount(text), fuel.material())


def _mass_kg(text: str) -> float:
    """Return a mass, bags and pallets included. [kg]"""
    try:
        return units.parse_mass(text)
    except UnitError as error:
        reason = error.values.get("reason")
        if isinstance(reason, UnitError) and reason.code.startswith(_SEVERAL_MEANINGS):
            raise
        raise Refusal(
            message(
                "house.not_a_weight",
                '"{written}" is not a valid weight; write it in t, kg, lb, bags or pallets, e.g. "5 t"',
                written=_short(text),
            )
        ) from None


def _as_written(text: str, kg: float) -> str:
    """Return a mass in the person's own words where they mean the same everywhere, else in kilograms."""
    try:
        with units.bought_in(None):
            return text if units.parse(text, "mass") == kg else units.exact(kg, "mass")
    except UnitError:
        return units.exact(kg, "mass")


def _between(value: float, least: float, most: float, text: str, example: str) -> None:
    if value < least:
        raise Refusal(
            message(
                "house.too_little",
                '"{written}" is too little to be meant; write e.g. "{example}"',
                written=_short(text),
                example=Own(example),
            )
        )
    if not value <= most:
        raise Refusal(
            message(
                "house.too_much",
                '"{written}" is too much to be meant; write e.g. "{example}"',
                written=_short(text),
                example=Own(example),
            )
        )


def _short(text: str) -> Own:
    """Return what was written, cut to what a person recognises."""
    return Own(text[:40])


def _degrees(text: str, most: float, example: str) -> float:
    try:
        value = float(text.removesuffix("°"))
    except ValueError:
        raise Refusal(
            message(
                "house.not_degrees",
                '"{written}" is not a valid number of degrees; write e.g. {example}',
                written=_short(text),
                example=Own(example),
            )
        ) from None
    if not -most <= value <= most:
        raise Refusal(
            message(
                "house.too_many_degrees",
                '"{written}" lies beyond {most} degrees; write e.g. {example}',
                written=_short(text),
                most=Number(most),
                example=Own(example),
            )
        )
    return value


def _whole(text: str, least: int, most: int) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 9):
        raise Refusal(
            message(
                "house.not_whole",
                '"{written}" is not a valid whole number; write one from {least} to {most}',
                written=_short(text),
                least=Own(str(least)),
                most=Own(str(most)),
            )
        )
    if not least <= int(text) <= most:
        raise Refusal(
            message(
                "house.not_meant",
                "{written} is not meant; write a whole number from {least} to {most}",
                written=Own(str(int(text))),
                least=Own(str(least)),
                most=Own(str(most)),
            )
        )
    return int(text)


def _means(text: str) -> tuple[float, ...]:
    """Return twelve mean temperatures [degC]; commas, semicolons and spaces part them, °F may be written."""
    plain, written = _DEGREES.subn(" ", text.replace(";", " ").replace("\u2212", "-"))
    fahrenheit = written > 0 and "F" in "".join(_DEGREES.findall(text)).upper()
    parts = plain.split()
    if len(parts) < 12:
        parts = plain.replace(",", " ").split()
    try:
        found = tuple(float(part.rstrip(",").replace(",", ".")) for part in parts)
    except ValueError:
        raise Refusal(
            message("house.not_numbers", "write twelve numbers in °C parted by spaces, January first")
        ) from None
    if fahrenheit:
        found = tuple(round((f - 32.0) / 1.8, 2) for f in found)
    if len(found) != 12:
        raise Refusal(
            counted_message(
                "house.not_twelve",
                "there is {n} number; write twelve in °C, January first",
                "there are {n} numbers; write twelve in °C, January first",
                len(found),
            )
        )
    if not all(-60 <= c <= 45 for c in found):
        raise Refusal(
            message(
                "house.not_a_mean",
                "a mean temperature below -60 or above 45 °C is not meant; write °C, January first",
            )
        )
    return found
