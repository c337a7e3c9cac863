"""The files of a new house: its settings with a word on each, and the first line of its readings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fuelplan.heat import fuels
from fuelplan.records.folder import text_of_rows, toml_value
from fuelplan.records.site import DELIVERY_COLUMNS, READING_COLUMNS

if TYPE_CHECKING:
    from fuelplan.answers.house.new_entries import ReadHouse

HEAD = """\
# Made by fuelplan from a short form on {day}. Every line may be changed here or on the page.
# What else can be said, and what is taken where nothing is said: fuelplan/docs/site_folder.md
"""
WEATHER_NOTES = {
    "invented": "Weather of an invented valley, to try the answer with. Better: a station or a file.",
    "monthly": "Twelve monthly means in degC, January first.",
    "file": "A file of one's own.",
    "stations": "Open station data for the place, fetched over the network.",
}
USE_NOTES = {
    "heating_oil_a_year": "Heating oil that the old boiler burned in a usual year.",
    "gas_a_year": "Gas that the old boiler burned in a usual year, as a bill counts it.",
}


def site_toml_of(house: ReadHouse, weather_file: str) -> str:
    """Return the text of `site.toml`; what was left out stays out, so that defaults may improve."""
    lines = [HEAD.format(day=house.day.isoformat()), "format = 1", f"name = {toml_value(house.name)}"]
    lines += _table("place", _place(house))
    weather: list[tuple[str, str]] = {
        "invented": [("source", '"file"'), ("file", toml_value(weather_file)), ("invented", "true")],
        "file": [("source", '"file"'), ("file", toml_value(weather_file))],
        "stations": [("source", '"meteostat"')],
        "monthly": [("source", '"monthly"'), ("monthly_means", str(list(house.monthly_means_c)))],
    }[house.weather]
    if house.weather == "invented":
        weather.append(("attribution", '"Invented weather of the invented valley of Quellmark"'))
    lines += _table("weather", weather, WEATHER_NOTES[house.weather])
    building = [(house.use_key, toml_value(house.use))]
    building += [("indoor", toml_value(house.more["indoor"]))] if "indoor" in house.more else []
    building += [("people", str(house.people))] if house.people is not None else []
    lines += _table(
        "building",
        building,
        USE_NOTES.get(house.use_key, f"{house.fuel.name.capitalize()} burned in a usual year."),
    )
    lines += _table("boiler", _boiler(house))
    reserve_note = "" if house.own_reserve else "The reserve is ten days of midwinter, from the yearly use."
    store = [("capacity", toml_value(house.store)), ("reserve", toml_value(house.reserve))]
    lines += _table("store", store, " ".join(filter(None, [house.store_said, reserve_note])))
    supply = [
        (k, toml_value(house.more[k])) for k in ("lead_time", "smallest_drop", "price") if k in house.more
    ]
    lines += _table("supply", supply)
    lines += _table("risk", [("per_order", toml_value(house.more["risk"]))] if "risk" in house.more else [])
    return "\n".join(lines) + "\n"


def _place(house: ReadHouse) -> list[tuple[str, str]]:
    found = [("country", toml_value(house.country))] if house.country else []
    found.append(("time_zone", toml_value(house.time_zone)))
    if house.latitude is not None and house.longitude is not None:
        found += [("latitude", repr(house.latitude)), ("longitude", repr(house.longitude))]
    return found


def _boiler(house: ReadHouse) -> list[tuple[str, str]]:
    keys = {"rated": "rated", "tested": "full_load_efficiency"}
    kind = [] if house.fuel is fuels.usual() else [("kind", toml_value(house.fuel.name))]
    found = kind + [
        (key, toml_value(house.more[field])) for field, key in keys.items() if field in house.more
    ]
    return found + ([("installed", str(house.installed))] if house.installed is not None else [])


def _table(name: str, pairs: list[tuple[str, str]], note: str = "") -> list[str]:
    if not pairs:
        return []
    return [
        "",
        f"[{name}]",
        *([f"# {' '.join(note.split())}"] if note else []),
        *(f"{k} = {v}" for k, v in pairs),
    ]


def readings_of(house: ReadHouse) -> tuple[str, str]:
    """Return the texts of `readings.csv` and `deliveries.csv`, the header line at least."""
    readings: list[dict[str, str]] = []
    deliveries: list[dict[str, str]] = []
    if house.reading:
        how = "by eye" if "%" in house.reading else ""
        cells = {"date": house.day.isoformat(), "reading": house.reading, "how": how, "fuel": house.fuel.name}
        readings = [cells]
    if house.delivered_on is not None:
        cells = {
            "fuel": house.fuel.name,
            "delivered_on": house.delivered_on.isoformat(),
            "delivered": house.delivered,
            "weighed": "yes",
            "filled_full": "yes" if house.filled_full else "no",
            "outcome": "delivered",
        }
        deliveries = [cells]
    return text_of_rows(READING_COLUMNS, readings), text_of_rows(DELIVERY_COLUMNS, deliveries)
