"""The text of one cell into what it means, or a sentence on what to write instead."""

from __future__ import annotations

import re
from datetime import date

from fuelplan import units
from fuelplan.records.schema import CLASS_MARK, WEEKDAYS, Column
from fuelplan.units import find_unit, quoted, read_number

YES = {"yes": True, "no": False, "true": True, "false": False}


class CellFault(ValueError):
    """One cell that cannot be read: the rule it breaks, and a sentence."""

    def __init__(self, rule: str, message: str) -> None:
        """Keep both."""
        super().__init__(message)
        self.rule = rule


class NumberReader:
    """Reads the numbers of one column, in its own unit where none is written behind them.

    Looking for the unit that may have been meant takes a moment; past `SEARCHED` bad cells it is left.
    """

    SEARCHED = 500

    def __init__(self, spec: Column, decimal_comma: bool) -> None:
        """Start with a column."""
        self.spec, self.decimal_comma, self.bad = spec, decimal_comma, 0

    def __call__(self, text: str) -> float:
        """Return the number; a :class:`CellFault` with what to write where there is none."""
        try:
            return self._read(text)
        except ValueError as error:
            self.bad += 1
            raise CellFault("not a number", str(error)) from None

    def _read(self, text: str) -> float:
        spec = self.spec
        if self.decimal_comma and (two := re.fullmatch(r"([+-]?[0-9]{1,3})\.([0-9]{3})", text)):
            said = f'write "{two[1]}{two[2]}" or "{two[1]},{two[2]}"'
            raise ValueError(
                f"{quoted(text)}: a point has two readings in a file with decimal commas; {said}"
            )
        if self.decimal_comma and "," in text and "." not in text:
            text = text.replace(",", ".")
        if spec.quantity and self.bad < self.SEARCHED and any(c.isalpha() or c in "%‰" for c in text):
            return units.parse(text, spec.quantity) / spec.unit_factor
        value, _, rest = read_number(text, spec.example)
        unit = find_unit(rest, spec.quantity) if rest and spec.quantity else None
        if rest and unit is None:
            raise ValueError(f'{quoted(text)} is not a plain number; write e.g. "{spec.example}"')
        return value if unit is None else value * unit.factor / spec.unit_factor


def outside(spec: Column, value: float) -> str:
    """Say that a number cannot be meant."""
    return (
        f'{value:g} cannot be meant; write a number from {spec.low:g} to {spec.high:g}, e.g. "{spec.example}"'
    )


def date_of(text: str) -> date:
    """Read a date, year-month-day."""
    try:
        return units.parse_date(text)
    except ValueError as error:
        raise CellFault("not a date", str(error)) from None


def clock_of(text: str) -> float:
    """Read a time of day as hours since midnight."""
    whole = text[:-3] if len(text) in {7, 8} and text[-3:] == ":00" else text  # spreadsheets add seconds
    try:
        return units.parse_clock(whole)
    except ValueError as error:
        raise CellFault("not a time of day", str(error)) from None


def yes_of(text: str) -> bool:
    """Read yes or no."""
    found = YES.get(text.lower())
    if found is None:
        raise CellFault("not yes or no", f"{quoted(text)} is not known; write yes or no")
    return found


def choice_of(text: str, spec: Column) -> int:
    """Return the number of a word among those that a column knows."""
    word = spec.word(text)
    if word in spec.choices:
        return spec.choices.index(word)
    words = ", ".join(f'"{word}"' for word in spec.choices)
    raise CellFault("unknown word", f"{quoted(text)} is not known; write one of {words}")


def named_of(text: str, known: tuple[str, ...], what: str) -> int:
    """Return the number of a name among those of `round.toml`."""
    if text in known:
        return known.index(text)
    listed = ", ".join(f'"{name}"' for name in known[:12]) or "none"
    raise CellFault(f"unknown {what}", f"{quoted(text)} is no {what} of round.toml; it names {listed}")


def parts_of(text: str) -> list[str]:
    """Return the parts of a cell that holds several words."""
    parts = [
        part.strip() for part in text.replace("|", CLASS_MARK).replace(",", CLASS_MARK).split(CLASS_MARK)
    ]
    return [part for part in parts if part]


def weekdays_of(text: str) -> frozenset[int]:
    """Read weekdays by their names or the first letters of them, Monday 0."""
    found = set()
    for part in parts_of(text):
        word = part.lower().rstrip(".")
        meant = [i for i, day in enumerate(WEEKDAYS) if len(word) > 1 and day.startswith(word)]
        if not meant:
            raise CellFault("unknown weekday", f"{quoted(text)} is not known; write e.g. Mon;Tue;Wed;Thu;Fri")
        found.add(meant[0])
    return frozenset(found) if found else frozenset(range(7))
