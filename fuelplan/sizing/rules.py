"""Rules of thumb for store sizes, and how far each is off for a building.

Room rule and two thirds usable: Austrian and German pellet associations' guidance. Stock of one year:
German pellet institute, up to 75 kW; 1.2, 1.25 and 1.5 years are quoted elsewhere. UK guide: order when 80
% of the load fits.
"""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.messages import Message, Number, Per, Percent, Quantity, message
from fuelplan.sizing.inputs import BULK_KG_PER_M3, USABLE_SHARE, SizingError

ROOM_M3_PER_KW = 0.9
RULE_KWH_PER_KG = 5.0
YEARS_RULES = (1.0, 1.2, 1.25, 1.5)
YEAR_RULE_LIMIT_KW = 75.0
LOAD_SHARE_THAT_FITS = 0.8  # UK guide
SAME = 0.02  # closer than this is the same size


@dataclass(frozen=True)
class RoomRule:
    """The associations' room rule for a heat load. [m3, m3, kg, kWh]"""

    room_m3: float
    usable_m3: float
    usable_kg: float
    kwh: float


def room_rule(load_kw: float) -> RoomRule:
    """Return 0.9 m3 of room per kW, two thirds usable, 650 kg/m3, 5 kWh/kg (Austrian and German pellet
    associations).

    Parameters
    ----------
    load_kw
        Heat load, above zero. [kW]

    Raises
    ------
    SizingError
        No load.
    """
    if not 0 < load_kw < 1e5:
        raise SizingError(
            message(
                "sizing.load",
                "a heat load of {load}: write a power above zero, e.g. 12 kW",
                load=Quantity.written(load_kw, "kW", "g"),
            )
        )
    room = ROOM_M3_PER_KW * load_kw
    usable = USABLE_SHARE * room
    return RoomRule(room, usable, usable * BULK_KG_PER_M3, usable * BULK_KG_PER_M3 * RULE_KWH_PER_KG)


def kg_per_kw() -> float:
    """Return the fuel a kilowatt of heat load is taken to burn in a year, as the room rule implies.
    [kg/kW]"""
    return ROOM_M3_PER_KW * USABLE_SHARE * BULK_KG_PER_M3


@dataclass(frozen=True)
class Thumb:
    """One rule of thumb beside this building's answer.

    Attributes
    ----------
    name, source
        What it says, and who says it.
    room_m3, usable_kg
        What it leads to. [m3, kg]
    off_share
        How far it is off the best range found here: 0 inside it, 0.3 is 30 % above its upper end, −0.2 is
        20 % below its lower end. None where no size works. [-]
    years_stock
        How many mean years its stock lasts here.
    sentence
        All that in a sentence.
    """

    name: Message
    source: Message
    room_m3: float
    usable_kg: float
    off_share: float | None
    years_stock: float
    sentence: Message


def rules_of_thumb(
    load_kw: float, yearly_kg: float, best_range_kg: tuple[float, float] | None
) -> tuple[Thumb, ...]:
    """Return every rule of thumb with how far it is off.

    Parameters
    ----------
    load_kw
        Design heat load. [kW]
    yearly_kg
        Mean yearly use. [kg]
    best_range_kg
        Usable stock of the smallest and the largest size of the best range; None where no size works. [kg]
    """
    if not yearly_kg > 0:
        raise SizingError("the yearly use is a mass above zero")
    rule = room_rule(load_kw)
    found = [(_room_rule_name(), _associations(), rule.usable_kg)]
    for years in YEARS_RULES:
        if years > 1.0 or load_kw <= YEAR_RULE_LIMIT_KW:
            found.append((*_years_rule(years), years * yearly_kg))
    return tuple(_thumb(name, source, kg, yearly_kg, best_range_kg) for name, source, kg in found)


def _associations() -> Message:
    return message("sizing.pellet_associations", "Austrian and German pellet associations")


def _room_rule_name() -> Message:
    return message(
        "sizing.rule_room",
        "A room of {size} of heat load",
        size=Per(Quantity.written(ROOM_M3_PER_KW, "m3", ".1f"), "kW"),
    )


def _years_rule(years: float) -> tuple[Message, Message]:
    """Return what a rule of so many years' need says, and who says it."""
    if years > 1.0:
        name = message("sizing.rule_years", "{years} years' need", years=_plain_number(years))
        return name, message("sizing.quoted_elsewhere", "quoted elsewhere")
    source = message(
        "sizing.pellet_institute_up_to",
        "German pellet institute, up to {power}",
        power=Quantity.written(YEAR_RULE_LIMIT_KW, "kW", "g"),
    )
    return message("sizing.rule_year", "One year's need"), source


def order_mark_rule(usable_kg: float, load_kg: float, needed_kg: float) -> Message:
    """Say where the UK guide's rule puts the order mark in a store, beside the mark this building needs.

    "Order when 80 % of the load fits" (UK guide): with a load of `load_kg`, at usable_kg − 0.8·load_kg left;
    `needed_kg` is what must be left in the hungriest month. [kg]

    Parameters
    ----------
    usable_kg
        Usable stock of a full store. [kg]
    load_kg
        What a tanker brings. [kg]
    needed_kg
        What must be left in the hungriest month. [kg]
    """
    mark_kg = usable_kg - LOAD_SHARE_THAT_FITS * load_kg
    store, load = Quantity.written(usable_kg / 1000, "t", ".1f"), Quantity.written(load_kg / 1000, "t", ".1f")
    if mark_kg < 0:
        return message(
            "sizing.order_mark_never",
            "Order when 80 % of the load fits (UK guide): in {store} of usable store a load of {load} never "
            "fits by that rule.",
            store=store,
            load=load,
        )
    mark, need = Quantity.written(mark_kg, "kg", ".0f"), Quantity.written(needed_kg, "kg", ".0f")
    if mark_kg >= needed_kg:
        return message(
            "sizing.order_mark_early_enough",
            "Order when 80 % of the load fits (UK guide): in {store} of usable store and with loads of "
            "{load} that is at {mark} left, which is early enough: this building needs {need} left in its "
            "hungriest month.",
            store=store,
            load=load,
            mark=mark,
            need=need,
        )
    return message(
        "sizing.order_mark_too_late",
        "Order when 80 % of the load fits (UK guide): in {store} of usable store and with loads of {load} "
        "that is at {mark} left, which is too late in a cold month: this building needs {need} left in its "
        "hungriest month.",
        store=store,
        load=load,
        mark=mark,
        need=need,
    )


def _plain_number(value: float) -> Number:
    """Return a number with the decimals that it has."""
    return Number(value, len(f"{value:g}".partition(".")[2]))


def _thumb(
    name: Message, source: Message, kg: float, yearly_kg: float, best_kg: tuple[float, float] | None
) -> Thumb:
    room_m3 = kg / BULK_KG_PER_M3 / USABLE_SHARE
    off, how = _off(kg, best_kg)
    sentence = message(
        "sizing.rule_of_thumb",
        "{name} ({source}): {stock} in {room} of room, {how}.",
        name=name,
        source=source,
        stock=Quantity.written(kg / 1000, "t", ".1f"),
        room=Quantity.written(room_m3, "m3", ".0f"),
        how=how,
    )
    return Thumb(name, source, room_m3, kg, off, kg / yearly_kg, sentence)


def _off(kg: float, best_kg: tuple[float, float] | None) -> tuple[float | None, Message]:
    """Return how far a stock is off the best range, as a share and in words."""
    if best_kg is None:
        return None, message("sizing.no_size_works_here", "no size in question works here")
    if kg < best_kg[0] * (1 - SAME):
        off = kg / best_kg[0] - 1
        return off, message(
            "sizing.below_range", "{share} below the smaller end of the best range here", share=Percent(-off)
        )
    if kg > best_kg[1] * (1 + SAME):
        off = kg / best_kg[1] - 1
        return off, message(
            "sizing.above_range", "{share} above the larger end of the best range here", share=Percent(off)
        )
    return 0.0, message("sizing.inside_range", "inside the best range here")
