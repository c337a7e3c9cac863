"""A newcomer's entries read field by field: each fault is said at its field, all of them at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from datetime import date
from typing import TypeVar

from fuelplan import units
from fuelplan.answers.house import new_values
from fuelplan.answers.house.new_entries import FieldFaults, NewHouse, ReadHouse, burned_in_bulk
from fuelplan.heat import fuels
from fuelplan.messages import (
    Day,
    Listed,
    Message,
    Own,
    message,
    said_by,
)
from fuelplan.records.site import find_town, time_zone_of
from fuelplan.units import WorkingDays

T = TypeVar("T")

RESERVE_SHARE = 170.0 / 31.0 * 10.0 / 1000.0
"""Reserve where none is given: ten days of midwinter; January takes 170 of 1,000 parts of a heating year
(VDI 2067 sheet 1, 1983, table 22)."""

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
                self.faults[field.name] = new_values.too_long(len(value), most)

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
    store, store_note, store_kg = _store(read, fuel)
    reading, delivered_on, delivered = _stock(read, as_of, fuel)
    own_reserve = bool(read.text("reserve"))
    reserve = read.tried("reserve", lambda t: new_values.weight(t, fuel, least=0.0), "")
    if not own_reserve and use_kg and store_kg:
        kg = min(RESERVE_SHARE * use_kg, 0.2 * store_kg)
        reserve = f"{max(10, round(kg, -1)):.0f} kg"
    more = {
        key: _more(read, key, fuel)
        for key in ("lead_time", "smallest_drop", "price", "indoor", "rated", "tested", "risk")
    }
    none: tuple[float, ...] = ()
    monthly = entries.weather == "monthly"
    means = read.tried("monthly_means", new_values.monthly_means, none) if monthly else none
    if monthly and not means:
        read.fault(
            "monthly_means",
            message(
                "house.no_monthly_means",
                "write twelve mean temperatures in °C, January first, e.g. -2 0 4 9 ...",
            ),
        )
    people = read.tried("people", lambda t: new_values.whole_number(t, 0, 10_000), None)
    installed = read.tried("installed", lambda t: new_values.whole_number(t, 1900, as_of.year), None)
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
        store_note=store_note,
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
    north = read.tried("latitude", lambda t: new_values.degrees(t, 90.0, "47.2"), None)
    east = read.tried("longitude", lambda t: new_values.degrees(t, 180.0, "11.4"), None)
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
    if kind not in (*burned_in_bulk(), *new_values.BEFORE):
        known = Listed(tuple(Own(name) for name in (*burned_in_bulk(), *new_values.BEFORE)), ", ")
        read.fault(
            "burns",
            message(
                "house.unknown_fuel",
                '"{written}" is not known; choose one of {known}',
                written=new_values.short(kind),
                known=known,
            ),
        )
    return fuels.fuel(kind) if kind in burned_in_bulk() else fuels.usual()


def _use(read: _Reading, fuel: fuels.Fuel) -> tuple[str, str, float]:
    """Return key and text of the yearly use, and about how many kilograms of the fuel that is."""
    nothing = ("", "", 0.0)
    example, before = new_values.BEFORE.get(read.entries.burns, (fuel.year_example, None))
    read.needed(
        "use",
        message(
            "house.no_use", 'without this there is no answer; write e.g. "{example}"', example=Own(example)
        ),
    )
    if before is None:
        return read.tried("use", lambda t: new_values.amount_a_year(t, fuel), nothing)
    return read.tried("use", lambda t: before(t, fuel.usual_kwh_per_kg), nothing)


def _store(read: _Reading, fuel: fuels.Fuel) -> tuple[str, Message | None, float]:
    """Return the capacity as text, how it was understood, and the kilograms."""
    read.needed(
        "store",
        message(
            "house.no_store",
            'without this nobody can say what fits; write e.g. "6 t", or its room: "13 m3"',
        ),
    )
    nothing: tuple[str, Message | None, float] = ("", None, 0.0)
    return read.tried("store", lambda t: new_values.capacity(t, fuel), nothing)


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
    return read.tried("level", lambda t: new_values.level(t, fuel), ""), day, delivered


def _more(read: _Reading, field: str, fuel: fuels.Fuel) -> str:
    """Return an optional entry as the folder's file takes it, checked on its own."""
    readers: dict[str, Callable[[str], str]] = {
        "lead_time": new_values.lead_time,
        "smallest_drop": lambda t: new_values.weight(t, fuel, least=1.0),
        "price": lambda t: new_values.price(t, fuel),
        "indoor": lambda t: new_values.kept_as_written(t, "temperature", least=5.0, most=30.0),
        "rated": lambda t: new_values.kept_as_written(t, "power", least=1.0, most=2000.0),
        "tested": lambda t: new_values.kept_as_written(t, "efficiency", least=0.3, most=1.09),
        "risk": new_values.risk,
    }
    return read.tried(field, readers[field], "")


