"""The text of one cell into what it means, or a sentence on what to write instead."""

from __future__ import annotations

import re
from datetime import date

from fuelplan import units
from fuelplan.round_folder.columns import CLASS_MARK, Column
from fuelplan.site.models_money import WEEKDAYS
from fuelplan.units.number import quoted, read_number

FORMULA_STARTS = ("=", "+", "-", "@")
YES = {"yes": True, "no": False, "true": True, "false": False}


class CellFault(ValueError):
    """One cell that cannot be read: the rule it breaks, and a sentence."""

    def __init__(self, rule: str, message: str) -> None:
        """Keep both."""
        super().__init__(message)
        self.rule = rule


def number_of(text: str, spec: Column, decimal_comma: bool) -> float:
    """Read one number, in the column's own unit where none is written behind it."""
    if decimal_comma and (two := re.fullmatch(r"([+-]?[0-9]{1,3})\.([0-9]{3})", text)):
        said = f'write "{two[1]}{two[2]}" or "{two[1]},{two[2]}"'
        raise ValueError(f"{quoted(text)}: a point has two readings in a file with decimal commas; {said}")
    if decimal_comma and "," in text and "." not in text:
        text = text.replace(",", ".")
    if spec.quantity and any(c.isalpha() or c == "%" for c in text):
        return units.parse(text, spec.quantity) / spec.unit_factor
    value, _, rest = read_number(text, spec.example)
    if rest:
        raise ValueError(f'{quoted(text)} is not a plain number; write e.g. "{spec.example}"')
    return value


def outside(spec: Column, value: float) -> str:
    """Say that a number cannot be meant."""
    return (
        f'{value:g} cannot be meant; write a number from {spec.low:g} to {spec.high:g}, e.g. "{spec.example}"'
    )


def own_text(text: str) -> str:
    """Return a cell as meant: without the apostrophe that keeps spreadsheets from seeing a formula."""
    return text[1:] if text[:1] == "'" and text.lstrip("'")[:1] in FORMULA_STARTS else text


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


def choice_of(text: str, known: tuple[str, ...]) -> int:
    """Return the number of a word among those that are known."""
    if text.lower() in known:
        return known.index(text.lower())
    words = ", ".join(f'"{word}"' for word in known)
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


def share_of(text: str, decimal_comma: bool) -> float:
    """Read a share of 0 to 1: "15 %", "0.15"."""
    try:
        return units.parse(text.replace(",", ".") if decimal_comma else text, "share")
    except ValueError as error:
        raise CellFault("not a share", str(error)) from None


def guarded(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula; :func:`own_text` gives the same text again."""
    return f"'{cell}" if cell.lstrip("'").startswith(FORMULA_STARTS) else cell
