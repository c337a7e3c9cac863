"""The buffer: how large by each rule, how much heat it holds, and when to light next."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.messages import (
    Message,
    Number,
    Per,
    Quantity,
    Refusal,
    counted_message,
    message,
    paragraph,
)

Floats = NDArray[np.float64]

WATER_KWH_PER_L_K = 1.163e-3  # physics: 55 l over 40 K hold 2.56 kWh
LITRES_PER_KW_BY_HAND, LITRES_PER_CHAMBER_LITRE = 55.0, 12.0  # 1. BImSchV §5
NONE_BELOW_L = 300.0  # EN 303-5: a manual boiler whose formula gives less needs none


class BufferError(Refusal):
    """Something said about a buffer cannot be; the sentence says what to write instead."""


def _no_boiler(rated_kw: float) -> BufferError:
    return BufferError(
        message(
            "buffer.boiler",
            "a boiler of {power} cannot be; write its rated output, e.g. 25 kW",
            power=Quantity.written(rated_kw, "kW", "g"),
        )
    )


def heat_held_kwh(litres: float, warmer_k: float) -> float:
    """Return the heat that water holds above a temperature: 1.163 Wh per litre and kelvin. [kWh]"""
    if not litres >= 0:
        raise BufferError(
            message(
                "buffer.negative",
                "a buffer of {volume} cannot be; write zero or more, e.g. 1000 l",
                volume=Quantity.written(litres, "l", "g"),
            )
        )
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
            message(
                "buffer.en_303_5_needs",
                "the formula needs outputs and a burning time above zero, and a least output no larger than "
                "the rated",
            )
        )
    litres = 15.0 * burn_h * rated_kw * (1.0 - 0.3 * house_kw / least_kw)
    return litres if litres >= NONE_BELOW_L else 0.0


def litres_german_ordinance(rated_kw: float, *, by_hand: bool, chamber_l: float | None = None) -> float:
    """Return the least buffer of the German 1. BImSchV §5. [l]

    By hand 12 l per litre of fuel chamber, at least 55 l per kW; automatic 20 l per kW.
    """
    if not rated_kw > 0:
        raise _no_boiler(rated_kw)
    if not by_hand:
        return 20.0 * rated_kw
    return max(LITRES_PER_KW_BY_HAND * rated_kw, LITRES_PER_CHAMBER_LITRE * (chamber_l or 0.0))


def litres_eu_test(rated_kw: float, *, by_hand: bool) -> float:
    """Return the buffer that EU 2015/1189 takes for its test. [l]

    By hand max(300, 45 P (1 - 2.7 / P)), automatic 20 P.
    """
    if not rated_kw > 0:
        raise _no_boiler(rated_kw)
    return max(300.0, 45.0 * rated_kw * (1.0 - 2.7 / rated_kw)) if by_hand else 20.0 * rated_kw


@dataclass(frozen=True)
class SizeRule:
    """What one rule asks for. [l]"""

    litres: float
    rule: Message
    source: Message


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
        law = message("buffer.law_in_germany", "law in Germany")
        rules.append(SizeRule(german, law, message("buffer.german_ordinance", "1. BImSchV §5")))
    elif by_hand:
        by_kw = german <= LITRES_PER_KW_BY_HAND * rated_kw
        rules.append(SizeRule(german, message("buffer.fed_by_hand", "boilers fed by hand"), _guidance(by_kw)))
    rules.append(
        SizeRule(
            litres_eu_test(rated_kw, by_hand=by_hand),
            message("buffer.of_the_test", "buffer of the test"),
            message("buffer.eu_2015_1189", "EU 2015/1189"),
        )
    )
    if by_hand:
        least = 0.5 * rated_kw if least_kw is None else least_kw
        rules.append(
            SizeRule(
                litres_en_303_5(rated_kw, burn_h, house_kw, least),
                message("buffer.log_boilers", "log boilers"),
                message("buffer.en_303_5", "EN 303-5 (secondary)"),
            )
        )
        if batch_kwh is not None:
            rules.append(
                SizeRule(
                    batch_kwh / heat_held_kwh(1.0, 40.0),
                    message(
                        "buffer.one_load",
                        "takes one full load over {warmer}",
                        warmer=Quantity.written(40.0, "K", "g"),
                    ),
                    message("buffer.arithmetic", "arithmetic"),
                )
            )
    return tuple(sorted(rules, key=lambda r: -r.litres))


def _guidance(by_kw: bool) -> Message:
    """Return whether the boiler's output or its fuel chamber asks for more."""
    if by_kw:
        each = Per(Quantity.written(LITRES_PER_KW_BY_HAND, "l", "g"), "kW")
        return message("buffer.guidance_by_output", "guidance: {each}", each=each)
    return message(
        "buffer.guidance_by_chamber",
        "guidance: {litres} litres for each litre of fuel chamber",
        litres=Number(LITRES_PER_CHAMBER_LITRE),
    )


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
            raise BufferError(
                message(
                    "buffer.nothing",
                    "a buffer of {volume} cannot be; write e.g. 1000 l",
                    volume=Quantity.written(self.litres, "l", "g"),
                )
            )
        if not 0 < self.useful_from_c < self.full_c <= 110:
            raise BufferError(
                message(
                    "buffer.temperatures",
                    "a buffer useful from {useful} and full at {full} cannot be; write e.g. 40 degC and 80 "
                    "degC",
                    useful=Quantity.written(self.useful_from_c, "degC", "g"),
                    full=Quantity.written(self.full_c, "degC", "g"),
                )
            )
        if self.loss_w_per_k is not None and self.loss_w_per_k < 0:
            raise BufferError(
                message("buffer.negative_loss", "the loss of a buffer cannot be negative; write e.g. 3 W/K")
            )

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
            raise BufferError(
                message(
                    "buffer.no_temperature",
                    "write at least one buffer temperature, e.g. top 62 degC and bottom 38 degC",
                )
            )
        if (layers < 0).any() or (layers > 120).any():
            raise BufferError(
                message(
                    "buffer.temperature_range",
                    "buffer temperatures lie between 0 and 120 degC; check the reading and its unit",
                )
            )
        if (np.diff(layers) > 3.0).any():
            raise BufferError(
                message(
                    "buffer.temperatures_rise",
                    "buffer temperatures go from top to bottom and fall; put the hottest, the top, first",
                )
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
    sentence: Message


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
            message(
                "buffer.load_of_nothing",
                "a load of logs has a heat and a burning time above zero; write e.g. 60 kWh and 4 h",
            )
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


def _say(held: float, hours: float | None, now: int, then: int, first: float | None) -> Message:
    kwh = Quantity.written(held, "kWh", ".0f")
    if hours is None:
        lasts = message(
            "buffer.lasts_beyond",
            "The buffer holds about {heat} of usable heat, which lasts longer than looked ahead.",
            heat=kwh,
        )
    else:
        lasts = message(
            "buffer.lasts",
            "The buffer holds about {heat} of usable heat, which lasts for {hours}.",
            heat=kwh,
            hours=_hours(hours),
        )
    when_empty = _loads_when_empty(then)
    if now > 0:
        fits = counted_message(
            "buffer.fits_now",
            "One full load would fit now.",
            "{n} full loads would fit now.",
            now,
        )
        return paragraph([lasts, fits, when_empty])
    if first is None:
        never = message("buffer.do_not_light", "No full load fits in the time looked ahead: do not light.")
        return paragraph([lasts, never])
    wait = message("buffer.wait", "A full load does not fit yet: wait for {hours}.", hours=_hours(first))
    return paragraph([lasts, wait, when_empty])


def _loads_when_empty(count: int) -> Message:
    if count == 0:
        return message("buffer.none_fits_then", "Lit when it is empty, no full load would fit.")
    return counted_message(
        "buffer.fits_then",
        "Lit when it is empty, one full load would fit.",
        "Lit when it is empty, {n} full loads would fit.",
        count,
    )


def _hours(hours: float) -> Message:
    whole = round(hours)
    if whole < 1:
        return message("buffer.less_than_an_hour", "less than an hour")
    return counted_message("buffer.about_hours", "about one hour", "about {n} hours", whole)
