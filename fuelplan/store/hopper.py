"""The day hopper: a small store by the boiler, and how it is filled – by hand, by auger or by suction."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from fuelplan.messages import Own, Quantity, Refusal, message

How = Literal["hand", "auger", "suction"]

# Guidance for suction lines: at most 20 m and two floors. Two floors are taken as 6 m (our reading).
SUCTION_LINE_LIMIT_M = 20.0
SUCTION_RISE_LIMIT_M = 6.0

# Conveying rates over a short line (our assumption; the maker's figure is better). [kg/h]
USUAL_RATE_KG_PER_H: dict[str, float] = {"auger": 180.0, "suction": 400.0}

# A suction line at its full length moves this share of its rate over a short line (our assumption).
RATE_SHARE_AT_LIMIT = 0.6


class HopperError(Refusal):
    """A hopper or conveying that cannot work: says what is wrong and what to write instead."""


@dataclass(frozen=True)
class Conveying:
    """How fuel gets into the hopper, and when it may.

    Attributes
    ----------
    how
        "hand" (from bags, through a lid), "auger" or "suction" (both from the bulk store).
    while_burning
        False is "burn-out first", the default: the hopper is never filled while the boiler burns (common
        practice, a safety interlock). True only where the maker says so (some feeds with a sealed valve).
    rate_kg_per_h
        Over a short line; None for a usual one. Not used for "hand". [kg/h]
    line_m, rise_m
        Length and rise of the suction line. [m]
    line_limit_m, rise_limit_m
        The maker's limits; by default 20 m and two floors (guidance). [m]
    burn_out_h, ignite_h
        How long the fire burns out before conveying, and how long ignition takes after it (common
        practice). [h]
    quiet_from_h, quiet_to_h
        Clock hours between which nothing is conveyed; may pass midnight. None for no quiet hours. [h]
    refill_share
        The controller calls for fuel at this share of a full hopper (our assumption). [0..1]
    top_up_before_quiet
        Fill once more so that conveying ends before the quiet hours begin (common practice).
    visits_h
        Clock hours at which someone comes to fill by hand. [h]
    bag_kg
        Mass of a bag (sellers' practice). [kg]
    """

    how: How
    while_burning: bool = False
    rate_kg_per_h: float | None = None
    line_m: float = 0.0
    rise_m: float = 0.0
    line_limit_m: float = SUCTION_LINE_LIMIT_M
    rise_limit_m: float = SUCTION_RISE_LIMIT_M
    burn_out_h: float = 0.5
    ignite_h: float = 0.25
    quiet_from_h: float | None = None
    quiet_to_h: float | None = None
    refill_share: float = 0.3
    top_up_before_quiet: bool = True
    visits_h: tuple[float, ...] = (7.0, 18.0)
    bag_kg: float = 15.0

    def __post_init__(self) -> None:
        """Refuse conveying that cannot work."""
        if self.how not in ("hand", "auger", "suction"):
            raise HopperError(
                message(
                    "hopper.how",
                    '"{how}" is not a valid way to fill a hopper; write "hand", "auger" or "suction"',
                    how=Own(self.how),
                )
            )
        if self.how == "suction":
            self._check_line()
        if self.rate_kg_per_h is not None and not 0 < self.rate_kg_per_h < math.inf:
            raise HopperError(
                message(
                    "hopper.rate",
                    "a conveying rate of {rate} moves nothing; write e.g. 400 kg/h",
                    rate=Quantity.written(self.rate_kg_per_h, "kg/h", "g"),
                )
            )
        self._check_hours()
        if not 0 <= self.refill_share < 1:
            raise HopperError(
                message(
                    "hopper.refill_share",
                    "refill_share is {share}; write a share from 0 to below 1, e.g. 0.3",
                    share=Own(f"{self.refill_share:g}"),
                )
            )
        if self.how == "hand" and not (self.visits_h and self.bag_kg > 0):
            raise HopperError(
                message(
                    "hopper.by_hand_needs",
                    "filling by hand needs at least one visit a day and the mass of a bag, e.g. 15 kg",
                )
            )

    def _check_hours(self) -> None:
        if not (0 <= self.burn_out_h <= 6 and 0 <= self.ignite_h <= 6):
            raise HopperError(
                message(
                    "hopper.burn_out",
                    "burn-out {burn_out} h and ignition {ignition} h: write times of 0 to 6 h, e.g. 30 min",
                    burn_out=Own(f"{self.burn_out_h:g}"),
                    ignition=Own(f"{self.ignite_h:g}"),
                )
            )
        if (self.quiet_from_h is None) != (self.quiet_to_h is None):
            raise HopperError(
                message(
                    "hopper.quiet_ends",
                    "quiet hours need both a beginning and an end, e.g. from 22 to 6",
                )
            )
        if self.quiet_from_h is not None and self.quiet_from_h == self.quiet_to_h:
            raise HopperError(
                message("hopper.quiet_none", "quiet hours from and to the same hour: leave both out for none")
            )
        for hour in (self.quiet_from_h, self.quiet_to_h, *self.visits_h):
            if hour is not None and not 0 <= hour <= 24:
                raise HopperError(
                    message(
                        "hopper.hour",
                        "{hour} is not a valid hour of the day; write 0 to 24",
                        hour=Own(f"{hour:g}"),
                    )
                )

    def _check_line(self) -> None:
        if not (self.line_m >= 0 and self.rise_m >= 0):
            raise HopperError(
                message("hopper.line_negative", "length and rise of the suction line are metres from zero up")
            )
        if self.line_m > self.line_limit_m:
            raise HopperError(
                message(
                    "hopper.line_too_long",
                    "a suction line of {length} is longer than the {limit} it can convey over (guidance: "
                    "{guidance} and two floors); move the hopper or the store nearer, or use an auger",
                    length=_m(self.line_m),
                    limit=_m(self.line_limit_m),
                    guidance=_m(SUCTION_LINE_LIMIT_M),
                )
            )
        if self.rise_m > self.rise_limit_m:
            raise HopperError(
                message(
                    "hopper.line_rises",
                    "a suction line that rises {rise} lifts higher than the {limit} it can (guidance: two "
                    "floors); move the hopper or the store nearer",
                    rise=_m(self.rise_m),
                    limit=_m(self.rise_limit_m),
                )
            )

    @property
    def line_rate_kg_per_h(self) -> float:
        """Rate over this line: falls with the line's length and rise in a straight line (our assumption).
        [kg/h]"""
        if self.how == "hand":
            return math.inf
        rate = self.rate_kg_per_h if self.rate_kg_per_h is not None else USUAL_RATE_KG_PER_H[self.how]
        if self.how == "auger":
            return rate
        used = max(self.line_m / self.line_limit_m, self.rise_m / self.rise_limit_m)
        return rate * (1 - (1 - RATE_SHARE_AT_LIMIT) * used)

    @property
    def quiet_hours(self) -> float:
        """Length of the quiet hours. [h]"""
        if self.quiet_from_h is None or self.quiet_to_h is None:
            return 0.0
        return (self.quiet_to_h - self.quiet_from_h) % 24


@dataclass(frozen=True)
class Burner:
    """The boiler as the hopper sees it.

    Attributes
    ----------
    rated_kw
        Greatest useful heat. [kW]
    kwh_per_kg
        Useful heat from a kilogram: net calorific value times seasonal efficiency. [kWh/kg]
    """

    rated_kw: float
    kwh_per_kg: float

    def __post_init__(self) -> None:
        """Refuse what cannot burn."""
        if not 0 < self.rated_kw < math.inf:
            raise HopperError(
                message(
                    "hopper.no_boiler",
                    "a boiler of {power} gives no heat; write e.g. 15 kW",
                    power=Quantity.written(self.rated_kw, "kW", "g"),
                )
            )
        if not 0 < self.kwh_per_kg <= 5.5:
            raise HopperError(
                message(
                    "hopper.energy",
                    "{energy} of useful heat from wood cannot be; usual is about 4 kWh/kg",
                    energy=Quantity.written(self.kwh_per_kg, "kWh/kg", "g"),
                )
            )


def held_kwh(buffer_l: float, spread_k: float, building_kwh_per_k: float = 0.0, sag_k: float = 0.0) -> float:
    """Return the heat that bridges a pause: in the buffer over its spread, and in the building as it cools.
    [kWh]

    1.163 Wh per litre and kelvin (physics).

    Parameters
    ----------
    buffer_l, spread_k
        Water, and the kelvin between full and of no more use. [l, K]
    building_kwh_per_k, sag_k
        Heat in the building for each kelvin, and how far it may cool. [kWh/K, K]

    Returns
    -------
    float
        Both together. [kWh]

    Raises
    ------
    HopperError
        An amount below zero.
    """
    if min(buffer_l, spread_k, building_kwh_per_k, sag_k) < 0:
        raise HopperError("litres, spread, heat capacity and sag are amounts from zero up")
    return 1.163e-3 * buffer_l * spread_k + building_kwh_per_k * sag_k


def bags(kg: float, bag_kg: float = 15.0) -> int:
    """Whole bags to carry for `kg`, rounded up.

    Parameters
    ----------
    kg
        Fuel to carry. [kg]
    bag_kg
        Mass of a bag. [kg]

    Returns
    -------
    int
        Whole bags. [-]

    Raises
    ------
    HopperError
        An amount below zero, or bags that weigh nothing.
    """
    if not (kg >= 0 and bag_kg > 0):
        raise HopperError(f"{kg:g} kg in bags of {bag_kg:g} kg: write amounts above zero")
    return math.ceil(kg / bag_kg - 1e-9)


def _m(length_m: float) -> Quantity:
    return Quantity.written(length_m, "m", "g")
