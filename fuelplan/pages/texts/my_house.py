"""Every text of the page on one's own house: settings, what was changed last, taking it along."""

from __future__ import annotations

from fuelplan.pages.texts import new_house as new

TITLE = "My house"
HEADING = "What {name} is taken to be"
LEAD = "Every setting stands in the folder {folder}, in files that a text editor or a spreadsheet opens, too."
DEMO = "The demo houses stay as they are. A copy of one is yours to try everything on."
DEMO_COPY = "Make a copy to try things on"

UNDO_TITLE = "The last change"
UNDO_WHAT = "{when}: {what}."
UNDO = "Undo"
UNDONE = "Undone: {what}."
UNDO_NONE = "Nothing has been changed from here yet."

SETTINGS_TITLE = "Settings"
SETTINGS_LEAD = (
    "Change what you know better; each line says what is taken without it. Comments and everything else in "
    "site.toml stay as they are."
)
SAVE = "Save the settings"
SAVED = "{count} changed in site.toml."
SAVED_NONE = "Nothing was different."
MENDED = "Nothing was saved: {count} marked below."

LABELS: dict[str, tuple[str, str]] = {
    "name": (new.NAME, "Heads every answer. It cannot be left out."),
    "place.country": (
        "Country code",
        "Two letters, e.g. AT: its bank holidays count in the supplier's days. Left out: no holidays.",
    ),
    "place.latitude": (new.LATITUDE, "Degrees north, e.g. 47.2, for station weather."),
    "place.longitude": (new.LONGITUDE, "Degrees east, e.g. 11.4, for station weather."),
    "building.pellets_a_year": (
        "Pellets burned in a usual year",
        "All your heat starts from this figure, then your readings correct it: 5 t, 11000 lb.",
    ),
    "building.heating_oil_a_year": (
        "Heating oil in a usual year",
        "Of the boiler before: 2400 litre, 600 US gal.",
    ),
    "building.gas_a_year": (
        "Gas in a usual year",
        "Of the boiler before, as the bill says: 26000 kWh, 900 therms.",
    ),
    "building.heat_a_year": ("Heat in a usual year", "Useful heat, hot water included: 20000 kWh."),
    "building.design_loss": ("Heat loss on the coldest day", "By calculation: 9 kW, 30 kBTU/h."),
    "building.design_outdoor": ("… at an outdoor temperature of", "-12 degC, 10 degF."),
    "building.floor_area": ("Heated floor area", "150 m2, 1600 sq ft; a rough start only."),
    "building.indoor": (new.INDOOR, new.INDOOR_WHY),
    "building.heating_limit": (
        "No heating from an outdoor temperature of",
        "Mean of a day: 15 degC, 59 degF. Left out: 15 °C, or no limit where gains are said.",
    ),
    "building.people": (new.PEOPLE, new.PEOPLE_WHY),
    "boiler.rated": (new.RATED, new.RATED_WHY),
    "boiler.installed": (new.INSTALLED, new.INSTALLED_WHY),
    "boiler.full_load_efficiency": (new.TESTED, new.TESTED_WHY),
    "boiler.part_load_efficiency": (
        "Boiler's test figure at part load",
        "From the maker's papers: 91 %. Left out: that at full load.",
    ),
    "store.capacity": (new.HOLDS, "Full, as a weight: 6 t, 13000 lb. It decides how much fits."),
    "store.length": ("Length of the store inside", "Along the conveyor: 2.9 m, 9.5 ft."),
    "store.width": ("Width of the store inside", "Across the conveyor: 2 m, 6.5 ft."),
    "store.height": ("Height of the store inside", "Floor to ceiling: 2.4 m, 8 ft."),
    "access.inlet_below_ceiling": (
        "Inlet pipe below the ceiling",
        "Its middle: 25 cm, 10 in. A full store ends no higher. Left out: 30 cm are assumed.",
    ),
    "store.reserve": (
        new.RESERVE,
        "The level that must not be undercut before the tanker comes: 300 kg, 600 lb. It cannot be left out.",
    ),
    "supply.lead_time": (new.LEAD_TIME, new.LEAD_TIME_WHY),
    "supply.smallest_drop": (new.DROP, new.DROP_WHY),
    "supply.price": (
        new.PRICE,
        "All in, of a 5 t drop: 310 EUR/t. Offers in site.toml come first. Left out: only those count.",
    ),
    "risk.per_order": (new.RISK, new.RISK_WHY),
    "risk.look_again_days": ("You look again after", "Days: a whole number. Left out: 7."),
}

TEXT_TITLE = "All of site.toml as text"
TEXT_LEAD = "Everything the program knows of the house can be said here. It is checked before it is saved."
TEXT_LABEL = "site.toml"
TEXT_SAVE = "Save the text"
TEXT_SAVED = "site.toml was saved."
TEXT_WRONG = "Not saved. Please put this right first:"

SHEET_LINK = "Bring readings or deliveries in from a spreadsheet →"
SHEET_TITLE = "A spreadsheet"

TAKE_TITLE = "Take it along"
TAKE = "The whole folder as a zip file"
TAKE_HOW = "Settings, readings, deliveries and weather; it opens on any machine with fuelplan."
OPEN_TITLE = "Open one that was taken along"
OPEN_FILE = "Zip file of a house"
OPEN_WHY = "Up to 5 MB. It is opened as a draft; nothing of yours is written over."
OPEN = "Open it"
OPEN_NONE = "Choose a zip file first."
OPENED = "{name} is open. Keep it, or look at its answer."
KEEP = new.KEEP
DRAFT = "This house is not kept yet: it goes when the program ends. {how}"
