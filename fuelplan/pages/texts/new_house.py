"""Every text of the page on which a house is set up."""

from __future__ import annotations

TITLE = "Set up a house"
QUESTION = "Your house in two minutes"
LEAD = (
    "Four things are needed: what you burn in a year, how much the store holds, what is in it, and where the "
    "house is. Write every amount with its unit, in any unit you use. Nothing is kept until you say so."
)
LINK = "Set up your own house →"
FRONT_LEAD = "No folder yet? A short form gives a first answer at once."

HOUSE = "The house"
BURNS = "What it burns"
STORE = "The store"
STOCK = "What is in it"
WEATHER = "Which weather"
WEATHER_MORE = "For monthly means or a file of your own"
MORE = "More, all of which may be left out"
NEEDED = "needed"

NAME = "What you call the house"
NAME_WHY = "Heads every answer. Left out: My house."
COUNTRY = "Country"
COUNTRY_WHY = (
    "Its bank holidays count in the supplier's days, and dates and units follow it. Left out: no holidays."
)
COUNTRY_NONE = "Choose a country"
TOWN = "Town"
TOWN_WHY = (
    "Where weather stations are looked for. Found in a list on this machine; a village: the next larger "
    "town. "
    "Left out: no stations."
)

USE = "Burned in a usual year"
USE_WHY = (
    "All your heat comes from this figure. Pellets: 5 t, 330 bags, 11000 lb. Oil: 2400 litres, 600 US gal. "
    "Gas: 26000 kWh, 2600 m3, 900 therms. It cannot be left out."
)
KIND = "of"
BEFORE = {"oil": "heating oil, before", "gas": "natural gas, before"}
KIND_WHY = "Oil or gas of your old boiler is turned into pellets."

HOLDS = "How much the store holds"
HOLDS_WHY = (
    "Full, as a weight: 6 t, 400 bags, 13000 lb. Or the room inside: 13 m3, 450 cu ft; two thirds of a "
    "room hold "
    "pellets. It decides how much fits. It cannot be left out."
)
LEVEL = "In it today"
LEVEL_WHY = (
    "A weight or a share: 2.4 t, 40 %, 160 bags, empty, full. By eye is good enough. Left out: the last "
    "delivery."
)
LAST = "Or: the last delivery"
DELIVERED_ON = "Last delivery on"
DELIVERED_ON_WHY = (
    "What was burned since then is worked out from the weather. Left out: today's level is needed."
)
DELIVERED = "How much came"
DELIVERED_WHY = "From the ticket: 3480 kg, 3.5 t. Left out: today's level is needed."
FULL = "It was full to the top then"
FULL_WHY = (
    "Then the level of that day is known without measuring. Left out: what was there before stays open."
)

SOURCE = "Past winters come from"
SOURCES = {
    "stations": "weather stations near the town",
    "monthly": "twelve monthly means",
    "file": "a file of mine",
    "invented": "nowhere: invented weather, only to try it",
}
SOURCE_NOTES = {
    "stations": "Real records. The only choice for which another machine is asked: open station data, over "
    "the network.",
    "monthly": "Fill in the twelve numbers below. Good dates, but no real winters behind the range.",
    "file": "Daily or hourly temperatures as CSV or EPW, put in below.",
    "invented": "Made-up weather of a cold valley, no network needed. Every answer says so: its dates "
    "are not yours.",
}
MEANS = "Monthly mean temperatures, January to December"
MEANS_WHY = (
    "Twelve numbers in °C, parted by spaces: -2 0 4 9 13 17 19 18 14 9 3 -1. Only for “twelve monthly means”."
)
FILE = "Weather file"
FILE_WHY = (
    "CSV with the columns date and mean_c (°C), one day a line, at least some years; or an EPW file. Only "
    "for “a file "
    "of mine”."
)

RESERVE = "Reserve to keep"
RESERVE_WHY = (
    "The level that must not be undercut before the tanker comes: 300 kg, 5 bags. Left out: "
    "ten days of midwinter."
)
LEAD_TIME = "Supplier's time"
LEAD_TIME_WHY = "Working days from order to delivery, as a range: 4 to 12. Left out: 5 to 12."
DROP = "Smallest delivery"
DROP_WHY = "The least a tanker comes for: 2 t, 4000 lb. Left out: 2 t."
PRICE = "Price today"
PRICE_WHY = "All in, of a 5 t drop: 310 EUR/t, 280 USD/short_ton. Left out: nothing is said about money."
INDOOR = "Room temperature"
INDOOR_WHY = "Mean over rooms and nights: 20 degC, 68 degF. Left out: 20 °C."
PEOPLE = "People"
PEOPLE_WHY = "Who use hot water from this boiler: a whole number. Left out: 3."
RATED = "Boiler's heat output"
RATED_WHY = "From its plate: 15 kW, 50 kBTU/h. Left out: 15 kW."
INSTALLED = "Boiler's year"
INSTALLED_WHY = (
    "Year of installation, e.g. 2014; without a test figure it sets the efficiency. Left out: about 2015."
)
TESTED = "Boiler's test figure"
TESTED_WHY = (
    "Efficiency at full load from the maker's papers, on the net calorific value: 93 %. Left out: a figure "
    "for its year, which is the least that a boiler up to 2019 has to reach."
)
RISK = "Risk you accept per order"
RISK_WHY = "Chance of reaching the reserve before the tanker comes: 1 in 50, 2 %. Left out: 1 in 50."
LATITUDE = "Latitude"
LATITUDE_WHY = "Degrees north, e.g. 47.2, for stations, in place of a town. Left out: that of the town."
LONGITUDE = "Longitude"
LONGITUDE_WHY = "Degrees east, e.g. 11.4. Left out: that of the town."

SHOW = "Show me the answer"
MENDED = "Some entries need a second look: {count} marked below. Nothing you wrote is lost."
CHANGE = "Change what you said"
KEEP = "Keep this house"
KEEP_HOW = (
    "Makes the folder {folder} with your entries, to open again and to add readings to. Nothing is kept "
    "otherwise."
)
KEPT = "Kept in {folder}. It is offered under “House and day” from now on."
WHOLE = "See the whole answer →"
OTHER_TITLE = "Which weather instead?"
OTHER_LEAD = "Weather stations cannot be asked: {why}"
OTHER_TOWN = "No town is written below, so no weather stations can be asked. Write it, or choose here."
OTHERS = {
    "monthly": "Twelve monthly means",
    "file": "A file of mine",
    "invented": "Invented weather, only to try it",
}
UNPLACED = "Something else"
SOURCE_OF_TOWNS = "Towns: GeoNames (geonames.org), CC BY 4.0."
DRAFT = "{name} (not kept yet)"
