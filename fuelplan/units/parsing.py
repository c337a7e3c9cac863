"""Text a person wrote → a number in a fixed unit. A number without its unit is refused where one matters."""

from __future__ import annotations

import difflib
import re
from datetime import date, datetime
from functools import cache

from fuelplan.units.number import UnitError, about, plain, read_number, shortened
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
_LEAD_TIME = "4 to 12 working days"


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
        raise UnitError(
            "units.not_a_quantity", '"{written}" is not a quantity; write e.g. "{example}"',
            written=shortened(value), example=kind.example,
        )  # fmt: skip
    if not isinstance(value, str):
        return _checked(_bare(float(value), kind), kind, value)
    if quantity == "share" and (odds := _ODDS.fullmatch(value.strip())):
        return _checked(_odds(odds, value), kind, value)
    number, written, unit_text = read_number(value, kind.example)
    unit = find_unit(unit_text, quantity)
    if unit is None:
        raise _unit_fault(value, written, unit_text, kind)
    return _checked((number + unit.offset) * unit.factor, kind, value)


def parse_range(value: str | int | float, quantity: str) -> tuple[float, float]:
    """Read "4 to 12 kWh", "4-12 kWh" or a single value.

    Parameters
    ----------
    value
        What the person wrote; a unit after the second number alone counts for both.
    quantity
        A name in `QUANTITIES`.

    Returns
    -------
    (float, float)
        Both ends, the smaller one first. [fixed unit of the quantity]

    Raises
    ------
    UnitError
        As `parse` does, and when the range runs backwards.
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
            "units.not_a_range", '"{written}" is not a range; write two numbers, as in "{example}"',
            written=shortened(value), example=f"2 to 4 {kind.fixed_unit}",
        )  # fmt: skip
    _, _, high_unit = read_number(parts[1], kind.example)
    _, _, low_unit = read_number(parts[0], kind.example)
    low = parse(parts[0] if low_unit or not high_unit else f"{parts[0].strip()} {high_unit}", quantity)
    high = parse(parts[1], quantity)
    if low > high:
        raise UnitError(
            "units.backwards", '"{written}" runs backwards; write the smaller number first',
            written=shortened(value),
        )  # fmt: skip
    return low, high


def parse_working_days(value: str) -> tuple[int, int]:
    """Read a lead time such as "4 to 12 working days".

    Returns
    -------
    (int, int)
        Both ends, at most 500. [working days]

    Raises
    ------
    UnitError
        Where it is no range of whole days that are said to be working days.
    """
    shown = shortened(value)
    head = _WORKING.sub("", value) if isinstance(value, str) else ""
    if not isinstance(value, str):
        raise UnitError(
            "units.which_days", '"{written}" does not say which days are meant; write e.g. "{example}"',
            written=shown, example=_LEAD_TIME,
        )  # fmt: skip
    if head == value:
        raise UnitError(
            "units.not_working_days",
            '"{written}" does not say that working days are meant; write e.g. "{example}"',
            written=shown, example=_LEAD_TIME,
        )  # fmt: skip
    try:
        low, high = parse_range(head, "count")
    except UnitError as fault:
        raise UnitError(
            "units.not_so_many_working_days",
            '"{written}" is not a number of working days; write e.g. "{example}" ({fault})',
            written=shown, example=_LEAD_TIME, fault=fault,
        ) from None  # fmt: skip
    if low != int(low) or high != int(high):
        whole = UnitError(
            "units.whole_days", 'write whole working days, e.g. "{example}"', example=_LEAD_TIME
        )
        raise about(value, whole)
    if high > 500:
        raise UnitError(
            "units.too_many_working_days",
            '"{written}" is about two years or more; a lead time of at most 500 working days is accepted',
            written=shown,
        )  # fmt: skip
    return int(low), int(high)


def parse_date(value: str | date) -> date:
    """Read a date written year-month-day, as in "2026-02-03"; a `date` is handed through.

    Raises
    ------
    UnitError
        For any other way of writing one, with how to write it, and for years outside 1850 to 2200.
    """
    if isinstance(value, datetime):
        raise UnitError(
            "units.date_with_time", '"{written}" holds a time of day; write the date alone, "{day}"',
            written=shortened(value), day=value.date().isoformat(),
        )  # fmt: skip
    if isinstance(value, date):
        return _checked_year(value, value)
    if not isinstance(value, str) or not value.strip():
        raise _not_a_date(value)
    found = _ISO.fullmatch(value.strip())
    if not found:
        raise _date_fault(value)
    try:
        day = date(*(int(part) for part in found.groups()))
    except ValueError:
        raise about(value, UnitError("units.no_such_day", "there is no such day in the calendar")) from None
    return _checked_year(day, value)


def parse_clock(value: str) -> float:
    """Read a time of day such as "22:30".

    Returns
    -------
    float
        Hours since midnight, 0 to 24. [h]

    Raises
    ------
    UnitError
        Where it is no hours and minutes.
    """
    found = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) else None
    if not found or int(found[2]) > 59 or int(found[1]) * 60 + int(found[2]) > 24 * 60:
        raise UnitError(
            "units.not_a_clock", '"{written}" is not a time of day; write hours and minutes, e.g. "22:30"',
            written=shortened(value),
        )  # fmt: skip
    return int(found[1]) + int(found[2]) / 60


def _bare(number: float, kind: QuantityKind) -> float:
    """Accept a number without a unit where the quantity has none."""
    if kind.bare:
        return number
    raise _without_unit(f"{number:g}", kind)


def _odds(odds: re.Match[str], value: str) -> float:
    """Return the share that "1 in 50" means."""
    part, whole = float(odds[1]), float(odds[2])
    if whole == 0:
        above = UnitError("units.one_in_none", 'the second number must be above 0, as in "1 in 50"')
        raise about(value, above)
    return part / whole


def _checked(number: float, kind: QuantityKind, value: object) -> float:
    """Return the number if the quantity can have it; `value` is what was written."""
    if not abs(number) <= 1e15:
        raise UnitError(
            "units.cannot_be_meant",
            '"{written}" is not a number that can be meant; write e.g. "{example}"',
            written=shortened(value), example=kind.example,
        )  # fmt: skip
    if number < 0 and not kind.may_be_negative:
        raise UnitError(
            "units.below_0", '"{written}" is below 0; {what} cannot be',
            written=shortened(value), what=kind.a_what,
        )  # fmt: skip
    if kind.least is not None and number < kind.least - 1e-9:
        raise UnitError(
            "units.below_absolute_zero", '"{written}" is below absolute zero', written=shortened(value)
        )
    if kind.most is not None and number > kind.most:
        raise UnitError(
            "units.more_than_the_whole",
            '"{written}" is more than the whole; {what} lies between 0 % and {most} %, e.g. "{example}"',
            written=shortened(value), what=kind.a_what, most=f"{100 * kind.most:g}", example=kind.example,
        )  # fmt: skip
    return number


def needed(kind: QuantityKind) -> UnitError:
    """Return what is needed in a place: 'a power is needed, e.g. "20 kW"'."""
    return UnitError(
        "units.needed", '{what} is needed, e.g. "{example}"', what=kind.a_what, example=kind.example
    )


def _without_unit(written: str, kind: QuantityKind) -> UnitError:
    return UnitError(
        "units.no_unit", '"{written}" has no unit; {needed}', written=shortened(written), needed=needed(kind)
    )


def _unit_fault(value: str, written: str, unit_text: str, kind: QuantityKind) -> UnitError:
    """Return what is wrong with the unit of a quantity."""
    shown, folded = shortened(value), key(unit_text)
    if not unit_text:
        return _without_unit(value, kind)
    if meant := AMBIGUOUS_FOR.get((kind.name, folded)) or AMBIGUOUS.get(folded):
        return about(value, meant)
    if _RANGE_WORD.search(value) or _RANGE_HYPHEN.search(value):
        return UnitError(
            "units.a_range", '"{written}" is a range; one value is needed here, e.g. "{example}"',
            written=shown, example=kind.example,
        )  # fmt: skip
    for other in QUANTITIES.values():
        if other.name != kind.name and find_unit(unit_text, other.name) is not None:
            return UnitError(
                "units.another_quantity", '"{written}" is {what}; {needed}',
                written=shown, what=other.a_what, needed=needed(kind),
            )  # fmt: skip
    return about(value, _unknown_unit(written, unit_text, kind))


def _unknown_unit(written: str, unit_text: str, kind: QuantityKind) -> UnitError:
    """Return that a unit is not known, with the one that may be meant, or all there are."""
    unit = shortened(unit_text)
    near = difflib.get_close_matches(key(unit_text), spellings(kind.name), n=1, cutoff=0.6)
    if near and (meant := spellings(kind.name)[near[0]].name):
        return UnitError(
            "units.unit_meant", 'the unit "{unit}" is not known; did you mean "{meant}"?',
            unit=unit, meant=f"{written} {meant}",
        )  # fmt: skip
    known = ", ".join(one.name for one in kind.units if one.name)
    if not known:
        return UnitError(
            "units.unit_unknown", 'the unit "{unit}" is not known; {needed}', unit=unit, needed=needed(kind)
        )
    return UnitError(
        "units.unit_of_these", 'the unit "{unit}" is not known; {needed} (units: {known})',
        unit=unit, needed=needed(kind), known=known,
    )  # fmt: skip


def _not_a_date(value: object) -> UnitError:
    return UnitError(
        "units.not_a_date", '"{written}" is not a date; write year-month-day, e.g. "2026-02-03"',
        written=shortened(value),
    )  # fmt: skip


def _date_fault(value: str) -> UnitError:
    """Return how to write a date that is not in ISO form; both readings are offered where there are two."""
    found = _OTHER_DATE.fullmatch(value.strip())
    if found is None:
        return _not_a_date(value)
    a, b, c = found.groups()
    orders = [(a, b, c)] if len(a) == 4 else [(c, b, a), (c, a, b)] if len(c) == 4 else []
    days: list[str] = []
    for year, month, day in orders:
        try:
            iso = date(int(year), int(month), int(day)).isoformat()
        except ValueError:
            continue
        if f'"{iso}"' not in days:
            days.append(f'"{iso}"')
    if not days:
        return _not_a_date(value)
    return about(value, UnitError("units.iso_date", "write year-month-day, {days}", days=tuple(days)))


def _checked_year(day: date, value: object) -> date:
    """Refuse a year that can only be a slip; `value` is what was written."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise about(
            value,
            UnitError(
                "units.year_outside",
                "the year must lie between {first} and {last}",
                first=str(FIRST_YEAR),
                last=str(LAST_YEAR),
            ),
        )
    return day
