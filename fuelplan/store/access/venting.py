"""What the guidance asks of a store: ventilation, fire thresholds, cleaning.

Nothing here says that a store may be entered, and no concentration of gas is ever calculated: any store can
become deadly, only measuring tells.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from fuelplan import units
from fuelplan.store.access.lines import AccessError, AccessLine, line

VDI = "VDI 3464 as summarised by the German pellet institute, October 2015"

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

    Raises
    ------
    AccessError
        No stock, or a length below zero.
    """
    if not 0 < stock_t < math.inf or (vent_line_m is not None and not 0 <= vent_line_m < math.inf):
        raise AccessError("the stock is a mass above zero, the vent line a length from zero up")
    if stock_t > SPECIALIST_ABOVE_T:
        text = f"above {_t(SPECIALIST_ABOVE_T)} the guidance ends: ask a specialist for ventilation"
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


def _vent(id_: str, text: str, stock_t: float) -> AccessLine:
    return AccessLine(id_, "Ventilation of the store", text, VDI, "ask", f"a store of up to {_t(stock_t)}")


def _opening_text(stock_t: float, caps: bool, opening_cm2: float | None) -> str:
    if caps:
        return f"up to {_t(CAPS_UP_TO_T)}: two venting caps, one on each coupling"
    if stock_t > CAPS_UP_TO_T:
        size = units.show_range_as(CAPS_UP_TO_T, SPECIALIST_ABOVE_T, "t")
        return (
            f"above {size}: an opening to the outside of at least {_opening_per_weight()}, here at least "
            f"{_cm2(opening_cm2 or 0.0)}"
        )
    if opening_cm2 is not None:
        return f"a vent of its own to the outside, here at least {_cm2(opening_cm2)}"
    return "a vent of its own to the outside; ask a specialist for its size"


def _t(mass_t: float) -> str:
    return units.show_as(mass_t, "t", "g")


def _cm2(area_cm2: float) -> str:
    """Return the least opening, rounded up."""
    if units.reader().system == "us":
        return f"{math.ceil(area_cm2 / 1e4 / units.parse('1 in2', 'area'))} sq in"
    return f"{math.ceil(area_cm2)} cm²"


def _opening_per_weight() -> str:
    """Return the opening for each tonne, or each short ton."""
    if units.reader().system == "us":
        each = OPENING_CM2_PER_T * units.parse("1 short_ton", "mass") / 1000.0
        return f"{units.show_as(each, 'cm2', '.2g')} per short ton"
    return f"{OPENING_CM2_PER_T:g} cm² per tonne"


def _vent_line_text(length_m: float) -> str:
    if length_m > LINE_LONG_M:
        return f"a vent line longer than {units.show_as(LINE_LONG_M, 'm', 'g')} needs a fan"
    if length_m >= LINE_SHORT_M:
        return (
            f"a vent line of {units.show_range_as(LINE_SHORT_M, LINE_LONG_M, 'm')} needs an opening of at "
            f"least {_cm2(LINE_OPENING_CM2)}"
        )
    return f"a vent line shorter than {units.show_as(LINE_SHORT_M, 'm', 'g')} asks for nothing more"


def _caps_text(both_outdoors: bool | None) -> str:
    if both_outdoors is None:
        return "vented caps count only where both couplings end outdoors: has anybody looked?"
    if both_outdoors:
        return "vented caps alone do not vent a store of this size"
    return (
        "a coupling ends inside: sealed caps and a separate vent to the outside, for gas would reach the "
        "house "
        "through vented caps"
    )


@dataclass(frozen=True)
class FireThreshold:
    """A national setting above which the fire code asks for more; `measure` is "kg", "litre" or "m3"."""

    value: float
    measure: Literal["kg", "litre", "m3"]
    source: str


def fire_line(stock_kg: float, store_m3: float, threshold: FireThreshold | None) -> AccessLine:
    """Return the line about fire thresholds: never a verdict, always "ask".

    Thresholds differ by land (6,500 kg, 10,000 l, 15 m3 and others); the one to look at is a setting.
    """
    if not (stock_kg > 0 and store_m3 > 0):
        raise AccessError("stock and store are amounts above zero")
    amounts = _fire_code_amounts()
    guide = f"from some amount on the fire code asks for more; it differs by land ({amounts} ...)"
    if threshold is None:
        return AccessLine(
            "fire", "Fire protection", guide, "national fire codes", "ask", "no threshold set for this land"
        )
    here = {"kg": stock_kg, "litre": 1000 * store_m3, "m3": store_m3}[threshold.measure]
    unit = {"kg": "kg", "litre": "l", "m3": "m3"}[threshold.measure]
    seen = (
        f"{units.show_as(here, unit)} here, {'above' if here > threshold.value else 'not above'} the "
        f"{units.show_as(threshold.value, unit)} "
        "set for this land; ask the local authority or the chimney sweep"
    )
    return AccessLine("fire", "Fire protection", guide, threshold.source, "ask", seen)


def _fire_code_amounts() -> str:
    return ", ".join(units.show_as(*amount) for amount in ((6500.0, "kg"), (10_000.0, "l"), (15.0, "m3")))


CLEANING_YEARS, CLEANING_DELIVERIES = 2.0, 5


def cleaning_line(years_since: float | None, deliveries_since: int | None) -> AccessLine:
    """Return the line about emptying and cleaning: every 2 years or after 5 deliveries (German pellet
    institute)."""
    guide = f"empty and clean every {CLEANING_YEARS:g} years or after {CLEANING_DELIVERIES} deliveries"
    due = (years_since or 0.0) >= CLEANING_YEARS or (deliveries_since or 0) >= CLEANING_DELIVERIES
    unknown = years_since is None or deliveries_since is None
    met = False if due else (None if unknown else True)
    parts = [] if years_since is None else [f"{years_since:g} years"]
    parts += [] if deliveries_since is None else [f"{deliveries_since} deliveries"]
    seen = f"{' and '.join(parts)} since the last time" if parts else ""
    return line("cleaning", "Emptying and cleaning of the store", guide, "German pellet institute", met, seen)
