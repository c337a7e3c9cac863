"""Every text of the page on which a house is set up."""

from __future__ import annotations

from pathlib import Path

from fuelplan.messages import Message, Own, Said, as_message, message

TITLE = message("new_house.title", "Set up a house")
QUESTION = message("new_house.question", "Your house in two minutes")
LEAD = message(
    "new_house.lead",
    "Four things are needed: what you burn in a year, how much the store holds, what is in it, and "
    "where the house is. Write every amount with its unit, in any unit you use. Nothing is kept until "
    "you say so.",
)
LINK = message("new_house.link", "Set up your own house →")
FRONT_LEAD = message("new_house.front_lead", "No folder yet? A short form gives a first answer at once.")

HOUSE = message("new_house.house", "The house")
BURNS = message("new_house.burns", "What it burns")
STORE = message("new_house.store", "The store")
WEATHER = message("new_house.weather", "Which weather")
WEATHER_MORE = message("new_house.weather_more", "For monthly means or a file of your own")
MORE = message("new_house.more", "More, all of which may be left out")

NAME = message("new_house.name", "What you call the house")
NAME_WHY = message("new_house.name_why", "Heads every answer. Left out: My house.")
COUNTRY = message("new_house.country", "Country")
COUNTRY_WHY = message(
    "new_house.country_why",
    "Its bank holidays count in the supplier's days, and dates and units follow it. Left out: no holidays.",
)
COUNTRY_NONE = message("new_house.country_none", "Choose a country")
TOWN = message("new_house.town", "Town")
TOWN_WHY = message(
    "new_house.town_why",
    "Where weather stations are looked for. Found in a list on this machine; a village: the next "
    "larger town. Left out: no stations.",
)

USE = message("new_house.use", "Burned in a usual year")
USE_WHY = message(
    "new_house.use_why",
    "All your heat comes from this figure. Pellets: 5 t, 330 bags, 11000 lb. Oil: 2400 litres, 600 US "
    "gal. Gas: 26000 kWh, 2600 m3, 900 therms. It cannot be left out.",
)
KIND = message("new_house.kind", "of")
BEFORE = {
    "oil": message("new_house.before_oil", "heating oil, before"),
    "gas": message("new_house.before_gas", "natural gas, before"),
}
KIND_WHY = message("new_house.kind_why", "Oil or gas of your old boiler is turned into pellets.")

HOLDS = message("new_house.holds", "How much the store holds")
HOLDS_WHY = message(
    "new_house.holds_why",
    "Full, as a weight: 6 t, 400 bags, 13000 lb. Or the room inside: 13 m3, 450 cu ft; two thirds of "
    "a room hold pellets. It decides how much fits. It cannot be left out.",
)
LEVEL = message("new_house.level", "In it today")
LEVEL_WHY = message(
    "new_house.level_why",
    "A weight or a share: 2.4 t, 40 %, 160 bags, empty, full. By eye is good enough. Left out: the "
    "last delivery.",
)
LAST = message("new_house.last", "Or: the last delivery")
DELIVERED_ON = message("new_house.delivered_on", "Last delivery on")
DELIVERED_ON_WHY = message(
    "new_house.delivered_on_why",
    "What was burned since then is worked out from the weather. Left out: today's level is needed.",
)
DELIVERED = message("new_house.delivered", "How much came")
DELIVERED_WHY = message(
    "new_house.delivered_why", "From the weigh note: 3480 kg, 3.5 t. Left out: today's level is needed."
)
FULL = message("new_house.full", "It was full to the top then")
FULL_WHY = message(
    "new_house.full_why",
    "Then the level of that day is known without measuring. Left out: what was there before stays open.",
)

SOURCE = message("new_house.source", "Past winters come from")
SOURCES = {
    "stations": message("new_house.sources_stations", "weather stations near the town"),
    "monthly": message("new_house.sources_monthly", "twelve monthly means"),
    "file": message("new_house.sources_file", "a file of mine"),
    "invented": message("new_house.sources_invented", "nowhere: invented weather, only to try it"),
}
SOURCE_NOTES = {
    "stations": message(
        "new_house.source_notes_stations",
        "Real records. The only choice for which another machine is asked: open station data, over the "
        "network.",
    ),
    "monthly": message(
        "new_house.source_notes_monthly",
        "Fill in the twelve numbers below. Good dates, but no real winters behind the range.",
    ),
    "file": message(
        "new_house.source_notes_file", "Daily or hourly temperatures as CSV or EPW, put in below."
    ),
    "invented": message(
        "new_house.source_notes_invented",
        "Made-up weather of a cold valley, no network needed. Every answer says so: its dates are not yours.",
    ),
}
MEANS = message("new_house.means", "Monthly mean temperatures, January to December")
MEANS_WHY = message(
    "new_house.means_why",
    "Twelve numbers in °C, parted by spaces: -2 0 4 9 13 17 19 18 14 9 3 -1. Only for “twelve monthly "
    "means”.",
)
FILE = message("new_house.file", "Weather file")
FILE_WHY = message(
    "new_house.file_why",
    "CSV with the columns date and mean_c (°C), one day a line, at least some years; or an EPW file. "
    "Only for “a file of mine”.",
)

RESERVE = message("new_house.reserve", "Reserve to keep")
RESERVE_WHY = message(
    "new_house.reserve_why",
    "The level that must not be undercut before the tanker comes: 300 kg, 5 bags. Left out: ten days "
    "of midwinter.",
)
LEAD_TIME = message("new_house.lead_time", "Supplier's time")
LEAD_TIME_WHY = message(
    "new_house.lead_time_why", "Working days from order to delivery, as a range: 4 to 12. Left out: 5 to 12."
)
DROP = message("new_house.drop", "Smallest delivery")
DROP_WHY = message("new_house.drop_why", "The least a tanker comes for: 2 t, 4000 lb. Left out: 2 t.")
PRICE = message("new_house.price", "Price today")
PRICE_WHY = message(
    "new_house.price_why",
    "All in, of a 5 t drop: 310 EUR/t, 280 USD/short_ton. Left out: nothing is said about money.",
)
INDOOR = message("new_house.indoor", "Room temperature")
INDOOR_WHY = message("new_house.indoor_why", "Mean over rooms and nights: 20 degC, 68 degF. Left out: 20 °C.")
PEOPLE = message("new_house.people", "People")
PEOPLE_WHY = message(
    "new_house.people_why", "Who use hot water from this boiler: a whole number. Left out: 3."
)
RATED = message("new_house.rated", "Boiler's heat output")
RATED_WHY = message("new_house.rated_why", "From its plate: 15 kW, 50 kBTU/h. Left out: 15 kW.")
INSTALLED = message("new_house.installed", "Boiler's year")
INSTALLED_WHY = message(
    "new_house.installed_why",
    "Year of installation, e.g. 2014; without a test figure it sets the efficiency. Left out: about 2015.",
)
TESTED = message("new_house.tested", "Boiler's test figure")
TESTED_WHY = message(
    "new_house.tested_why",
    "Efficiency at full load from the maker's papers, on the net calorific value: 93 %. Left out: a "
    "figure for its year, which is the least that a boiler up to 2019 has to reach.",
)
RISK = message("new_house.risk", "Risk you accept per order")
RISK_WHY = message(
    "new_house.risk_why",
    "Chance of reaching the reserve before the tanker comes: 1 in 50, 2 %. Left out: 1 in 50.",
)
LATITUDE = message("new_house.latitude", "Latitude")
LATITUDE_WHY = message(
    "new_house.latitude_why",
    "Degrees north, e.g. 47.2, for stations, in place of a town. Left out: that of the town.",
)
LONGITUDE = message("new_house.longitude", "Longitude")
LONGITUDE_WHY = message("new_house.longitude_why", "Degrees east, e.g. 11.4. Left out: that of the town.")

SHOW = message("new_house.show", "Show me the answer")


def mended(count: int) -> Message:
    """Return that entries are marked."""
    return message(
        "new_house.mended",
        "Some entries need a second look: {count} marked below. Nothing you wrote is lost.",
        count=count,
    )


CHANGE = message("new_house.change", "Change what you said")
KEEP = message("new_house.keep", "Keep this house")


def keep_how(folder: Path) -> Message:
    """Return what keeping a house does."""
    return message(
        "new_house.keep_how",
        "Makes the folder {folder} with your entries, to open again and to add readings to. Nothing is "
        "kept otherwise.",
        folder=Own(str(folder)),
    )


def kept(folder: Path) -> Message:
    """Return where a house was kept."""
    return message(
        "new_house.kept",
        "Kept in {folder}. It is offered under “House and day” from now on.",
        folder=Own(str(folder)),
    )


WHOLE = message("new_house.whole", "See the whole answer →")
OTHER_TITLE = message("new_house.other_title", "Which weather instead?")


def other_lead(why: Said) -> Message:
    """Return why weather stations cannot be asked."""
    return message("new_house.other_lead", "Weather stations cannot be asked: {why}", why=as_message(why))


OTHER_TOWN = message(
    "new_house.other_town",
    "No town is written below, so no weather stations can be asked. Write it, or choose here.",
)
OTHERS = {
    "monthly": message("new_house.others_monthly", "Twelve monthly means"),
    "file": message("new_house.others_file", "A file of mine"),
    "invented": message("new_house.others_invented", "Invented weather, only to try it"),
}
SOURCE_OF_TOWNS = message("new_house.source_of_towns", "Towns: GeoNames (geonames.org), CC BY 4.0.")


def draft(name: str) -> Message:
    """Return what the chooser shows for a draft."""
    return message("new_house.draft", "{name} (not kept yet)", name=Own(name))
