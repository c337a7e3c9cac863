"""What `order` answers: plain values that the command line, the page and the calendar show."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.when_to_order.questions import Question, SetAside
from fuelplan.heat import fuels
from fuelplan.messages import Message, Said, counted_message, message
from fuelplan.messages.cautions import Caution

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class FuelStock:
    """What is in store on the day of the answer. [kg]

    `kg` is the middle of the estimate, `p10_kg` and `p90_kg` its range, `usable_kg` the part that can be
    burned
    before only the unusable residue is left. `reading_age_days` is None where nobody has ever read the store.
    """

    fuel: str
    kg: float
    p10_kg: float
    p90_kg: float
    usable_kg: float
    capacity_kg: float
    reserve_kg: float
    reading_age_days: int | None
    reading_on: date | None
    stacked_m3: float | None = None  # logs only: the middle of the dry ones as a stack [m3]
    waiting_m3: float | None = None  # logs only: what is not dry yet, or not surely [m3]


@dataclass(frozen=True)
class FuelUse:
    """Fuel burned over the next `days`, as quantiles over the draws. [kg]"""

    fuel: str
    days: int
    p10: float
    p50: float
    p90: float


@dataclass(frozen=True)
class RunOut:
    """When the level would fall below the reserve if nothing more were ordered; None = beyond the horizon.

    `p02` is the date by which 2 in 100 draws have run out, and so on; `coldest_winter` is the median date in
    the
    hardest of the real winters on record.
    """

    fuel: str
    p02: date | None
    p10: date | None
    p50: date | None
    p90: date | None
    coldest_winter: date | None = None


@dataclass(frozen=True)
class ProposedOrder:
    """One order: the last safe day to place it, when the tanker comes, how much, and the risk of that order.

    `fits_kg` is what surely fits when it comes, where more fits than is proposed. [kg] The risk of an order
    after the first is not a number: it is decided anew when its time comes.
    """

    fuel: str
    order_by: date
    deliver_from: date
    deliver_to: date
    amount_kg: float
    risk: float
    cost: float | None = None
    fits_kg: float | None = None


@dataclass(frozen=True)
class PlacedOrder:
    """An order already placed and not yet delivered, as the site's files remember it.

    One that is `overdue` should have come by now: it is asked about, and not counted on.
    """

    fuel: str
    ordered_on: date
    deliver_from: date
    deliver_to: date
    amount_kg: float
    overdue: bool = False


@dataclass(frozen=True)
class Alternative:
    """One thing that could be done today: an amount, or 0 for waiting a week.

    `cost` is what follows on average beyond the best open alternative; `why_not` says why it is not open, ""
    where it is; `bill` is the whole bill of the order. [kg, money, share]
    """

    amount_kg: float
    cost: float
    risk: float
    is_open: bool
    why_not: Said
    bill: float


@dataclass(frozen=True)
class PolicyYear:
    """A year of one way of deciding, over the draws: the plan, or a simple rule.

    `name` is for programs, `said` for people. `more_than_plan` is the mean cost above the plan's on the
    same draws; `empty_risk` the chance of an empty store within the year; `late_per_order` the share of
    orders that come after the level fell below the reserve. One that `is_open` keeps the risk limit, so the
    plan may choose it and never costs more; one that is not may cost less by running late.
    """

    name: str
    cost: float
    cost_p10: float
    cost_p90: float
    more_than_plan: float
    orders: float
    empty_risk: float
    late_per_order: float
    is_open: bool
    said: Message


@dataclass(frozen=True)
class WholeBill:
    """The cheapest bill for the proposed amount, tax included: its lines, other offers, and offers refused
    with the reason.
    """

    supplier: str
    amount_kg: float
    total: float
    lines: tuple[tuple[Message, float], ...]
    others: tuple[tuple[str, float], ...]
    refused: tuple[Message, ...]
    notes: tuple[Message, ...]


@dataclass(frozen=True)
class Advice:
    """What the money says: today's choice, why, what it saves, and the year under other rules."""

    reason: Message
    saves: float | None
    alternatives: tuple[Alternative, ...]
    policies: tuple[PolicyYear, ...]
    bill: WholeBill | None


@dataclass(frozen=True)
class LevelBand:
    """Level of one fuel day by day: quantiles over the draws, shape (days,) each. [kg]

    `with_plan` says whether the placed and proposed orders are counted as arriving.
    """

    fuel: str
    dates: NDArray[np.datetime64]
    p02: Floats
    p10: Floats
    p50: Floats
    p90: Floats
    with_plan: bool


@dataclass(frozen=True)
class YearCost:
    """Money: the proposed order and the next twelve months' fuel, as quantiles over the draws."""

    price_per_kg: float | None
    order: float | None
    year_p10: float | None
    year_p50: float | None
    year_p90: float | None


@dataclass(frozen=True)
class WeatherNote:
    """Which weather stands behind the answer; `invented` where any of its days are made up."""

    source: Said
    winters: int
    draws: int
    forecast_days: int
    attribution: str
    first_day: date | None = None
    last_day: date | None = None
    invented: bool = False

    @property
    def behind(self) -> Message:
        """How many real winters stand behind a chance."""
        if self.winters == 0:
            return message("order.no_winter_behind", "simulated winters alone, no past winter behind it")
        return counted_message(
            "order.winters_behind", "{n} past winter behind it", "{n} past winters behind it", self.winters
        )


@dataclass(frozen=True)
class UpkeepEntry:
    """Something to do on a day, or a question to answer (`kind` "question"), with the cautions that go with
    it.
    """

    day: date
    kind: str
    title: Message
    text: Message
    latest: date | None
    key: str
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class StackedLogs:
    """Logs of one kind and age in a stack, on the day asked for.

    `is_dry` are those that are dry even if they dried slowly, the only ones that are counted on;
    `counts_from` is the first day on which they are, from the day asked for on. Water is a share of the wet
    mass, by the usual drying and if they dried slowly, and `dry_from` the first day dry enough by the usual
    drying. Days are None where they lie more than five years after the stacking. `counted_on` is the newest
    count of the stack.
    """

    stack: str
    wood: str
    stacked_m3: float
    kg: float
    kwh: float
    is_dry: bool
    water: float
    water_if_slow: float
    dry_from: date | None
    counts_from: date | None
    counted_on: date | None


@dataclass(frozen=True)
class Tonight:
    """What to do about the fire, from the buffer's temperatures.

    `held_kwh` is the usable heat in the buffer and `kg_now` the logs whose heat it takes now, whatever the
    house takes, up to `full_kg`. Times are hours of the clock from the midnight before the temperatures were
    read: 26.5 is half past two of the next night. `light_at_h` is the first at which the buffer takes a full
    load and somebody is at home by the way of loading, `over_at_h` the time at which the other fuel takes
    over, since the heat is used up before. None: not within the days looked ahead, or not before that fire.
    """

    read_on: date
    read_at_h: float
    held_kwh: float
    kg_now: float
    full_kg: float
    light_at_h: float | None
    over_at_h: float | None


@dataclass(frozen=True)
class LogAdvice:
    """Logs beside pellets: what loading saves, the stacks, when to cut, when to light next; sentences for
    people.
    """

    loading: Message
    loaded_share: tuple[float, float, float]  # of what the rule of loading burns: p10, mean, p90
    loaded_said: Message | None  # the same, and what tells it
    kg_saved_per_hour: float | None
    stacks: tuple[Message, ...]
    yard: tuple[StackedLogs, ...]  # as values what `stacks` says, one for one
    cut_by: tuple[Message, ...]
    light_next: Message | None
    tonight: Tonight | None  # as values what `light_next` says
    week_loads: tuple[float, float]  # loads a day in the week ahead if logs gave all the heat, p10 to p90
    coldest_week_loads: tuple[float, float]  # loads a day in it if logs gave all the heat, p10 to p90
    winter_stacked_m3: tuple[float, float]  # stacked metres that a year of loading burns, p10 to p90


@dataclass(frozen=True)
class HeatPrice:
    """What a kWh of useful heat costs with one fuel; the range is that of a measured pile. [money/kWh]

    `co2_kg_per_kwh` is by the named national factor; None where that source has none.
    """

    name: str
    per_kwh: float
    low_per_kwh: float
    high_per_kwh: float
    co2_kg_per_kwh: float | None
    co2_source: str
    currency: str


@dataclass(frozen=True)
class OrderAnswer:
    """The answer to "when do I order, and how much?".

    `questions` are what only the person can tell, the most pressing first; until they are answered the dates
    follow the emptier store and the amounts must fit the fuller. `set_aside` are the entries that did not
    move the answer, each with the reason.
    """

    site: str
    as_of: date
    seed: int
    sentence: Said
    stocks: tuple[FuelStock, ...]
    use_kg: tuple[FuelUse, ...]
    run_out: tuple[RunOut, ...]
    decision: str  # "wait", "order", "late"
    order: ProposedOrder | None
    placed: tuple[PlacedOrder, ...]
    risk_limit: float
    empty_risk_per_year: float
    next_orders: tuple[ProposedOrder, ...]
    cost: YearCost
    currency: str
    horizon_days: int
    cautions: tuple[Caution, ...]
    warnings: tuple[Message, ...]
    weather: WeatherNote
    advice: Advice | None = None
    logs: LogAdvice | None = None
    upkeep: tuple[UpkeepEntry, ...] = ()
    heat_prices: tuple[HeatPrice, ...] = ()
    explanation: tuple[Message, ...] = ()  # where the numbers come from, a sentence each
    questions: tuple[Question, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    levels: tuple[LevelBand, ...] = field(default=(), repr=False)

    @property
    def on_its_way(self) -> tuple[PlacedOrder, ...]:
        """Return the placed orders that are counted on: those that are not overdue."""
        return tuple(p for p in self.placed if not p.overdue)

    @property
    def stacked_stock(self) -> FuelStock | None:
        """Return the stock of the fuel that lies in stacks, where the house burns one."""
        return next((s for s in self.stocks if fuels.fuel(s.fuel).is_stacked), None)

    @property
    def stacked_run_out(self) -> RunOut | None:
        """Return when that of the stacks is burned."""
        return next((r for r in self.run_out if fuels.fuel(r.fuel).is_stacked), None)

    def to_json(self) -> dict[str, Any]:
        """Return the published JSON document (schema 1); the level band is given by day."""
        from fuelplan.answers.as_json import order_document

        return order_document(self)
