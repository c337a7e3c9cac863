"""The typed values that stand in a message: what they are, not how they read.

Each is a small frozen value in the fixed unit of the house; `rendering` makes text of them for a reader. A
bare `float` is no value: it would not say its unit, nor how many of its digits are known.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal, TypeAlias

from fuelplan.units import written_as

if TYPE_CHECKING:
    from fuelplan.messages.message import Message


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in the fixed unit of its dimension, a name in `units.QUANTITIES`: "2.1 t", "4,600 lb".

    `digits` are the significant ones; `unit` and `decimals` are for metric readers, where a rule or a habit
    writes it so ("6,500 kg", "5.0 t"). `up`: the least that must be met, rounded up for every reader.
    """

    value: float
    dimension: str
    digits: int = 2
    unit: str | None = None
    decimals: int | None = None
    up: bool = False

    @classmethod
    def written(cls, value: float, unit: str, form: str = ",.0f") -> Quantity:
        """Return a quantity that a metric sentence writes in a unit of its own: "3,000 kg", however many.

        Readers in US units get theirs, with as many digits as are known.

        Parameters
        ----------
        value
            Number of `unit`. [unit]
        unit
            kg, t, kWh, kW, W, m3, l, m, cm, km, cm2, m2, degC (a temperature), K (a difference), deg, kg/h,
            kg/m3, kWh/kg or kg/K/day. What is given in litres is poured: US readers read gallons, however
            much.
        form
            How Python formats the metric number; it says how many digits are known.
        """
        found = written_as(value, unit, form)
        return cls(found.value, found.quantity, found.digits, unit, found.decimals)


@dataclass(frozen=True, slots=True)
class Range:
    """Two ends of a quantity, rounded outwards: "1.7 to 2.5 t"; where both read the same, "about 2.1 t".

    `unit` and `decimals` as in :class:`Quantity`.
    """

    low: float
    high: float
    dimension: str
    digits: int = 2
    unit: str | None = None
    decimals: int | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """Both limits of a rule, each as it reads by itself: "2 to 5 m", "6.6 to 16 ft", "20 in to 5.9 ft"; where
    they stand behind "between", with the `joint` "and".
    """

    low: Quantity
    high: Quantity
    joint: Literal["to", "and"] = "to"

    @classmethod
    def written(
        cls, low: float, high: float, unit: str, form: str = "g", joint: Literal["to", "and"] = "to"
    ) -> Limits:
        """Return limits in the metric unit in which a rule writes them; see :meth:`Quantity.written`."""
        return cls(Quantity.written(low, unit, form), Quantity.written(high, unit, form), joint)


@dataclass(frozen=True, slots=True)
class Per:
    """So much for each unit: "55 l per kW", "14 US gal for each 10,000 BTU/h"; "4.8 kWh per kg"."""

    amount: Quantity
    each: Literal["kW", "t", "kg", "l", "m3"]


@dataclass(frozen=True, slots=True)
class Sides:
    """Length, width and height of a room or a floor [m]: "2.1 x 2.6 x 2.2 m", "6.9 ft x 8.5 ft x 7.2 ft"."""

    sides_m: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Money:
    """A sum: "1,090 EUR", or "5.20 EUR" where it is not `whole`."""

    amount: float
    currency: str
    whole: bool = True


@dataclass(frozen=True, slots=True)
class Price:
    """A price by weight [money/kg]: "310 EUR/t", "280 USD per short ton".

    With `decimals` as an offer has it: "322.00 EUR a tonne"; `each` "kg": "1.46 EUR for each kilogram".
    """

    per_kg: float
    currency: str
    decimals: int = 0
    each: Literal["t", "kg"] = "t"


@dataclass(frozen=True, slots=True)
class Day:
    """A date: "14 March", with `year` "14 March 2026"; `short`, where there is little place: "14 Mar"."""

    day: date
    year: bool = False
    short: bool = False

    @classmethod
    def relative(cls, day: date, as_of: date) -> Day:
        """Return a date with its year where that is not the year of `as_of`."""
        return cls(day, year=day.year != as_of.year)


@dataclass(frozen=True, slots=True)
class Days:
    """The days of a window, both ends included: "17 to 27 February"; with `year` after the last one."""

    first: date
    last: date
    year: bool = False


@dataclass(frozen=True, slots=True)
class Month:
    """A calendar month, 1 for January: "July", with a year "July 2026"."""

    month: int
    year: int | None = None


@dataclass(frozen=True, slots=True)
class TimeOfDay:
    """A time of day in hours of the clock: 7.5 → "07:30"; after midnight "01:10 the next day"."""

    hours: float


@dataclass(frozen=True, slots=True)
class Chance:
    """A share of 0 to 1 as a chance: "about 1 in 50"; one that was `chosen`: "1 in 50".

    `out_of` draws stand behind it, where that is known.
    """

    share: float
    out_of: int | None = None
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class Number:
    """A plain number with so many decimals: 3.14159 → "3.14". Whole numbers can be given as an `int`."""

    value: float
    decimals: int = 0


@dataclass(frozen=True, slots=True)
class Percent:
    """A share of 0 to 1 as hundredths: "22%"."""

    share: float
    decimals: int = 0


@dataclass(frozen=True, slots=True)
class Own:
    """A person's own text, or a name from a file: shown as it is in one line, never read, never converted."""

    text: str


@dataclass(frozen=True, slots=True)
class Listed:
    """Several values in a row: "a, b and c", "a, b or c", or with another `joint` put between all of them."""

    items: tuple[Value, ...]
    joint: str | Literal["and", "or"] = "and"


Plain: TypeAlias = (
    int
    | Quantity
    | Range
    | Limits
    | Sides
    | Money
    | Price
    | Day
    | Days
    | Month
    | TimeOfDay
    | Number
    | Percent
)
"""Values that are written by the numbers, dates and units of a language alone."""

Value: TypeAlias = "Plain | Chance | Per | Own | Listed | Message"
