"""What is said of a record of readings: what was set aside, and what counts for less."""

from __future__ import annotations

from datetime import date

from fuelplan.messages import Day, Message, Number, Percent, Quantity, message


def _day(day: date) -> Day:
    return Day(day, year=True)


def _kg(kg: float) -> Quantity:
    return Quantity.written(kg, "kg")


# --- readings and deliveries --------------------------------------------------------------------------------


def estimated(day: date) -> Message:
    """Return that a reading was guessed."""
    return message(
        "flag.estimated",
        "The reading of {day} was estimated, not read: it counts for less.",
        day=_day(day),
    )


def began_anew(kind: str, first: date, last: date) -> Message:
    """Return that a meter of this kind began anew between two days."""
    if kind == "counter":
        return message(
            "flag.counter_began_anew",
            "The boiler's counter began anew between {first} and {last}.",
            first=_day(first),
            last=_day(last),
        )
    return message(
        "flag.heat_meter_began_anew",
        "The heat meter began anew between {first} and {last}.",
        first=_day(first),
        last=_day(last),
    )


def carried_forward(day: date, before: date) -> Message:
    """Return that a reading is the very number of the one before it."""
    return message(
        "flag.carried_forward",
        "The reading of {day} is the same number as that of {before}, with use in between: carried forward, "
        "not read? It counts for less.",
        day=_day(day),
        before=_day(before),
    )


def reading_set_aside(day: date, kg: float, others_kg: float) -> Message:
    """Return that a reading does not fit with all the others."""
    return message(
        "flag.reading_set_aside",
        "The reading of {day} ({read}) does not fit with the others, which say about {others}: it was set "
        "aside.",
        day=_day(day),
        read=_kg(kg),
        others=_kg(others_kg),
    )


def both_count(day: date, kg: float, expected_kg: float) -> Message:
    """Return that the newest reading and what was expected are averaged."""
    return message(
        "flag.both_count",
        "The reading of {day} says {read}, where {expected} were expected: both count, each by how well it "
        "is known.",
        day=_day(day),
        read=_kg(kg),
        expected=_kg(expected_kg),
    )


def fits_neither(day: date, kg: float, next_day: date) -> Message:
    """Return that readings before and after speak against this one."""
    return message(
        "flag.fits_neither",
        "The reading of {day} ({read}) fits neither with what came before it nor with the reading of "
        "{next_day}: it was set aside.",
        day=_day(day),
        read=_kg(kg),
        next_day=_day(next_day),
    )


def borne_out(day: date, kg: float, next_day: date) -> Message:
    """Return that a later reading speaks for this one, against what came before it."""
    return message(
        "flag.borne_out",
        "The reading of {day} ({read}) does not fit with what came before it, but the reading of {next_day} "
        "bears it out: the days before it were not used to learn from.",
        day=_day(day),
        read=_kg(kg),
        next_day=_day(next_day),
    )


def delivery_too_large(day: date, kg: float) -> Message:
    """Return that a delivery is more than the store had free."""
    return message(
        "flag.delivery_too_large",
        "The delivery of {day} ({amount}) cannot all have gone in on top of the level before it: check the "
        "weigh note.",
        day=_day(day),
        amount=_kg(kg),
    )


def delivery_doubted(day: date, kg: float, asked_for_kg: float) -> Message:
    """Return that the readings around a delivery ask for another amount."""
    return message(
        "flag.delivery_doubted",
        "The delivery of {day} ({amount}) does not fit with the readings around it, which ask for about "
        "{asked_for}: check the weigh note.",
        day=_day(day),
        amount=_kg(kg),
        asked_for=_kg(asked_for_kg),
    )


def delivery_missing(first: date, last: date, rose_kg: float) -> Message:
    """Return that the store rose although nothing came."""
    return message(
        "flag.delivery_missing",
        "The store rose by about {amount} between {first} and {last} with no delivery: is one missing from "
        "the list?",
        amount=_kg(rose_kg),
        first=_day(first),
        last=_day(last),
    )


# --- spells -------------------------------------------------------------------------------------------------


def nothing_burned(first: date, last: date, usual_kg: float) -> Message:
    """Return that nothing was burned in cold weather."""
    return message(
        "flag.nothing_burned",
        "Nothing was burned between {first} and {last}, where {usual} would be usual: house empty or boiler "
        "off? These days were not used to learn from.",
        first=_day(first),
        last=_day(last),
        usual=_kg(usual_kg),
    )


def store_empty(first: date, last: date) -> Message:
    """Return that there was nothing to burn."""
    return message(
        "flag.store_empty",
        "The store was empty between {first} and {last}: these days were not used to learn from.",
        first=_day(first),
        last=_day(last),
    )


def house_empty(first: date, last: date, burned_kg: float, usual_kg: float) -> Message:
    """Return that much less than usual was burned."""
    return message(
        "flag.house_empty",
        "It looks as if the house was empty or the boiler off between {first} and {last}: about {burned} "
        "burned where {usual} would be usual. These days were not used to learn from.",
        first=_day(first),
        last=_day(last),
        burned=_kg(burned_kg),
        usual=_kg(usual_kg),
    )


def unusual_use(first: date, last: date, burned_kg: float, usual_kg: float) -> Message:
    """Return that much more than usual, or oddly little, was burned."""
    return message(
        "flag.unusual_use",
        "Unusual use between {first} and {last}: about {burned} where {usual} would be usual. These days "
        "were not used to learn from.",
        first=_day(first),
        last=_day(last),
        burned=_kg(burned_kg),
        usual=_kg(usual_kg),
    )


# --- the textbook line --------------------------------------------------------------------------------------


def guideline_kept(
    kept: bool, monthly: bool, cv_rmse: float, cv_limit: float, nmbe: float, nmbe_limit: float
) -> Message:
    """Return whether a line keeps the limits of ASHRAE Guideline 14; all but the first two as shares."""
    if monthly:
        data = message("line.monthly_data", "monthly data")
    else:
        data = message("line.hourly_data", "hourly data")
    if kept:
        return message(
            "line.keeps_limits",
            "The line keeps the limits of ASHRAE Guideline 14 for {data}: CV(RMSE) {cv} (below {cv_limit}), "
            "NMBE {nmbe} (below {nmbe_limit}).",
            data=data,
            cv=Percent(cv_rmse),
            cv_limit=Percent(cv_limit),
            nmbe=Percent(nmbe, 1),
            nmbe_limit=Percent(nmbe_limit),
        )
    return message(
        "line.misses_limits",
        "The line misses the limits of ASHRAE Guideline 14 for {data}: CV(RMSE) {cv} (below {cv_limit}), "
        "NMBE {nmbe} (below {nmbe_limit}).",
        data=data,
        cv=Percent(cv_rmse),
        cv_limit=Percent(cv_limit),
        nmbe=Percent(nmbe, 1),
        nmbe_limit=Percent(nmbe_limit),
    )


# --- level --------------------------------------------------------------------------------------------------


def level_guessed() -> Message:
    """Return that nobody has looked at the store."""
    return message(
        "level.guessed",
        "No reading tells what lies in the store: the level is a guess within its capacity.",
    )


def level_impossible(below: bool) -> Message:
    """Return that the reckoned level lies below an empty store, or above a full one."""
    if below:
        return message(
            "level.would_be_empty",
            "By the reckoning the store would be empty by now: look for a delivery that is missing or "
            "counted twice, or a reading with a wrong date.",
        )
    return message(
        "level.would_be_overfull",
        "By the reckoning the store would be fuller than it can be: look for a delivery that is missing or "
        "counted twice, or a reading with a wrong date.",
    )


def level_unknown() -> Message:
    """Return that nothing is known of the level, and what to write."""
    return message(
        "level.unknown",
        "nothing tells what lies in the store; write one reading, a delivery that filled it, or its capacity",
    )


def use_below_zero() -> Message:
    """Return that no use of zero or more fits the readings."""
    return message(
        "learning.use_below_zero",
        "the readings ask for a use below zero; look for a missing delivery or a wrong date",
    )


def full_of_what(day: date) -> Message:
    """Return that a delivery filled a store of unknown size."""
    return message(
        "learning.full_of_what",
        "delivery of {day}: 'filled full' needs the store's capacity; write it, in kg or t",
        day=_day(day),
    )


def weather_too_short(weather: tuple[date, date], record: tuple[date, date]) -> Message:
    """Return that the weather does not reach over a record: both by their first and last days."""
    return message(
        "learning.weather_too_short",
        "the weather goes from {weather_first} to {weather_last}, readings and deliveries from {first} to "
        "{last}; get weather for all of these days",
        weather_first=_day(weather[0]),
        weather_last=_day(weather[1]),
        first=_day(record[0]),
        last=_day(record[1]),
    )


# --- efficiency ---------------------------------------------------------------------------------------------


def became_heat(share: float, low: float, high: float) -> Message:
    """Return what share of the fuel's energy became metered heat."""
    return message(
        "efficiency.share",
        "Of the fuel's energy about {share} became metered heat ({low} to {high}).",
        share=Percent(share),
        low=Percent(low),
        high=Percent(high),
    )


def efficiency_moves(per_year: float) -> Message:
    """Return how fast the seasonal efficiency falls or rises, as a share in a year."""
    points = Number(100 * abs(per_year), 1)
    if per_year < 0:
        return message(
            "efficiency.falls",
            "It falls by about {points} points a year. Have the boiler cleaned and its settings looked at.",
            points=points,
        )
    return message("efficiency.rises", "It rises by about {points} points a year.", points=points)


def more_heat_than_fuel() -> Message:
    """Return that more heat was metered than the fuel holds."""
    return message(
        "efficiency.impossible",
        "More heat than fuel cannot be: look at the meter, the readings or the calorific value.",
    )
