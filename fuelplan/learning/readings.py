"""Readings and deliveries of every kind people have, as kilograms with their errors.

A reading is either a *level* (what lies in the store) or a *count* (what has been burned since some start:
the boiler's own counter, a heat meter, log loads). Counts carry the name of their meter, since a meter's
unknown scale is shared by all its readings. Readings are taken on the evening of their day unless said; a
delivery comes during its day, before the reading of that evening.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from fuelplan.messages import Message, Own, Refusal, message

Moment = Literal["morning", "before_delivery", "after_delivery", "evening"]
Kind = Literal["kg", "percent", "mark", "bags", "empty", "full", "counter", "heat_meter", "room"]

COUNTS: frozenset[str] = frozenset({"counter", "heat_meter"})
"""Kinds that tell what was burned, not what is left."""

THROUGH_THE_SHAPE: frozenset[str] = frozenset({"percent", "mark", "full"})
"""Kinds that see a volume: the site's doubt about bulk density and shape is shared by all of them."""

PERCENT_SD = 0.10
"""Doubt of a level told by eye, as a share of the capacity (an assumption, settable)."""

MEASURED_SHARE_SD = 0.03
"""The same of a share that an instrument shows (an assumption, as for a full store)."""

WEIGHED_SD, UNWEIGHED_SD = 0.01, 0.10
"""Doubt of a delivered amount with and without a weigh note, as a share (assumptions, settable)."""

UNWEIGHED_SD_KG = 200.0
"""Delivered against ordered amount: within 10 % or 200 kg (Swedish practice, COFORD 2008). [kg]"""


DRIFT_REL_SD: Mapping[Kind, float] = {"counter": 0.01, "heat_meter": 0.005}
"""How much the scale moves in a year, slowly and in one direction, as a share.

Heat meter: it may be twice as far off in service as when new (EN 1434-1; Directive 2014/32/EU, annex VI;
value from memory). That is 3 points more at most for a flow sensor of class 3, in about six years between
verifications (value from memory): as two standard deviations, 0.25 % a year. The boiler's efficiency, by
which its heat becomes kilograms, is given as much again (assumption). The boiler's counter reckons kilograms
from the running time of an auger, which wears (assumption). Bags that are counted, and weigh notes, do not
drift.
"""

DEVICE_REL_SD: Mapping[Kind, float] = {"counter": 0.08, "heat_meter": 0.03}
"""How much another device of the kind differs in scale, as a share: a count that began anew may come from
one (assumptions; EN 1434-1 allows a new heat meter 3 to 5 % at usual flows, value from memory)."""


class ReadingError(Refusal):
    """A reading or delivery that cannot be right, and what to write instead."""


@dataclass(frozen=True)
class Observation:
    """One reading of the store or of a meter.

    Attributes
    ----------
    day
        Date of the reading, local to the site.
    kg
        Level in the store, or what the meter shows at its nominal scale. [kg]
    sd_kg
        Standard deviation of this reading's own error, without what all readings of the site share. [kg]
    kind
        How it was had; "room" is no reading, but what a delivery tells by having gone in.
    moment
        When on that day.
    meter
        Name of the meter of a count; empty for levels.
    scale_rel_sd
        Doubt of the meter's scale as a share, shared by all its readings.
    restarted
        The meter began anew between the reading before and this one.
    estimated
        The number was not read but guessed or carried forward.
    confirmed
        The person was asked and says that it is right.
    line
        Line of the person's file that it stands in; 0 where it stands in none.
    """

    day: date
    kg: float
    sd_kg: float
    kind: Kind = "kg"
    moment: Moment = "evening"
    meter: str = ""
    scale_rel_sd: float = 0.0
    restarted: bool = False
    estimated: bool = False
    confirmed: bool = False
    line: int = 0

    def __post_init__(self) -> None:
        """Refuse numbers that no store or meter shows."""
        if not math.isfinite(self.kg) or self.kg < 0:
            raise ReadingError(_no_amount_read(self.day, self.kg))
        if not math.isfinite(self.sd_kg) or self.sd_kg <= 0:
            raise ReadingError(f"reading of {self.day}: a doubt of {self.sd_kg:g} kg; it must be above 0 kg")
        if self.is_count and not self.meter:
            raise ReadingError(f"reading of {self.day}: a {self.kind} reading needs the name of its meter")

    @property
    def is_level(self) -> bool:
        """Whether somebody looked at the store."""
        return not self.is_count and self.kind != "room"

    @property
    def is_count(self) -> bool:
        """Whether it tells what was burned, not what is left."""
        return self.kind in COUNTS

    @property
    def sees_volume(self) -> bool:
        """Whether the site's doubt about density and shape goes into it."""
        return self.kind in THROUGH_THE_SHAPE


@dataclass(frozen=True)
class Delivery:
    """Fuel that came into the store.

    Attributes
    ----------
    day
        Date it came.
    kg
        Accepted amount; None where it is not known. [kg]
    sd_kg
        Standard deviation of the amount. [kg]
    filled_full
        The store was full afterwards.
    ordered_kg
        What had been ordered; never stands for what came. [kg]
    weighed
        Whether there is a weigh note.
    late
        It came after a reading of its day that was taken after another delivery.
    line
        Line of the person's file that it stands in; 0 where it stands in none.
    """

    day: date
    kg: float | None
    sd_kg: float
    filled_full: bool = False
    ordered_kg: float | None = None
    weighed: bool = True
    late: bool = False
    line: int = 0

    def __post_init__(self) -> None:
        """Refuse amounts that cannot have come."""
        if self.kg is not None and (not math.isfinite(self.kg) or self.kg < 0):
            raise ReadingError(_no_amount_came(self.day, self.kg))
        if not math.isfinite(self.sd_kg) or self.sd_kg < 0:
            raise ReadingError(f"delivery of {self.day}: a doubt of {self.sd_kg:g} kg; write 0 kg or more")
        if self.kg is None and not self.filled_full:
            raise ReadingError(
                message(
                    "reading.delivery_without_amount",
                    "delivery of {day}: neither the amount nor 'filled full' is known; write the kg on the "
                    "weigh note",
                    day=_iso(self.day),
                )
            )


# --- levels -------------------------------------------------------------------------------------------------


def weighed(day: date, kg: float, sd_kg: float | None = None, moment: Moment = "evening") -> Observation:
    """Level known in kilograms, from weighing cells or a careful estimate.

    `sd_kg` defaults to 2 % and at least 10 kg (an assumption). [kg]
    """
    return Observation(day, kg, max(10.0, 0.02 * kg) if sd_kg is None else sd_kg, "kg", moment)


def percent(
    day: date, share: float, capacity_kg: float, sd_share: float = PERCENT_SD, moment: Moment = "evening"
) -> Observation:
    """Level told by eye as a share (0..1) of the capacity, give or take ten points."""
    if not 0 <= share <= 1:
        raise ReadingError(
            message(
                "reading.impossible_share",
                "reading of {day}: {share} % of the store; write 0 % to 100 %",
                day=_iso(day),
                share=Own(f"{100 * share:g}"),
            )
        )
    _need_capacity(day, capacity_kg)
    return Observation(day, share * capacity_kg, sd_share * capacity_kg, "percent", moment)


def mark(
    day: date,
    cm: float | Sequence[float],
    kg_of_mark: Callable[[float], tuple[float, float]],
    moment: Moment = "evening",
) -> Observation:
    """Level from one or several depths of fill, through the store's shape.

    Parameters
    ----------
    day, moment
        When.
    cm
        One depth or several at different points; suction leaves a crater, so several are better. [cm]
    kg_of_mark
        The store's own rule: depth [cm] → (kg, sd in kg).

    Several points are averaged after the rule; their spread tells how uneven the top is, and its standard
    error is added to the rule's own doubt.
    """
    depths = [float(cm)] if isinstance(cm, int | float) else [float(c) for c in cm]
    if not depths or any(not math.isfinite(c) or c < 0 for c in depths):
        raise ReadingError(
            message(
                "reading.impossible_mark",
                "reading of {day}: marks are depths of fill, 0 cm or more, not {depth}",
                day=_iso(day),
                depth=Own(repr(cm)),
            )
        )
    amounts = [kg_of_mark(c) for c in depths]
    mean_kg = sum(kg for kg, _ in amounts) / len(amounts)
    rule_sd_kg = math.sqrt(sum(sd**2 for _, sd in amounts) / len(amounts))
    spread_kg2 = 0.0
    if len(amounts) > 1:
        spread_kg2 = sum((kg - mean_kg) ** 2 for kg, _ in amounts) / (len(amounts) - 1) / len(amounts)
    return Observation(day, mean_kg, math.sqrt(rule_sd_kg**2 + spread_kg2), "mark", moment)


def bags(
    day: date, count: float, kg_per_bag: float = 15.0, sd_bags: float = 0.5, moment: Moment = "evening"
) -> Observation:
    """Level counted in bags (15 kg, sellers' practice); half a bag of doubt for the one that is open."""
    return Observation(day, count * kg_per_bag, sd_bags * kg_per_bag, "bags", moment)


def ran_empty(day: date, capacity_kg: float, sd_share: float = 0.01) -> Observation:
    """The store ran empty some time on `day`, before any delivery of that day."""
    _need_capacity(day, capacity_kg)
    return Observation(day, 0.0, max(5.0, sd_share * capacity_kg), "empty", "before_delivery")


def full(day: date, capacity_kg: float, sd_share: float = 0.03, moment: Moment = "evening") -> Observation:
    """The store was full: its capacity, give or take how level the fill is."""
    _need_capacity(day, capacity_kg)
    return Observation(day, capacity_kg, sd_share * capacity_kg, "full", moment)


def room_for(delivered: Delivery, capacity_kg: float) -> Observation | None:
    """What a delivery tells by having gone in: the store held at most its capacity less the amount.

    How much less, is found for each house (:mod:`fuelplan.learning.filling`); the doubt here is that of
    what came. None where the amount is not known, or more than the store holds.
    """
    if delivered.kg is None or delivered.kg > capacity_kg:
        return None
    free_kg, sd_kg = capacity_kg - delivered.kg, max(delivered.sd_kg, 1.0)
    return Observation(delivered.day, free_kg, sd_kg, "room", "before_delivery", line=delivered.line)


# --- counts -------------------------------------------------------------------------------------------------


def counter(
    day: date,
    shown_kg: float,
    meter: str = "boiler",
    scale_rel_sd: float = 0.10,
    restarted: bool = False,
    sd_kg: float | None = None,
    moment: Moment = "evening",
) -> Observation:
    """The boiler's own count of kilograms burned; its scale is doubtful (10 %, assumed) and may drift."""
    sd = max(2.0, 0.0005 * shown_kg) if sd_kg is None else sd_kg
    return Observation(day, shown_kg, sd, "counter", moment, meter, scale_rel_sd, restarted)


def heat_meter(
    day: date,
    shown_kwh: float,
    kwh_per_kg: float,
    meter: str = "heat",
    scale_rel_sd: float = 0.10,
    restarted: bool = False,
    sd_kwh: float = 10.0,
    moment: Moment = "evening",
) -> Observation:
    """A heat meter behind the boiler; `kwh_per_kg` is useful heat per kilogram, its doubt is the scale's.

    Useful heat per kilogram = net calorific value × seasonal efficiency. [kWh/kg]
    """
    if not kwh_per_kg > 0:
        raise ReadingError(
            f"reading of {day}: {kwh_per_kg:g} kWh/kg; useful heat per kilogram is above 0, about 4"
        )
    return Observation(
        day, shown_kwh / kwh_per_kg, sd_kwh / kwh_per_kg, "heat_meter", moment, meter, scale_rel_sd, restarted
    )


def guessed(observation: Observation, widen: float = 3.0) -> Observation:
    """The same reading as one that was estimated, not read: named as such, its doubt widened."""
    return replace(observation, sd_kg=observation.sd_kg * widen, estimated=True)


# --- deliveries ---------------------------------------------------------------------------------------------


def delivery(
    day: date,
    kg: float | None = None,
    *,
    weighed_ticket: bool = True,
    filled_full: bool = False,
    ordered_kg: float | None = None,
    weighed_sd: float = WEIGHED_SD,
    unweighed_sd: float = UNWEIGHED_SD,
) -> Delivery:
    """A delivery with the error of its amount.

    A weigh note is good to 1 %. Without one the amount is good to 10 %. Where only the ordered amount is
    known, what came is taken as about that, give or take 10 % or 200 kg, whichever is more.
    """
    if kg is not None:
        return Delivery(
            day,
            kg,
            (weighed_sd if weighed_ticket else unweighed_sd) * kg,
            filled_full,
            ordered_kg,
            weighed_ticket,
        )
    if ordered_kg is not None:
        sd_kg = max(UNWEIGHED_SD_KG, unweighed_sd * ordered_kg)
        return Delivery(day, ordered_kg, sd_kg, filled_full, ordered_kg, False)
    return Delivery(day, None, 0.0, filled_full, None, False)


def _need_capacity(day: date, capacity_kg: float) -> None:
    if not (math.isfinite(capacity_kg) and capacity_kg > 0):
        raise ReadingError(
            message(
                "reading.needs_capacity",
                "reading of {day}: needs the store's capacity in kg, above 0, not {capacity}",
                day=_iso(day),
                capacity=Own(f"{capacity_kg:g}"),
            )
        )


def _no_amount_read(day: date, kg: float) -> Message:
    return message(
        "reading.no_amount",
        "reading of {day}: {kg} kg is no amount; write 0 kg or more",
        day=_iso(day),
        kg=Own(f"{kg:g}"),
    )


def _no_amount_came(day: date, kg: float) -> Message:
    return message(
        "reading.delivery_of_no_amount",
        "delivery of {day}: {kg} kg is no amount; write 0 kg or more",
        day=_iso(day),
        kg=Own(f"{kg:g}"),
    )


def _iso(day: date) -> Own:
    """Return a day as the person's files write it."""
    return Own(day.isoformat())
