"""Every text of the page on one's own house: settings, what was changed last, taking it along."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from fuelplan.messages import Day, Message, Own, Value, message
from fuelplan.pages.texts import new_house as new

TITLE = message("my_house.title", "My house")


def heading(name: str) -> Message:
    """Return the heading of a house's page."""
    return message("my_house.heading", "Settings: {name}", name=Own(name))


def lead(folder: Path) -> Message:
    """Return where the settings are."""
    return message(
        "my_house.lead",
        "Every setting stands in the folder {folder}, in files that a text editor or a spreadsheet opens, "
        "too.",
        folder=Own(str(folder)),
    )


DEMO = message(
    "my_house.demo", "The demo houses stay as they are. A copy of one is yours to try everything on."
)
DEMO_COPY = message("my_house.demo_copy", "Make a copy to try things on")

UNDO_TITLE = message("my_house.undo_title", "The last change")


def undo_what(when: datetime, what: Message) -> Message:
    """Return when and what the last change was."""
    return message("my_house.undo_what", "{when}: {what}.", when=_moment(when), what=what)


UNDO = message("my_house.undo", "Undo")


def undone(what: Message) -> Message:
    """Return what was undone."""
    return message("my_house.undone", "Undone: {what}.", what=what)


UNDO_NONE = message("my_house.undo_none", "Nothing has been changed from here yet.")

SETTINGS_TITLE = message("my_house.settings_title", "Settings")
SETTINGS_LEAD = message(
    "my_house.settings_lead",
    "Change what you know better; each line says what is taken without it. Comments and everything "
    "else in site.toml stay as they are.",
)
SAVE = message("my_house.save", "Save the settings")


def saved(count: int) -> Message:
    """Return how many settings were saved."""
    return message("my_house.saved", "{count} changed in site.toml.", count=count)


SAVED_NONE = message("my_house.saved_none", "Nothing was different.")


def mended(count: int) -> Message:
    """Return that entries are marked and nothing was saved."""
    return message("my_house.mended", "Nothing was saved: {count} marked below.", count=count)


LABELS: dict[str, tuple[Message, Message]] = {
    "name": (new.NAME, message("my_house.name_why", "Heads every answer. It cannot be left out.")),
    "place.country": (
        message("my_house.place_country_label", "Country code"),
        message(
            "my_house.place_country_why",
            "Two letters, e.g. AT: its bank holidays count in the supplier's days. Left out: no holidays.",
        ),
    ),
    "place.latitude": (
        new.LATITUDE,
        message("my_house.place_latitude_why", "Degrees north, e.g. 47.2, for station weather."),
    ),
    "place.longitude": (
        new.LONGITUDE,
        message("my_house.place_longitude_why", "Degrees east, e.g. 11.4, for station weather."),
    ),
    "building.pellets_a_year": (
        message("my_house.building_pellets_a_year_label", "Pellets burned in a usual year"),
        message(
            "my_house.building_pellets_a_year_why",
            "All your heat starts from this figure, then your readings correct it: 5 t, 11000 lb.",
        ),
    ),
    "building.heating_oil_a_year": (
        message("my_house.building_heating_oil_a_year_label", "Heating oil in a usual year"),
        message("my_house.building_heating_oil_a_year_why", "Of the boiler before: 2400 litre, 600 US gal."),
    ),
    "building.gas_a_year": (
        message("my_house.building_gas_a_year_label", "Gas in a usual year"),
        message(
            "my_house.building_gas_a_year_why",
            "Of the boiler before, as the bill says: 26000 kWh, 900 therms.",
        ),
    ),
    "building.heat_a_year": (
        message("my_house.building_heat_a_year_label", "Heat in a usual year"),
        message("my_house.building_heat_a_year_why", "Useful heat, hot water included: 20000 kWh."),
    ),
    "building.design_loss": (
        message("my_house.building_design_loss_label", "Heat loss on the coldest day"),
        message("my_house.building_design_loss_why", "By calculation: 9 kW, 30 kBTU/h."),
    ),
    "building.design_outdoor": (
        message("my_house.building_design_outdoor_label", "… at an outdoor temperature of"),
        message("my_house.building_design_outdoor_why", "-12 degC, 10 degF."),
    ),
    "building.floor_area": (
        message("my_house.building_floor_area_label", "Heated floor area"),
        message("my_house.building_floor_area_why", "150 m2, 1600 sq ft; a rough start only."),
    ),
    "building.indoor": (new.INDOOR, new.INDOOR_WHY),
    "building.heating_limit": (
        message("my_house.building_heating_limit_label", "No heating from an outdoor temperature of"),
        message(
            "my_house.building_heating_limit_why",
            "Mean of a day: 15 degC, 59 degF. Left out: 15 °C, or no limit where gains are said.",
        ),
    ),
    "building.people": (new.PEOPLE, new.PEOPLE_WHY),
    "boiler.rated": (new.RATED, new.RATED_WHY),
    "boiler.installed": (new.INSTALLED, new.INSTALLED_WHY),
    "boiler.full_load_efficiency": (new.TESTED, new.TESTED_WHY),
    "boiler.part_load_efficiency": (
        message("my_house.boiler_part_load_efficiency_label", "Boiler's test figure at part load"),
        message(
            "my_house.boiler_part_load_efficiency_why",
            "From the maker's papers: 91 %. Left out: that at full load.",
        ),
    ),
    "store.capacity": (
        new.HOLDS,
        message("my_house.store_capacity_why", "Full, as a weight: 6 t, 13000 lb. It decides how much fits."),
    ),
    "store.length": (
        message("my_house.store_length_label", "Length of the store inside"),
        message("my_house.store_length_why", "Along the conveyor: 2.9 m, 9.5 ft."),
    ),
    "store.width": (
        message("my_house.store_width_label", "Width of the store inside"),
        message("my_house.store_width_why", "Across the conveyor: 2 m, 6.5 ft."),
    ),
    "store.height": (
        message("my_house.store_height_label", "Height of the store inside"),
        message("my_house.store_height_why", "Floor to ceiling: 2.4 m, 8 ft."),
    ),
    "access.inlet_below_ceiling": (
        message("my_house.access_inlet_below_ceiling_label", "Inlet pipe below the ceiling"),
        message(
            "my_house.access_inlet_below_ceiling_why",
            "Its middle: 25 cm, 10 in. A full store ends no higher. Left out: 30 cm are assumed.",
        ),
    ),
    "store.reserve": (
        new.RESERVE,
        message(
            "my_house.store_reserve_why",
            "The level that must not be undercut before the tanker comes: 300 kg, 600 lb. It cannot be left "
            "out.",
        ),
    ),
    "supply.lead_time": (new.LEAD_TIME, new.LEAD_TIME_WHY),
    "supply.smallest_drop": (new.DROP, new.DROP_WHY),
    "supply.price": (
        new.PRICE,
        message(
            "my_house.supply_price_why",
            "All in, of a 5 t drop: 310 EUR/t. Offers in site.toml come first. Left out: only those count.",
        ),
    ),
    "risk.per_order": (new.RISK, new.RISK_WHY),
    "risk.look_again_days": (
        message("my_house.risk_look_again_days_label", "You look again after"),
        message("my_house.risk_look_again_days_why", "Days: a whole number. Left out: 7."),
    ),
}

TEXT_TITLE = message("my_house.text_title", "All of site.toml as text")
TEXT_LEAD = message(
    "my_house.text_lead",
    "Everything the program knows of the house can be said here. It is checked before it is saved.",
)
TEXT_LABEL = message("my_house.text_label", "site.toml")
TEXT_SAVE = message("my_house.text_save", "Save the text")
TEXT_SAVED = message("my_house.text_saved", "site.toml was saved.")
TEXT_WRONG = message("my_house.text_wrong", "Not saved. Please put this right first:")

SHEET_LINK = message("my_house.sheet_link", "Bring readings or deliveries in from a spreadsheet →")
SHEET_TITLE = message("my_house.sheet_title", "A spreadsheet")

TAKE_TITLE = message("my_house.take_title", "Take it along")
TAKE = message("my_house.take", "The whole folder as a zip file")
TAKE_HOW = message(
    "my_house.take_how", "Settings, readings, deliveries and weather; it opens on any machine with fuelplan."
)
OPEN_TITLE = message("my_house.open_title", "Open one that was taken along")
OPEN_FILE = message("my_house.open_file", "Zip file of a house")
OPEN_WHY = message(
    "my_house.open_why", "Up to 5 MB. It is opened as a draft; nothing of yours is written over."
)
OPEN = message("my_house.open", "Open it")
OPEN_NONE = message("my_house.open_none", "Choose a zip file first.")


def opened(name: str) -> Message:
    """Return which house was opened."""
    return message("my_house.opened", "{name} is open. Keep it, or look at its answer.", name=Own(name))


KEEP = new.KEEP


def draft(how: Value) -> Message:
    """Return that a house is not kept yet, and how to keep it."""
    return message(
        "my_house.draft", "This house is not kept yet: it goes when the program ends. {how}", how=how
    )


def _moment(when: datetime) -> Message:
    """Return a day and a time of it."""
    return message(
        "my_house.moment", "{day}, {clock}", day=Day(when.date(), year=True), clock=Own(f"{when:%H:%M}")
    )
