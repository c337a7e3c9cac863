"""The files of a new house: its settings with a word on each, and the first line of its readings."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from fuelplan.heat import fuels
from fuelplan.messages import Day, Message, Own, message
from fuelplan.records.folder import text_of_rows, toml_value
from fuelplan.records.site import HOUSE

if TYPE_CHECKING:
    from fuelplan.answers.house.new_entries import ReadHouse

# TRANSLATORS: all messages "site_file…" are comments in a settings file that is written for its reader.
MORE = message(
    "site_file.more", "What else can be set, and what counts where nothing is set: {page}",
    page=Own("fuelplan/docs/site_folder.md"),
)  # fmt: skip
WEATHER_NOTES = {
    "invented": message(
        "site_file.invented_weather",
        "Weather of an invented valley, to try the answer with. A station or a file is better.",
    ),
    "monthly": message("site_file.monthly", "Twelve monthly means in degC, January first."),
    "file": message("site_file.weather_file", "A file of your own."),
    "stations": message("site_file.stations", "Open station data for the place, fetched over the network."),
}
USE_NOTES = {
    "heating_oil_a_year": message("site_file.oil", "Heating oil that the old boiler burned in a usual year."),
    "gas_a_year": message(
        "site_file.gas", "Gas that the old boiler burned in a usual year, as a bill counts it."
    ),
}
RESERVE_NOTE = message("site_file.reserve", "The reserve is ten days of midwinter, from the yearly use.")


def site_toml_of(house: ReadHouse, weather_file: str, written: Callable[[Message], str]) -> str:
    """Return the text of `site.toml`, with a comment as `written` on each table; what was left out stays out,
    so that defaults may improve.
    """

    def table(name: str, pairs: list[tuple[str, str]], *notes: Message | None) -> list[str]:
        said = [written(note) for note in notes if note is not None]
        body = [f"{key} = {value}" for key, value in pairs]
        return ["", f"[{name}]", *_comment(*said), *body] if pairs else []

    lines = [
        *_comment(written(_head(house))),
        *_comment(written(MORE)),
        "",
        "format = 1",
        f"name = {toml_value(house.name)}",
    ]
    lines += table("place", _place(house))
    weather: list[tuple[str, str]] = {
        "invented": [("source", '"file"'), ("file", toml_value(weather_file)), ("invented", "true")],
        "file": [("source", '"file"'), ("file", toml_value(weather_file))],
        "stations": [("source", '"meteostat"')],
        "monthly": [("source", '"monthly"'), ("monthly_means", str(list(house.monthly_means_c)))],
    }[house.weather]
    if house.weather == "invented":
        weather.append(("attribution", '"Invented weather of the invented valley of Quellmark"'))
    lines += table("weather", weather, WEATHER_NOTES[house.weather])
    building = [(house.use_key, toml_value(house.use))]
    building += [("indoor", toml_value(house.more["indoor"]))] if "indoor" in house.more else []
    building += [("people", str(house.people))] if house.people is not None else []
    lines += table("building", building, USE_NOTES.get(house.use_key) or _burned(house.fuel))
    lines += table("boiler", _boiler(house))
    reserve_note = None if house.own_reserve else RESERVE_NOTE
    store = [("capacity", toml_value(house.store)), ("reserve", toml_value(house.reserve))]
    lines += table("store", store, house.store_note, reserve_note)
    supply = [
        (k, toml_value(house.more[k])) for k in ("lead_time", "smallest_drop", "price") if k in house.more
    ]
    lines += table("supply", supply)
    lines += table("risk", [("per_order", toml_value(house.more["risk"]))] if "risk" in house.more else [])
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


def _head(house: ReadHouse) -> Message:
    return message(
        "site_file.head",
        "Made by fuelplan from a short form on {day}. Every line may be changed here or on the page.",
        day=Day(house.day, year=True),
    )


def _burned(fuel: fuels.Fuel) -> Message:
    return message("site_file.burned", "Burned in a usual year: {fuel}.", fuel=fuel.word)


def _comment(*texts: str) -> list[str]:
    return [f"# {' '.join(' '.join(texts).split())}"] if texts else []


def readings_of(house: ReadHouse) -> tuple[str, str]:
    """Return the texts of `readings.csv` and `deliveries.csv`, the header line at least."""
    tables = HOUSE.tables
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
    return text_of_rows(tables["readings"], readings), text_of_rows(tables["deliveries"], deliveries)
