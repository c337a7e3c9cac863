"""What a column is, and those of a round's files: one place for reading, writing, importing, the page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from fuelplan.messages import Message
from fuelplan.records.schema.formats import CONTRACTS_BEFORE_2

CellKind = Literal[
    "id", "text", "number", "amount", "date", "clock", "yes", "choice", "classes", "weekdays", "share"
]
CLASS_MARK = ";"


@dataclass(frozen=True)
class Column:
    """One column.

    Attributes
    ----------
    quantity
        Name in `units.QUANTITIES` by which a cell with a unit is read; "" for none.
    unit_factor
        The column's own unit in the fixed unit, e.g. 1000 for tonnes.
    low, high
        A number outside of these cannot be meant.
    choices
        The words that are known.
    also
        Words that are read as one of them: those of older formats, and other spellings.
    unwritten
        What is said where nothing is written but must be; None: what is said of every such column.
    """

    name: str
    kind: CellKind
    what: str
    example: str = ""
    needed: bool = False
    quantity: str = ""
    unit_factor: float = 1.0
    low: float = 0.0
    high: float = 1e12
    choices: tuple[str, ...] = ()
    also: Mapping[str, str] = field(default_factory=dict)
    unwritten: Message | None = None

    def word(self, text: str) -> str:
        """Return a cell's word as it is written today; the text itself where it is not known."""
        small = text.lower()
        return small if small in self.choices else self.also.get(small, text)


def _kg(
    name: str, what: str, example: str, *, low: float = 0.0, high: float = 200_000.0, needed: bool = False
) -> Column:
    return Column(name, "number", what, example, needed=needed, quantity="mass", low=low, high=high)


LEAST_STORE_KG = 50.0
LEAST_DROP_KG = 20.0  # below lies a slip of the decimal sign, not a delivery by tanker

CONTRACTS = ("top-up", "on request")

CUSTOMERS = (
    Column("customer", "id", "number or short name of the customer; no two alike", "K-1042", needed=True),
    Column("name", "text", "name for the run sheet", "Hofer, Mill Lane 4"),
    Column("area", "text", "area of `round.toml` whose weather counts; may be left out where there is one",
           "upper valley"),
    Column("depot", "text", "depot that serves the customer; empty: any", "north"),
    Column("latitude", "number", "degrees north", "47.21", needed=True, low=-90, high=90),
    Column("longitude", "number", "degrees east", "11.35", needed=True, low=-180, high=180),
    Column("elevation_m", "number", "height above sea level", "720", quantity="length", low=-450,
           high=6000),
    Column("classes", "classes", f"classes the customer takes, several with `{CLASS_MARK}` between; empty: "
           "the first of the round", "A1"),
    _kg("store_kg", "what the store holds when filled as full as it may be", "5200", low=LEAST_STORE_KG,
        needed=True),
    _kg("reserve_kg", "level that must not be undercut; empty: [rules] reserve", "500"),
    Column("contract", "choice", "`top-up`: you see to it that there is fuel; `on request`: the customer "
           "orders; empty: on request", "top-up", choices=CONTRACTS,
           also={**CONTRACTS_BEFORE_2, "top up": "top-up", "on-request": "on request"}),
    Column("hose_m", "number", "hose needed from the tanker to the coupling", "25", quantity="length",
           high=200),
    Column("max_width_m", "number", "widest tanker that gets through; empty: any", "2.3", quantity="length",
           low=1.0, high=10),
    Column("max_weight_t", "number", "heaviest tanker that may drive there; empty: any", "18",
           quantity="mass", unit_factor=1000.0, low=1.0, high=100),
    Column("trailer_ok", "yes", "whether a trailer can come along; empty: yes", "no"),
    Column("weekdays", "weekdays", "weekdays on which they take fuel; empty: every one", "Mon;Tue;Thu"),
    Column("from", "clock", "earliest time of the day", "08:00"),
    Column("to", "clock", "latest time of the day at which the tanker may arrive", "16:00"),
    _kg("smallest_drop_kg", "smallest drop; empty: [rules] smallest_drop", "2000", low=LEAST_DROP_KG),
    _kg("kg_per_year", "what they say they burn in a usual year", "6100", low=LEAST_DROP_KG, high=5e6),
    Column("hot_water_share", "share", "share of that for hot water", "15 %", quantity="share", high=1.0),
    Column("call_ahead", "yes", "ring before coming", "yes"),
    Column("credit_stop", "yes", "nothing is delivered until this is no again", "no"),
    Column("phone", "text", "number to ring", "555 0142"),
    Column("note", "text", "for the driver, e.g. how long the boiler must be off before",
           "boiler off 1 h before"),
    Column("split_with", "text", "customer id of a neighbour with whom a drop is shared", "K-1043"),
    Column("left_on", "date", "last day on which the customer is served, for one who leaves; empty: stays",
           "2026-03-31"),
    Column("told_window_h", "number", "hours between the earliest and the latest time that the customer is "
           "told; empty: 2", "3", low=0.5, high=24.0),
)  # fmt: skip

DELIVERIES = (
    Column("customer", "id", "customer id", "K-1042", needed=True),
    Column("date", "date", "day of the delivery", "2025-11-04", needed=True),
    _kg("kg", "what the weigh note says", "4120", low=LEAST_DROP_KG, needed=True),
    Column("class", "text", "class of fuel", "A1"),
    Column("tanker", "text", "which tanker", "T1"),
    Column("filled_full", "yes", "whether the store was full afterwards", "no"),
)
READINGS = (
    Column("customer", "id", "customer id", "K-1042", needed=True),
    Column("date", "date", "evening of the reading", "2026-01-04", needed=True),
    _kg("kg", "what lay in the store", "2400"),
    Column("percent", "number", "or how full it was, by eye", "45", quantity="share", unit_factor=0.01,
           high=100),
    Column("checked", "choice", "of a reading that disagrees with what was expected: `right`: it is as it "
           "stands; `wrong`: it does not count; empty: not looked at again", "", choices=("right", "wrong")),
)  # fmt: skip
FULL = "full"
ORDERS = (
    Column("order", "id", "number of the order; no two alike", "2026-0117", needed=True),
    Column("customer", "id", "customer id", "K-1042", needed=True),
    _kg("kg", f"amount, or `{FULL}` for as much as fits", "3500", low=LEAST_DROP_KG, needed=True),
    Column("class", "text", "class of fuel; empty: the first the customer takes", "A1"),
    Column("from", "date", "first day promised; empty: at once", "2026-01-12"),
    Column("to", "date", "last day promised", "2026-01-16", needed=True),
    Column("price_per_t", "number", "price agreed, for each tonne, in the round's currency", "318", high=1e5),
    Column("credit_stop", "yes", "not to be delivered until this is no again", "no"),
    Column("call_ahead", "yes", "ring before coming", "yes"),
    Column("already_empty", "yes", "the store is empty now", "no"),
    Column("split_with", "text", "customer id of the neighbour who shares the drop: two weigh notes",
           "K-1043"),
    Column("lifted_by", "text", "who lifted a credit stop for this order alone; empty: nobody", "Anna"),
)
PUBLISHED = (
    Column("date", "date", "day of the stop", "2026-01-13", needed=True),
    Column("tanker", "text", "which tanker", "T1", needed=True),
    Column("trip", "number", "its first, second … run of the day", "1", needed=True, low=1, high=20),
    Column("position", "number", "place of the stop in the run", "3", needed=True, low=1, high=200),
    Column("customer", "id", "customer id", "K-1042", needed=True),
    Column("class", "text", "class of fuel", "A1", needed=True),
    _kg("kg", "what was told to the customer", "3500", needed=True),
    Column("arrive", "clock", "when the tanker arrives", "10:40"),
    Column("start", "clock", "when work begins there", "10:40"),
    Column("leave", "clock", "when it drives on", "11:25"),
    Column("told_from", "clock", "from when the customer was told to expect it", "09:45"),
    Column("told_to", "clock", "and until when: no plan leaves this window by itself", "11:45"),
    Column("order", "text", "order that it serves", "2026-0117"),
    Column("run_leaves", "clock", "when the run leaves the depot", "06:30"),
    Column("run_back_by", "clock", "when it is back", "13:05"),
    Column("chambers", "text", "class and kilograms of each chamber of the run", "A1 4500; A2 1500; empty"),
    Column("breaks", "text", "the driver's breaks: when, how long, before which stop of the run",
           "10:05 45 min before 3"),
    Column("by", "text", "who published it", "Anna"),
)  # fmt: skip
WISH_KINDS = ("pin", "forbid", "move")
WISHES = (
    Column("customer", "id", "customer id", "K-1042", needed=True),
    Column("wish", "choice", "`pin`: on that day (and that tanker); `forbid`: not on that day, or not by "
           "that tanker; `move`: to that day", "pin", needed=True, choices=WISH_KINDS),
    Column("date", "date", "the day; may be empty where a tanker is forbidden for good", "2026-01-14"),
    Column("tanker", "text", "the tanker; empty: any", "T2"),
    Column("by", "text", "who wished it", "Anna"),
    Column("why", "text", "why", "needs help with the hose"),
)  # fmt: skip
HAPPENING_KINDS = ("failed drop", "tanker out", "slow roads", "depot out of stock", "came")
FAILED_DROP_REASONS = ("boiler on", "no access", "store full", "nobody there", "credit stop", "other")
HAPPENINGS = (
    Column("date", "date", "first day of it", "2026-01-13", needed=True),
    Column("what", "choice", "what happened", "failed drop", needed=True, choices=HAPPENING_KINDS),
    Column("customer", "text", "customer id, for a failed drop or one that came", "K-1042"),
    Column("tanker", "text", "for a tanker that is out", "T3"),
    Column("depot", "text", "for a depot without stock; for slow roads, only around it", "north"),
    Column("until", "date", "last day of it; empty: that day alone", "2026-01-14"),
    Column("factor", "number", "how many times longer driving takes on slow roads", "2", low=1, high=10),
    Column("class", "text", "class that is out; empty: every one", "A2"),
    _kg("kg", "what came, where it is not what was published; until its weigh note is there", "3500"),
    Column("reason", "text", f"why; for a failed drop one of: {', '.join(FAILED_DROP_REASONS)}", "boiler on"),
)
ODOMETER = (
    Column("date", "date", "day", "2026-01-13", needed=True),
    Column("tanker", "text", "which tanker", "T1", needed=True),
    Column(
        "km", "number", "kilometres driven that day, by the odometer", "118", needed=True, low=0.1, high=2000
    ),
)

FILES: dict[str, tuple[Column, ...]] = {
    "customers": CUSTOMERS,
    "deliveries": DELIVERIES,
    "readings": READINGS,
    "orders": ORDERS,
    "published": PUBLISHED,
    "wishes": WISHES,
    "happenings": HAPPENINGS,
    "odometer": ODOMETER,
}
"""Columns of every table, by its name, which is also the name of its file."""

WITH_PARQUET = ("customers", "deliveries", "readings")


def names_of(kind: str) -> tuple[str, ...]:
    """Return the names of the columns of a table."""
    return tuple(column.name for column in FILES[kind])
