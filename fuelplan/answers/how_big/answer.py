"""What `size` answers: plain values that the command line, the page and the report show."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.how_big.headings import QUESTION
from fuelplan.messages import Message, Said
from fuelplan.messages.cautions import Caution
from fuelplan.sizing import Build, Thumb
from fuelplan.sizing import SizeOption as SizeOption
from fuelplan.sizing.hopper_cycle import HopperOption
from fuelplan.store.access import AccessLine
from fuelplan.store.buffer import SizeRule
from fuelplan.store.bulk import Section as Section

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class YearUse:
    """Fuel of a year: mean, mildest and coldest winter, and how far the need itself may be off. [kg]

    `doubt_low`, `doubt_high` are factors on the mean that hold 8 cases in 10; `rule_kg` is what the
    kg-per-kW rule says.
    """

    mean_kg: float
    mildest_kg: float
    coldest_kg: float
    doubt_low: float
    doubt_high: float
    rule_kg: float
    rule_off_share: float


@dataclass(frozen=True)
class WorstWinter:
    """The winter in which the store came lowest, a day each. [kg]

    `year` is the real year in which it began, 0 for one made by the weather generator. Shapes (days,).
    """

    year: int
    size_m3: float
    full_kg: float
    reserve_kg: float
    use_kg: float
    dates: NDArray[np.datetime64]
    level_kg: Floats
    delivered_kg: Floats


@dataclass(frozen=True)
class HopperPart:
    """The day hopper: sizes, the smallest without interruption in the coldest week, one week in steps.

    `smallest_kg` gets through the coldest week without interruption, `proposed_kg` through every night of
    all winters as well. `week_kg` has shape (steps,), the content of a hopper of `drawn_kg`; `quiet` are the
    quiet clock hours or None.
    """

    how: str
    assumed: bool
    present_kg: float | None
    smallest_kg: float | None
    proposed_kg: float | None
    fillings_per_day: float
    fillings_per_day_coldest_week: float
    main_hours: tuple[int, ...]
    nights_empty_per_winter: float
    night_kg: float
    coldest_week_from: date
    coldest_week_kg_per_day: float
    bags_per_day: float | None
    bags_per_week: float | None
    bags_per_week_coldest: int | None
    options: tuple[HopperOption, ...]
    why: Message
    problems: tuple[Message, ...]
    quiet: tuple[float, float] | None
    burn_out_first: bool
    winters: int
    drawn_kg: float
    step_min: int
    week_kg: Floats = field(repr=False)


@dataclass(frozen=True)
class BufferPart:
    """The buffer: what each rule asks, what is there, and the heat that bridges a pause. [l, l, kWh]

    `by_hand` is True where somebody puts logs into the boiler: then the rules for such boilers count.
    """

    asked_l: float
    present_l: float
    held_kwh: float
    rules: tuple[SizeRule, ...]
    by_hand: bool = False
    questions: tuple[Message, ...] = ()


@dataclass(frozen=True)
class CellarBuild:
    """One way to build a store into a cellar. [kg, 1/year]"""

    words: Message
    slopes: int
    slope_deg: float
    along: str
    guided: bool
    usable_kg: float | None
    deliveries_per_year: float | None
    empty_winters: int | None
    works: bool
    problem: Message | None


@dataclass(frozen=True)
class CellarPart:
    """Whether a room would be enough, and which floor serves best; `best` is an index of `builds`. [m]"""

    length_m: float
    width_m: float
    height_m: float
    enough: bool
    sentence: Message
    best: int | None
    builds: tuple[CellarBuild, ...]


@dataclass(frozen=True)
class Drawing:
    """The store of the folder in section, to scale. [m, kg]"""

    words: Message
    across: Section
    along: Section
    width_m: float
    length_m: float
    height_m: float
    level_kg: float
    full_kg: float
    unusable_kg: float
    level_from: Message


@dataclass(frozen=True)
class Assumption:
    """A figure taken, and where it comes from; `explained` where that is told in sentences of its own."""

    text: Message
    source: Message
    explained: bool = False


@dataclass(frozen=True)
class SizeWeather:
    """The weather behind the answer."""

    source: Said
    winters: int
    attribution: str
    first_day: date
    last_day: date
    years: tuple[int, ...]
    invented: bool = False


@dataclass(frozen=True)
class SizeAnswer:
    """The answer to "how big a store?".

    Attributes
    ----------
    store
        The cheapest size that works; None where none does.
    best_range_m3
        Room of the smallest and the largest size as good as it. [m3]
    high_use_range_m3
        The same if the building burns as much as it well may (9 cases in 10 burn less). [m3]
    present
        The store of the folder.
    load_kw, load_said
        Heat load for rules of thumb, and where it comes from. [kW]
    thing
        What the cubic metres are of: "room", "tank", "bag silo" or "pallets".
    builds
        How each of the options would be built, in their order; empty where no room is given.
    fuel
        Name of what the store is for.
    """

    site: str
    as_of: date
    seed: int
    sentence: Message
    store: SizeOption | None
    best_range_m3: tuple[float, float] | None
    high_use_range_m3: tuple[float, float] | None
    why: Message
    present: SizeOption
    present_said: Message
    options: tuple[SizeOption, ...]
    use: YearUse
    load_kw: float
    load_said: Message
    hopper: HopperPart | None
    hopper_said: Message
    buffer_l: float
    buffer: BufferPart
    rules_of_thumb: tuple[Thumb, ...]
    order_mark: Message | None
    cellar: CellarPart | None
    fit: tuple[AccessLine, ...]
    open_questions: tuple[Message, ...]
    cautions: tuple[Caution, ...]
    warnings: tuple[Message, ...]
    assumptions: tuple[Assumption, ...]
    weather: SizeWeather
    currency: str
    worst_winter: WorstWinter | None
    drawing: Drawing | None
    thing: str = "room"
    builds: tuple[Build, ...] = ()
    fuel: str = ""

    @property
    def question(self) -> Message:
        """What was asked."""
        return QUESTION

    def to_json(self) -> dict[str, Any]:
        """Return the JSON document of the answer."""
        from fuelplan.answers.as_json import SCHEMA, plain

        document = plain(self)
        return {"schema": SCHEMA, "question": plain(self.question), **document, "reproducible": True}
