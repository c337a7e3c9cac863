"""Rules of thumb for store sizes, and how far each is off for a building.

Room rule and two thirds usable: Austrian and German pellet associations' guidance. Stock of one year:
German pellet institute, up to 75 kW; 1.2, 1.25 and 1.5 years are quoted elsewhere. UK guide: order when 80
% of the load fits.
"""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan import units
from fuelplan.sizing.inputs import BULK_KG_PER_M3, USABLE_SHARE, SizingError

ROOM_M3_PER_KW = 0.9
RULE_KWH_PER_KG = 5.0
YEARS_RULES: tuple[tuple[float, str], ...] = (
    (1.0, "German pellet institute"),
    (1.2, "quoted elsewhere"),
    (1.25, "quoted elsewhere"),
    (1.5, "quoted elsewhere"),
)
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
    associations)."""
    if not 0 < load_kw < 1e5:
        raise SizingError(f"a heat load of {load_kw:g} kW: write a power above zero, e.g. 12 kW")
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
        All that in words.
    """

    name: str
    source: str
    room_m3: float
    usable_kg: float
    off_share: float | None
    years_stock: float
    sentence: str


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
    found = [(_room_rule_name(), "Austrian and German pellet associations", rule.usable_kg)]
    for years, source in YEARS_RULES:
        if years == 1.0 and load_kw > YEAR_RULE_LIMIT_KW:
            continue
        name = "one year's need" if years == 1.0 else f"{years:g} years' need"
        if years == 1.0:
            source += f", up to {units.show_as(YEAR_RULE_LIMIT_KW, 'kW', 'g')}"
        found.append((name, source, years * yearly_kg))
    return tuple(_thumb(name, source, kg, yearly_kg, best_range_kg) for name, source, kg in found)


def _room_rule_name() -> str:
    """Return the associations' rule by the reader's measures."""
    if units.reader().system == "us":
        m3 = ROOM_M3_PER_KW * units.parse("10000 BTU/h", "power")
        return f"{units.show_as(m3, 'm3', '.1f')} of room for each 10,000 BTU/h of heat load"
    return f"{ROOM_M3_PER_KW:g} m³ of room per kW of heat load"


def order_mark_rule(usable_kg: float, load_kg: float, needed_kg: float) -> str:
    """Say where the UK guide's rule puts the order mark in a store, beside the mark this building needs.

    "Order when 80 % of the load fits" (UK guide): with a load of `load_kg`, at usable_kg − 0.8·load_kg left;
    `needed_kg` is what must be left in the hungriest month. [kg]
    """
    mark_kg = usable_kg - LOAD_SHARE_THAT_FITS * load_kg
    rule = f"Order when 80 % of the load fits (UK guide): in {_t(usable_kg)} of usable store"
    if mark_kg < 0:
        return f"{rule} a load of {_t(load_kg)} never fits by that rule."
    end = "which is early enough" if mark_kg >= needed_kg else "which is too late in a cold month"
    return (
        f"{rule} and with loads of {_t(load_kg)} that is at {_kg(mark_kg)} left, {end}: "
        f"this building needs {_kg(needed_kg)} left in its hungriest month."
    )


def _t(mass_kg: float) -> str:
    return units.show_as(mass_kg / 1000, "t", ".1f")


def _kg(mass_kg: float) -> str:
    return units.show_as(mass_kg, "kg", ".0f")


def _thumb(name: str, source: str, kg: float, yearly_kg: float, best_kg: tuple[float, float] | None) -> Thumb:
    room = kg / BULK_KG_PER_M3 / USABLE_SHARE
    off: float | None
    if best_kg is None:
        off, how = None, "no size in question works here"
    elif kg < best_kg[0] * (1 - SAME):
        off = kg / best_kg[0] - 1
        how = f"{-off:.0%} below the smaller end of the best range here"
    elif kg > best_kg[1] * (1 + SAME):
        off = kg / best_kg[1] - 1
        how = f"{off:.0%} above the larger end of the best range here"
    else:
        off, how = 0.0, "inside the best range here"
    volume = units.show_as(room, "m3", ".0f")
    sentence = f"{name[0].upper()}{name[1:]} ({source}): {_t(kg)} in {volume} of room, {how}."
    return Thumb(name, source, room, kg, off, kg / yearly_kg, sentence)
