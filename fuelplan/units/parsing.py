"""Text a person wrote → a number in a fixed unit. A number without its unit is refused where one matters."""

from __future__ import annotations

import difflib
import re
from datetime import date, datetime
from functools import cache

from fuelplan.units.number import UnitError, plain, quoted, read_number
from fuelplan.units.table import AMBIGUOUS, AMBIGUOUS_FOR, QUANTITIES, QuantityKind, Unit
from fuelplan.units.trade import trade

_ODDS = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s+in\s+([0-9]+(?:\.[0-9]+)?)", re.IGNORECASE)
_RANGE_WORD = re.compile(r"\s+to\s+|\s*(?:\.\.+|…|–|—)\s*", re.IGNORECASE)
_RANGE_HYPHEN = re.compile(r"(?<=[0-9A-Za-z%°23])\s*-\s*(?=[0-9.])")
_WORKING = re.compile(r"\s*(?:working|business|work)[ -]?days?\s*$", re.IGNORECASE)
_ISO = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_OTHER_DATE = re.compile(r"([0-9]{1,4})\s*[./ -]\s*([0-9]{1,2})\s*[./ -]\s*([0-9]{1,4})")
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})")
FIRST_YEAR, LAST_YEAR = 1850, 2200


_POWER = re.compile(r"(?:\^|\*\*)(?=[23])")
_DOT = re.compile(r"(?<=[A-Za-z])[·*](?=[A-Za-z°])")
_SAME_SIGN = str.maketrans({"³": "3", "²": "2", "º": "°", "˚": "°", "℃": "°C", "℉": "°F"})


def key(unit: str) -> str:
    """Return the spelling key of a unit: without spaces and case, with plain digits and slashes."""
    text = re.sub(r"\s+per\s+", "/", f" {unit} ", flags=re.IGNORECASE).translate(_SAME_SIGN)
    text = _DOT.sub("", _POWER.sub("", text))
    return re.sub(r"[\s\u00a0\u202f]", "", text).casefold()


@cache
def spellings(quantity: str) -> dict[str, Unit]:
    """Return every accepted spelling key of a quantity with its unit; "short_ton" may be "short ton", too."""
    return {
        key(spelling): unit
        for unit in QUANTITIES[quantity].units
        for written in unit.spellings
        for spelling in (written, written.replace("_", " "))
    }


def quantity_named(quantity: str) -> QuantityKind:
    """Return a quantity of the table; a programming error if there is none of that name."""
    try:
        return QUANTITIES[quantity]
    except KeyError:
        raise KeyError(
            f"{quantity!r} is not a quantity of fuelplan.units; there are {sorted(QUANTITIES)}"
        ) from None


def find_unit(unit: str, quantity: str) -> Unit | None:
    """Look a unit up in the allow-list of a quantity; None where it is not in it.

    Case does not matter, except that a milliwatt never passes for a megawatt, nor a megametre for a
    millimetre.
    """
    known = spellings(quantity)
    found = known.get(key(trade().words.get(key(unit), unit)))
    text = unit.strip()
    if (
        found is not None
        and {text[:1], found.name[:1]} == {"m", "M"}
        and text[1:] == found.name[1:]
        and text[1:]
    ):
        return None
    return found


def parse(value: str | int | float, quantity: str) -> float:
    """Read a quantity with its unit and return it in the fixed unit of the house.

    Parameters
    ----------
    value
        What the person wrote, e.g. "3.5 t". A bare number is accepted for a share or a count alone.
    quantity
        A name in `QUANTITIES`: mass [kg], energy [kWh], power [kW], volume [m3], length [m], area [m2],
        temperature [degC], temperature_difference [K], time [h], angle [deg], share [0..1] and so on.

    Returns
    -------
    float
        The value in the fixed unit.

    Raises
    ------
    UnitError
        One sentence: what is wrong, and what to write instead.

    Examples
    --------
    >>> parse("3.5 t", "mass")
    3500.0
    >>> parse("1 in 50", "share")
    0.02
    """
    kind = quantity_named(quantity)
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise UnitError(f'{quoted(value)} is not a quantity; write e.g. "{kind.example}"')
    if not isinstance(value, str):
        return _checked(_bare(float(value), kind), kind, quoted(value))
    if quantity == "share" and (odds := _ODDS.fullmatch(value.strip())):
        return _checked(_odds(odds, value), kind, quoted(value))
    number, written, unit_text = read_number(value, kind.example)
    unit = find_unit(unit_text, quantity)
    if unit is None:
        raise UnitError(_unit_fault(value, written, unit_text, kind))
    return _checked((number + unit.offset) * unit.factor, kind, quoted(value))


def parse_range(value: str | int | float, quantity: str) -> tuple[float, float]:
    """Read "4 to 12 kWh", "4-12 kWh" or a single value, and return both ends in the fixed unit.

    A unit after the second number alone counts for both. Raises :class:`UnitError` as `parse` does, and when
    the range runs backwards.
    """
    kind = quantity_named(quantity)
    if not isinstance(value, str):
        single = parse(value, quantity)
        return single, single
    text = plain(value)
    parts = _RANGE_WORD.split(text)
    if len(parts) == 1:
        parts = _RANGE_HYPHEN.split(text)
    if len(parts) == 1:
        single = parse(text, quantity)
        return single, single
    if len(parts) != 2:
        raise UnitError(
            f'{quoted(value)} is not a range; write two numbers, as in "2 to 4 {kind.fixed_unit}"'
        )
    _, _, high_unit = read_number(parts[1], kind.example)
    _, _, low_unit = read_number(parts[0], kind.example)
    low = parse(parts[0] if low_unit or not high_unit else f"{parts[0].strip()} {high_unit}", quantity)
    high = parse(parts[1], quantity)
    if low > high:
        raise UnitError(f"{quoted(value)} runs backwards; write the smaller number first")
    return low, high


def parse_working_days(value: str) -> tuple[int, int]:
    """Read a lead time such as "4 to 12 working days" and return its ends, in working days."""
    example = '"4 to 12 working days"'
    if not isinstance(value, str):
        raise UnitError(f"{quoted(value)} does not say which days are meant; write e.g. {example}")
    head = _WORKING.sub("", value)
    if head == value:
        raise UnitError(f"{quoted(value)} does not say that working days are meant; write e.g. {example}")
    try:
        low, high = parse_range(head, "count")
    except UnitError as fault:
        raise UnitError(
            f"{quoted(value)} is not a number of working days; write e.g. {example} ({fault})"
        ) from None
    if low != int(low) or high != int(high):
        raise UnitError(f"{quoted(value)}: write whole working days, e.g. {example}")
    if high > 500:
        raise UnitError(
            f"{quoted(value)} is about two years or more; a lead time of at most 500 working days is accepted"
        )
    return int(low), int(high)


def parse_date(value: str | date) -> date:
    """Read a date written year-month-day, as in "2026-02-03"; a `date` is handed through."""
    if isinstance(value, datetime):
        raise UnitError(
            f'{quoted(value)} holds a time of day; write the date alone, "{value.date().isoformat()}"'
        )
    if isinstance(value, date):
        return _checked_year(value, quoted(value))
    if not isinstance(value, str) or not value.strip():
        raise UnitError(f'{quoted(value)} is not a date; write year-month-day, e.g. "2026-02-03"')
    found = _ISO.fullmatch(value.strip())
    if not found:
        raise UnitError(_date_fault(value))
    try:
        day = date(*(int(part) for part in found.groups()))
    except ValueError:
        raise UnitError(f"{quoted(value)}: there is no such day in the calendar") from None
    return _checked_year(day, quoted(value))


def parse_clock(value: str) -> float:
    """Read a time of day such as "22:30" and return the hours since midnight, 0 to 24."""
    found = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) else None
    if not found or int(found[2]) > 59 or int(found[1]) * 60 + int(found[2]) > 24 * 60:
        raise UnitError(f'{quoted(value)} is not a time of day; write hours and minutes, e.g. "22:30"')
    return int(found[1]) + int(found[2]) / 60


def _bare(number: float, kind: QuantityKind) -> float:
    """Accept a number without a unit where the quantity has none."""
    if kind.bare:
        return number
    raise UnitError(f'{quoted(f"{number:g}")} has no unit; {kind.a_what} is needed, e.g. "{kind.example}"')


def _odds(odds: re.Match[str], value: str) -> float:
    """Return the share that "1 in 50" means."""
    part, whole = float(odds[1]), float(odds[2])
    if whole == 0:
        raise UnitError(f'{quoted(value)}: the second number must be above 0, as in "1 in 50"')
    return part / whole


def _checked(number: float, kind: QuantityKind, shown: str) -> float:
    """Return the number if the quantity can have it."""
    if not abs(number) <= 1e15:
        raise UnitError(f'{shown} is not a number that can be meant; write e.g. "{kind.example}"')
    if number < 0 and not kind.may_be_negative:
        raise UnitError(f"{shown} is below 0; {kind.a_what} cannot be")
    if kind.least is not None and number < kind.least - 1e-9:
        raise UnitError(f"{shown} is below absolute zero")
    if kind.most is not None and number > kind.most:
        raise UnitError(
            f"{shown} is more than the whole; {kind.a_what} lies between 0 % and {100 * kind.most:g} %, "
            f'e.g. "{kind.example}"'
        )
    return number


def _unit_fault(value: str, written: str, unit_text: str, kind: QuantityKind) -> str:
    """Say what is wrong with the unit of a quantity."""
    shown, folded = quoted(value), key(unit_text)
    needed = f'{kind.a_what} is needed, e.g. "{kind.example}"'
    if not unit_text:
        return f"{shown} has no unit; {needed}"
    if meant := AMBIGUOUS_FOR.get((kind.name, folded)) or AMBIGUOUS.get(folded):
        return f"{shown}: {meant}"
    if _RANGE_WORD.search(value) or _RANGE_HYPHEN.search(value):
        return f"{shown} is a range; one value is needed here, e.g. {quoted(kind.example)}"
    for other in QUANTITIES.values():
        if other.name != kind.name and find_unit(unit_text, other.name) is not None:
            return f"{shown} is {other.a_what}; {needed}"
    near = difflib.get_close_matches(folded, spellings(kind.name), n=1, cutoff=0.6)
    if near and (unit := spellings(kind.name)[near[0]].name):
        return f'{shown}: the unit {quoted(unit_text)} is not known; did you mean "{written} {unit}"?'
    known = ", ".join(unit.name for unit in kind.units if unit.name)
    return f"{shown}: the unit {quoted(unit_text)} is not known; {needed}" + (
        f" (units: {known})" if known else ""
    )


def _date_fault(value: str) -> str:
    """Say how to write a date that is not in ISO form; offer both readings where there are two."""
    shown = quoted(value)
    found = _OTHER_DATE.fullmatch(value.strip())
    if found:
        a, b, c = found.groups()
        orders = [(a, b, c)] if len(a) == 4 else [(c, b, a), (c, a, b)] if len(c) == 4 else []
        days: list[str] = []
        for year, month, day in orders:
            try:
                iso = date(int(year), int(month), int(day)).isoformat()
            except ValueError:
                continue
            if iso not in days:
                days.append(iso)
        if days:
            return f"{shown}: write year-month-day, " + " or ".join(f'"{iso}"' for iso in days)
    return f'{shown} is not a date; write year-month-day, e.g. "2026-02-03"'


def _checked_year(day: date, shown: str) -> date:
    """Refuse a year that can only be a slip."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise UnitError(f"{shown}: the year must lie between {FIRST_YEAR} and {LAST_YEAR}")
    return day
