"""The text of one cell into what it means, or a sentence on what to write instead."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from fuelplan import units
from fuelplan.messages import Message, Own, Refusal, message, said_by
from fuelplan.records.schema import CLASS_MARK, WEEKDAYS, Column
from fuelplan.units import find_unit, read_number, shortened

YES = {"yes": True, "no": False, "true": True, "false": False}


NOT_A_NUMBER = message("cell.not_a_number", "not a number")
NOT_A_DATE = message("cell.not_a_date", "not a date")
NOT_A_CLOCK = message("cell.not_a_clock", "not a time of day")
NOT_YES_OR_NO = message("cell.not_yes_or_no", "not yes or no")
UNKNOWN_WORD = message("cell.unknown_word", "unknown word")
UNKNOWN_WEEKDAY = message("cell.unknown_weekday", "unknown weekday")
NAMES_NONE = message("cell.names_none", "none")


class CellFault(Refusal):
    """One cell that cannot be read: the rule it breaks, and what to write instead."""

    def __init__(self, rule: Message, said: Message) -> None:
        """Keep both."""
        super().__init__(said)
        self.rule = rule


@dataclass(frozen=True)
class Named:
    """Things that `round.toml` names: the rule that another name breaks, and what is said of it."""

    rule: Message
    said: Callable[[Own, Own | Message], Message]


CLASS = Named(
    message("cell.unknown_class", "unknown class"),
    lambda written, known: message(
        "cell.no_class", '"{written}" is no class of round.toml; it names {known}', written=written,
        known=known,
    ),
)  # fmt: skip
TANKER = Named(
    message("cell.unknown_tanker", "unknown tanker"),
    lambda written, known: message(
        "cell.no_tanker", '"{written}" is no tanker of round.toml; it names {known}', written=written,
        known=known,
    ),
)  # fmt: skip
DEPOT = Named(
    message("cell.unknown_depot", "unknown depot"),
    lambda written, known: message(
        "cell.no_depot", '"{written}" is no depot of round.toml; it names {known}', written=written,
        known=known,
    ),
)  # fmt: skip
AREA = Named(
    message("cell.unknown_area", "unknown area"),
    lambda written, known: message(
        "cell.no_area", '"{written}" is no area of round.toml; it names {known}', written=written, known=known
    ),
)


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
            raise CellFault(NOT_A_NUMBER, said_by(error)) from None

    def _read(self, text: str) -> float:
        spec = self.spec
        if self.decimal_comma and (two := re.fullmatch(r"([+-]?[0-9]{1,3})\.([0-9]{3})", text)):
            raise Refusal.because(
                "cell.point_of_two_readings",
                '"{written}": a point has two readings in a file with decimal commas; write "{whole}" or '
                '"{comma}"', written=Own(shortened(text)),
                whole=Own(f"{two[1]}{two[2]}"), comma=Own(f"{two[1]},{two[2]}"),
            )  # fmt: skip
        if self.decimal_comma and "," in text and "." not in text:
            text = text.replace(",", ".")
        if spec.quantity and self.bad < self.SEARCHED and any(c.isalpha() or c in "%‰" for c in text):
            return units.parse(text, spec.quantity) / spec.unit_factor
        value, _, rest = read_number(text, spec.example)
        unit = find_unit(rest, spec.quantity) if rest and spec.quantity else None
        if rest and unit is None:
            raise Refusal.because(
                "cell.not_a_plain_number", '"{written}" is not a plain number; write e.g. "{example}"',
                written=Own(shortened(text)), example=Own(spec.example),
            )  # fmt: skip
        return value if unit is None else value * unit.factor / spec.unit_factor


def outside(spec: Column, value: float) -> Message:
    """Return that a number cannot be meant; it is shown as the file has it."""
    return message(
        "cell.outside", '{written} cannot be meant; write a number from {low} to {high}, e.g. "{example}"',
        written=Own(f"{value:g}"), low=Own(f"{spec.low:g}"), high=Own(f"{spec.high:g}"),
        example=Own(spec.example),
    )  # fmt: skip


def date_of(text: str) -> date:
    """Read a date, year-month-day."""
    try:
        return units.parse_date(text)
    except ValueError as error:
        raise CellFault(NOT_A_DATE, said_by(error)) from None


def clock_of(text: str) -> float:
    """Read a time of day as hours since midnight."""
    whole = text[:-3] if len(text) in {7, 8} and text[-3:] == ":00" else text  # spreadsheets add seconds
    try:
        return units.parse_clock(whole)
    except ValueError as error:
        raise CellFault(NOT_A_CLOCK, said_by(error)) from None


def yes_of(text: str) -> bool:
    """Read yes or no."""
    found = YES.get(text.lower())
    if found is None:
        raise CellFault(
            NOT_YES_OR_NO,
            message(
                "cell.yes_or_no", '"{written}" is not known; write yes or no', written=Own(shortened(text))
            ),
        )
    return found


def choice_of(text: str, spec: Column) -> int:
    """Return the number of a word among those that a column knows."""
    return spec.choices.index(word_of(spec.word(text), spec.choices))


def word_of(text: str, known: Sequence[str]) -> str:
    """Read one of some words; "" among them means that nothing need be written."""
    if text.lower() in known:
        return text.lower()
    said = message(
        "cell.one_of", '"{written}" is not known; write one of {words}',
        written=Own(shortened(text)), words=in_quotes(filter(None, known)),
    )  # fmt: skip
    raise CellFault(UNKNOWN_WORD, said)


def in_quotes(words: Iterable[str]) -> Own:
    """Return words of a file, each in quotes, parted by commas."""
    return Own(", ".join(f'"{word}"' for word in words))


def named_of(text: str, known: tuple[str, ...], what: Named) -> int:
    """Return the number of a name among those of `round.toml`."""
    if text in known:
        return known.index(text)
    raise CellFault(
        what.rule, what.said(Own(shortened(text)), in_quotes(known[:12]) if known else NAMES_NONE)
    )


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
            raise CellFault(
                UNKNOWN_WEEKDAY,
                message(
                    "cell.weekdays", '"{written}" is not known; write e.g. {example}',
                    written=Own(shortened(text)), example=Own("Mon;Tue;Wed;Thu;Fri"),
                ),
            )  # fmt: skip
        found.add(meant[0])
    return frozenset(found) if found else frozenset(range(7))
