"""What the guidance asks of a store: ventilation, fire thresholds, cleaning.

Nothing here says that a store may be entered, and no concentration of gas is ever calculated: any store can
become deadly, only measuring tells.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from fuelplan.messages import (
    Limits,
    Listed,
    Message,
    Number,
    Per,
    Quantity,
    as_message,
    counted_message,
    message,
)
from fuelplan.store.access.lines import AccessError, AccessLine, line

VDI = message("venting.vdi", "VDI 3464 as summarised by the German pellet institute, October 2015")

CAPS_UP_TO_T, SPECIALIST_ABOVE_T = 10.0, 40.0
OPENING_CM2_PER_T = 4.0
LINE_SHORT_M, LINE_LONG_M, LINE_OPENING_CM2 = 2.0, 5.0, 100.0


@dataclass(frozen=True)
class Ventilation:
    """What venting the guidance asks of a store.

    Attributes
    ----------
    caps
        Two venting caps on the couplings are enough by the guidance.
    opening_cm2
        Least free opening to the outside; None where none is stated or a specialist must say. [cm2]
    fan
        A fan is needed.
    specialist
        Beyond the guidance: ask a specialist.
    lines
        The same as lines of the list, all "ask": whether it is built so must be seen on site.
    """

    caps: bool
    opening_cm2: float | None
    fan: bool
    specialist: bool
    lines: tuple[AccessLine, ...]


def ventilation(
    stock_t: float, *, both_couplings_outdoors: bool | None = None, vent_line_m: float | None = None
) -> Ventilation:
    """Return what the guidance asks (VDI 3464 as summarised by the German pellet institute, October 2015).

    Parameters
    ----------
    stock_t
        Most fuel in the store. [t]
    both_couplings_outdoors
        Vented caps count only then; None where not seen.
    vent_line_m
        Length of a vent line of its own, from the store to the outside; None where there is none. [m]

    Returns
    -------
    Ventilation
        Caps, opening and fan asked for, and the lines of the list. [cm2]

    Raises
    ------
    AccessError
        No stock, or a length below zero.
    """
    if not 0 < stock_t < math.inf or (vent_line_m is not None and not 0 <= vent_line_m < math.inf):
        raise AccessError("the stock is a mass above zero, the vent line a length from zero up")
    if stock_t > SPECIALIST_ABOVE_T:
        text = message(
            "venting.specialist",
            "above {stock} the guidance ends: ask a specialist for ventilation",
            stock=_t(SPECIALIST_ABOVE_T),
        )
        return Ventilation(False, None, False, True, (_vent("ventilation", text, stock_t),))
    caps = stock_t <= CAPS_UP_TO_T and both_couplings_outdoors is True
    opening = OPENING_CM2_PER_T * stock_t if stock_t > CAPS_UP_TO_T else None
    fan = vent_line_m is not None and vent_line_m > LINE_LONG_M
    if vent_line_m is not None and LINE_SHORT_M <= vent_line_m <= LINE_LONG_M:
        opening = max(LINE_OPENING_CM2, opening or 0.0)
    lines = [_vent("ventilation", _opening_text(stock_t, caps, opening), stock_t)]
    if vent_line_m is not None:
        lines.append(_vent("vent-line", _vent_line_text(vent_line_m), stock_t))
    if not caps:
        lines.append(_vent("caps", _caps_text(both_couplings_outdoors), stock_t))
    return Ventilation(caps, opening, fan, False, tuple(lines))


def _vent(id_: str, guidance: Message, stock_t: float) -> AccessLine:
    what = message("venting.ventilation", "Ventilation of the store")
    seen = message("venting.store_of", "a store of up to {stock}", stock=_t(stock_t))
    return AccessLine(id_, what, guidance, VDI, "ask", seen)


def _opening_text(stock_t: float, caps: bool, opening_cm2: float | None) -> Message:
    if caps:
        return message(
            "venting.two_caps",
            "up to {stock}: two venting caps, one on each coupling",
            stock=_t(CAPS_UP_TO_T),
        )
    if stock_t > CAPS_UP_TO_T:
        return message(
            "venting.opening",
            "above {stocks}: an opening to the outside of at least {each}, here at least {area}",
            stocks=Limits.written(CAPS_UP_TO_T, SPECIALIST_ABOVE_T, "t"),
            each=Per(Quantity.written(OPENING_CM2_PER_T, "cm2", "g"), "t"),
            area=_at_least(opening_cm2 or 0.0),
        )
    if opening_cm2 is not None:
        return message(
            "venting.vent_of_its_own",
            "a vent of its own to the outside, here at least {area}",
            area=_at_least(opening_cm2),
        )
    return message("venting.ask_size", "a vent of its own to the outside; ask a specialist for its size")


def _t(mass_t: float) -> Quantity:
    return Quantity.written(mass_t, "t", "g")


def _at_least(area_cm2: float) -> Quantity:
    """Return the least opening, rounded up."""
    return Quantity(area_cm2 / 1e4, "area", unit="cm2", decimals=0, up=True)


def _vent_line_text(length_m: float) -> Message:
    if length_m > LINE_LONG_M:
        return message(
            "venting.line_needs_fan",
            "a vent line longer than {length} needs a fan",
            length=Quantity.written(LINE_LONG_M, "m", "g"),
        )
    if length_m >= LINE_SHORT_M:
        return message(
            "venting.line_needs_opening",
            "a vent line of {lengths} needs an opening of at least {area}",
            lengths=Limits.written(LINE_SHORT_M, LINE_LONG_M, "m"),
            area=_at_least(LINE_OPENING_CM2),
        )
    return message(
        "venting.line_short",
        "a vent line shorter than {length} asks for nothing more",
        length=Quantity.written(LINE_SHORT_M, "m", "g"),
    )


def _caps_text(both_outdoors: bool | None) -> Message:
    if both_outdoors is None:
        return message(
            "venting.caps_unseen",
            "vented caps count only where both couplings end outdoors: has anybody looked?",
        )
    if both_outdoors:
        return message("venting.caps_not_enough", "vented caps alone do not vent a store of this size")
    return message(
        "venting.caps_inside",
        "a coupling ends inside: sealed caps and a separate vent to the outside, for gas would reach the "
        "house through vented caps",
    )


@dataclass(frozen=True)
class FireThreshold:
    """A national setting above which the fire code asks for more; `measure` is "kg", "litre" or "m3"."""

    value: float
    measure: Literal["kg", "litre", "m3"]
    source: str


def fire_line(stock_kg: float, store_m3: float, threshold: FireThreshold | None) -> AccessLine:
    """Return the line about fire thresholds: never a verdict, always "ask".

    Thresholds differ by country (6,500 kg, 10,000 l, 15 m3 and others); the one to look at is a setting.

    Parameters
    ----------
    stock_kg, store_m3
        What a full store holds, and the fuel's volume. [kg, m3]
    threshold
        The setting; None where there is none.

    Returns
    -------
    AccessLine
        With "ask" as its answer, and what is there beside the threshold.

    Raises
    ------
    AccessError
        No stock, or a store of no size.
    """
    if not (stock_kg > 0 and store_m3 > 0):
        raise AccessError("stock and store are amounts above zero")
    what = message("fire.protection", "Fire protection")
    guide = message(
        "fire.guide",
        "from some amount on the fire code asks for more; it differs by land ({amounts} ...)",
        amounts=Listed(
            tuple(Quantity.written(*amount) for amount in ((6500.0, "kg"), (10_000.0, "l"), (15.0, "m3"))),
            ", ",
        ),
    )
    if threshold is None:
        source = message("fire.national_codes", "national fire codes")
        seen = message("fire.no_threshold", "no threshold set for this land")
        return AccessLine("fire", what, guide, source, "ask", seen)
    here = {"kg": stock_kg, "litre": 1000 * store_m3, "m3": store_m3}[threshold.measure]
    seen = _against(here, threshold)
    return AccessLine("fire", what, guide, as_message(threshold.source), "ask", seen)


def _against(here: float, threshold: FireThreshold) -> Message:
    """Return how much lies here beside the threshold."""
    unit = {"kg": "kg", "litre": "l", "m3": "m3"}[threshold.measure]
    amount, limit = Quantity.written(here, unit), Quantity.written(threshold.value, unit)
    if here > threshold.value:
        return message(
            "fire.above",
            "{amount} here, above the {limit} set for this land; ask the local authority or the chimney "
            "sweep",
            amount=amount,
            limit=limit,
        )
    return message(
        "fire.not_above",
        "{amount} here, not above the {limit} set for this land; ask the local authority or the chimney "
        "sweep",
        amount=amount,
        limit=limit,
    )


CLEANING_YEARS, CLEANING_DELIVERIES = 2.0, 5


def cleaning_line(years_since: float | None, deliveries_since: int | None) -> AccessLine:
    """Return the line about emptying and cleaning: every 2 years or after 5 deliveries.

    Source: German pellet institute.

    Parameters
    ----------
    years_since, deliveries_since
        Since the last cleaning; None where not known. [years, -]

    Returns
    -------
    AccessLine
        "not met" where it is due, "ask" where that is not known.
    """
    due = (years_since or 0.0) >= CLEANING_YEARS or (deliveries_since or 0) >= CLEANING_DELIVERIES
    unknown = years_since is None or deliveries_since is None
    return line(
        "cleaning",
        message("cleaning.what", "Emptying and cleaning of the store"),
        message(
            "cleaning.guide",
            "empty and clean every {years} years or after {deliveries} deliveries",
            years=Number(CLEANING_YEARS),
            deliveries=CLEANING_DELIVERIES,
        ),
        message("cleaning.pellet_institute", "German pellet institute"),
        False if due else (None if unknown else True),
        _since(years_since, deliveries_since),
    )


def _since(years: float | None, deliveries: int | None) -> Message | None:
    """Return how long ago the store was cleaned."""
    parts: list[Message] = []
    if years is not None:
        known = Number(years, len(f"{years:g}".partition(".")[2]))
        parts.append(message("cleaning.years", "{years} years", years=known))
    if deliveries is not None:
        parts.append(counted_message("cleaning.deliveries", "{n} delivery", "{n} deliveries", deliveries))
    if not parts:
        return None
    return message("cleaning.since", "{parts} since the last time", parts=Listed(tuple(parts)))
