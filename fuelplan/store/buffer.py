"""The buffer: how large by each rule, how much heat it holds, and when to light next."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan import units

Floats = NDArray[np.float64]

WATER_KWH_PER_L_K = 1.163e-3  # physics: 55 l over 40 K hold 2.56 kWh
LITRES_PER_KW_BY_HAND, LITRES_PER_CHAMBER_LITRE = 55.0, 12.0  # 1. BImSchV §5
NONE_BELOW_L = 300.0  # EN 303-5: a manual boiler whose formula gives less needs none


class BufferError(ValueError):
    """Something said about a buffer cannot be; the sentence says what to write instead."""


def heat_held_kwh(litres: float, warmer_k: float) -> float:
    """Return the heat that water holds above a temperature: 1.163 Wh per litre and kelvin. [kWh]"""
    if not litres >= 0:
        raise BufferError(f"a buffer of {litres:g} l cannot be; write zero or more, e.g. 1000 l")
    return WATER_KWH_PER_L_K * litres * warmer_k


def litres_en_303_5(rated_kw: float, burn_h: float, house_kw: float, least_kw: float) -> float:
    """Return the buffer of a manually stoked log boiler: 15 T_B Q_N (1 - 0.3 Q_H / Q_min), 0 below 300 l. [l]

    Parameters
    ----------
    rated_kw, burn_h
        Rated output Q_N, and burning time T_B of one load at it. [kW, h]
    house_kw
        Heat load Q_H of the building. [kW]
    least_kw
        Lowest output Q_min the boiler can hold. [kW]

    Source: EN 303-5 (secondary).
    """
    if not (rated_kw > 0 and burn_h > 0 and house_kw >= 0 and 0 < least_kw <= rated_kw):
        raise BufferError(
            "the formula needs outputs and a burning time above zero, and a least output no larger than "
            "the rated"
        )
    litres = 15.0 * burn_h * rated_kw * (1.0 - 0.3 * house_kw / least_kw)
    return litres if litres >= NONE_BELOW_L else 0.0


def litres_german_ordinance(rated_kw: float, *, by_hand: bool, chamber_l: float | None = None) -> float:
    """Return the least buffer of the German 1. BImSchV §5. [l]

    By hand 12 l per litre of fuel chamber, at least 55 l per kW; automatic 20 l per kW.
    """
    if not rated_kw > 0:
        raise BufferError(f"a boiler of {rated_kw:g} kW cannot be; write its rated output, e.g. 25 kW")
    if not by_hand:
        return 20.0 * rated_kw
    return max(LITRES_PER_KW_BY_HAND * rated_kw, LITRES_PER_CHAMBER_LITRE * (chamber_l or 0.0))


def litres_eu_test(rated_kw: float, *, by_hand: bool) -> float:
    """Return the buffer that EU 2015/1189 takes for its test. [l]

    By hand max(300, 45 P (1 - 2.7 / P)), automatic 20 P.
    """
    if not rated_kw > 0:
        raise BufferError(f"a boiler of {rated_kw:g} kW cannot be; write its rated output, e.g. 25 kW")
    return max(300.0, 45.0 * rated_kw * (1.0 - 2.7 / rated_kw)) if by_hand else 20.0 * rated_kw


@dataclass(frozen=True)
class SizeRule:
    """What one rule asks for. [l]"""

    litres: float
    rule: str
    source: str


def size_rules(
    rated_kw: float,
    *,
    by_hand: bool,
    house_kw: float,
    burn_h: float = 4.0,
    least_kw: float | None = None,
    chamber_l: float | None = None,
    batch_kwh: float | None = None,
    country: str | None = None,
) -> tuple[SizeRule, ...]:
    """Return every rule's buffer side by side, largest first.

    Local rules and the maker's manual come before all of them.

    Parameters
    ----------
    chamber_l
        Room of the fuel chamber; None where it is not known. [l]
    batch_kwh
        Useful heat of one full load of logs: then the buffer that takes it whole over 40 K is listed too.
        [kWh]
    country
        Two letters: in Germany the ordinance is named as the law; elsewhere its figures for boilers fed by
        hand stand as guidance.
    """
    german = litres_german_ordinance(rated_kw, by_hand=by_hand, chamber_l=chamber_l)
    rules = []
    if country == "DE":
        rules.append(SizeRule(german, "law in Germany", "1. BImSchV §5"))
    elif by_hand:
        by_kw = german <= LITRES_PER_KW_BY_HAND * rated_kw
        how = _per_power(LITRES_PER_KW_BY_HAND) if by_kw else "12 litres for each litre of fuel chamber"
        rules.append(SizeRule(german, "boilers fed by hand", f"guidance: {how}"))
    rules += [
        SizeRule(litres_eu_test(rated_kw, by_hand=by_hand), "buffer of the test", "EU 2015/1189"),
    ]
    if by_hand:
        least = 0.5 * rated_kw if least_kw is None else least_kw
        rules.append(
            SizeRule(
                litres_en_303_5(rated_kw, burn_h, house_kw, least), "log boilers", "EN 303-5 (secondary)"
            )
        )
        if batch_kwh is not None:
            rules.append(
                SizeRule(
                    batch_kwh / heat_held_kwh(1.0, 40.0),
                    f"takes one full load over {units.show_as(40.0, 'K')}",
                    "arithmetic",
                )
            )
    return tuple(sorted(rules, key=lambda r: -r.litres))


@dataclass(frozen=True)
class Buffer:
    """A buffer as it stands.

    Attributes
    ----------
    litres
        Water. [l]
    useful_from_c
        Below this the heating cannot use it: 35 degC for floors, 45 for radiators, common practice. [degC]
    full_c
        The boiler stops charging here, common practice 80. [degC]
    loss_w_per_k
        Loss to its room; None: 0.05 W/K per litre^(2/3), a well insulated one, value from memory. [W/K]
    room_c
        Where it stands. [degC]
    """

    litres: float
    useful_from_c: float = 40.0
    full_c: float = 80.0
    loss_w_per_k: float | None = None
    room_c: float = 15.0

    def __post_init__(self) -> None:
        """Refuse what no buffer can be."""
        if not self.litres > 0:
            raise BufferError(f"a buffer of {self.litres:g} l cannot be; write e.g. 1000 l")
        if not 0 < self.useful_from_c < self.full_c <= 110:
            raise BufferError(
                f"a buffer useful from {self.useful_from_c:g} degC and full at {self.full_c:g} degC "
                f"cannot be; write "
                "e.g. 40 degC and 80 degC"
            )
        if self.loss_w_per_k is not None and self.loss_w_per_k < 0:
            raise BufferError("the loss of a buffer cannot be negative; write e.g. 3 W/K")

    @property
    def loss_coefficient_w_per_k(self) -> float:
        """Loss per kelvin above its room. [W/K]"""
        return 0.05 * float(self.litres ** (2.0 / 3.0)) if self.loss_w_per_k is None else self.loss_w_per_k

    @property
    def capacity_kwh(self) -> float:
        """Heat between useful and full. [kWh]"""
        return heat_held_kwh(self.litres, self.full_c - self.useful_from_c)

    def held_kwh(self, layers_c: ArrayLike) -> float:
        """Return the usable heat of equal layers, top to bottom; a layer too cold to use counts nothing.
        [kWh]
        """
        layers = self._layers(layers_c)
        return heat_held_kwh(self.litres, float(np.maximum(layers - self.useful_from_c, 0.0).mean()))

    def free_kwh(self, layers_c: ArrayLike) -> float:
        """Return the heat it takes until every layer is full. [kWh]"""
        layers = self._layers(layers_c)
        return heat_held_kwh(self.litres, float(np.maximum(self.full_c - layers, 0.0).mean()))

    def loss_kw(self, layers_c: ArrayLike) -> float:
        """Return its loss to the room now. [kW]"""
        return self.loss_coefficient_w_per_k * (float(self._layers(layers_c).mean()) - self.room_c) / 1000.0

    def _layers(self, layers_c: ArrayLike) -> Floats:
        layers = np.atleast_1d(np.asarray(layers_c, dtype=np.float64))
        if layers.size == 0 or np.isnan(layers).any():
            raise BufferError("write at least one buffer temperature, e.g. top 62 degC and bottom 38 degC")
        if (layers < 0).any() or (layers > 120).any():
            raise BufferError(
                "buffer temperatures lie between 0 and 120 degC; check the reading and its unit"
            )
        if (np.diff(layers) > 3.0).any():
            raise BufferError(
                "buffer temperatures go from top to bottom and fall; put the hottest, the top, first"
            )
        return layers


@dataclass(frozen=True)
class LightNext:
    """When to light next.

    Attributes
    ----------
    held_kwh
        Usable heat now. [kWh]
    hours
        Until the usable heat is gone; None beyond the loads given.
    loads_now
        Full loads that fit now without heating it beyond full.
    loads_then
        Full loads that fit at the time it is empty.
    first_hours
        Until the first time at which one full load fits; None where the loads given do not make room for one.
    sentence
        For people.
    """

    held_kwh: float
    hours: float | None
    loads_now: int
    loads_then: int
    first_hours: float | None
    sentence: str


def light_next(
    buffer: Buffer,
    layers_c: ArrayLike,
    load_kw: ArrayLike,
    *,
    batch_kwh: float,
    batch_h: float,
    step_h: float = 1.0,
) -> LightNext:
    """From the buffer's temperatures now: when its heat is gone, and how many loads of logs fit now and then.

    Parameters
    ----------
    layers_c
        Temperatures of equal layers, top first. [degC]
    load_kw
        House load of the steps ahead, shape (steps,), hot water included. [kW]
    batch_kwh, batch_h
        Useful heat of one full load of logs, and how long it burns. [kWh, h]
    """
    load = np.asarray(load_kw, dtype=np.float64)
    if load.ndim != 1 or load.size == 0 or np.isnan(load).any() or (load < 0).any():
        raise BufferError("the load ahead must be zero or more kW in every step, without gaps")
    if not (batch_kwh > 0 and batch_h > 0 and step_h > 0):
        raise BufferError(
            "a load of logs has a heat and a burning time above zero; write e.g. 60 kWh and 4 h"
        )
    taken = np.concatenate([[0.0], np.cumsum((load + max(buffer.loss_kw(layers_c), 0.0)) * step_h)])
    held, free = buffer.held_kwh(layers_c), buffer.free_kwh(layers_c)
    hours = _hour_reached(taken, held, step_h)
    loads_now = _loads_that_fit(free, taken, 0.0, batch_kwh, batch_h, step_h)
    when = taken.size * step_h if hours is None else hours
    loads_then = _loads_that_fit(free + min(held, float(taken[-1])), taken, when, batch_kwh, batch_h, step_h)
    first = next(
        (
            i * step_h
            for i, used in enumerate(taken)
            if _loads_that_fit(free + min(float(used), held), taken, i * step_h, batch_kwh, batch_h, step_h)
            > 0
        ),
        None,
    )
    return LightNext(
        held, hours, loads_now, loads_then, first, _say(held, hours, loads_now, loads_then, first)
    )


def _hour_reached(taken: Floats, kwh: float, step_h: float) -> float | None:
    if taken[-1] < kwh:
        return None
    return float(np.interp(kwh, taken, np.arange(taken.size) * step_h)) if kwh > 0 else 0.0


def _loads_that_fit(
    free_kwh: float, taken: Floats, from_h: float, batch_kwh: float, batch_h: float, step_h: float
) -> int:
    """Loads burned one after another within a day: free heat plus what the house takes meanwhile."""
    hours = np.arange(taken.size, dtype=np.float64) * step_h
    rate = float(taken[-1]) / float(hours[-1])  # beyond the loads given the house takes their mean
    # A house that takes all a fire gives has no other bound than the day.
    most = max(1, floor(24.0 / batch_h))
    for loads in range(1, most + 1):
        end_h = from_h + loads * batch_h
        used = _taken_at(taken, hours, end_h, rate) - _taken_at(taken, hours, from_h, rate)
        if loads * batch_kwh > free_kwh + used + 1e-9:
            return loads - 1
    return most


def _taken_at(taken: Floats, hours: Floats, at_h: float, rate: float) -> float:
    return float(np.interp(at_h, hours, taken)) + max(0.0, at_h - float(hours[-1])) * rate


def _per_power(litres_per_kw: float) -> str:
    """Return a volume for each kilowatt, or for each 10,000 BTU an hour."""
    if units.reader().system == "us":
        volume = units.show_as(litres_per_kw * units.parse("10000 BTU/h", "power"), "l", ".0f")
        return f"{volume} for each 10,000 BTU/h"
    return f"{litres_per_kw:g} l per kW"


def _say(held: float, hours: float | None, now: int, then: int, first: float | None) -> str:
    lasts = "longer than looked ahead" if hours is None else f"for {_hours(hours)}"
    text = f"The buffer holds about {units.show_as(held, 'kWh', '.0f')} of usable heat, which lasts {lasts}. "
    when_empty = f"Lit when it is empty, {_loads(then)} would fit."
    if now > 0:
        return text + f"{_loads(now).capitalize()} would fit now. {when_empty}"
    if first is None:
        return text + "No full load fits in the time looked ahead: do not light."
    return text + f"A full load does not fit yet: wait for {_hours(first)}. {when_empty}"


def _loads(count: int) -> str:
    return "no full load" if count == 0 else "one full load" if count == 1 else f"{count} full loads"


def _hours(hours: float) -> str:
    whole = round(hours)
    return "less than an hour" if whole < 1 else "about one hour" if whole == 1 else f"about {whole} hours"
