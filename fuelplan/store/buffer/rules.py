"""How large a buffer is by each rule."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.messages import Message, Number, Per, Quantity, message
from fuelplan.store.buffer.tank import BufferError, heat_held_kwh

LITRES_PER_KW_BY_HAND, LITRES_PER_CHAMBER_LITRE = 55.0, 12.0  # 1. BImSchV §5
NONE_BELOW_L = 300.0  # EN 303-5: a manual boiler whose formula gives less needs none


def _no_boiler(rated_kw: float) -> BufferError:
    return BufferError(
        message(
            "buffer.boiler",
            "a boiler of {power} cannot be; write its rated output, e.g. 25 kW",
            power=Quantity.written(rated_kw, "kW", "g"),
        )
    )


def litres_en_303_5(rated_kw: float, burn_h: float, house_kw: float, least_kw: float) -> float:
    """Return the buffer of a manually stoked log boiler: 15 T_B Q_N (1 - 0.3 Q_H / Q_min), 0 below 300 l. [l]

    Source: EN 303-5 (secondary).

    Parameters
    ----------
    rated_kw, burn_h
        Rated output Q_N, and burning time T_B of one load at it. [kW, h]
    house_kw
        Heat load Q_H of the building. [kW]
    least_kw
        Lowest output Q_min the boiler can hold. [kW]

    Returns
    -------
    float
        Water. [l]

    Raises
    ------
    BufferError
        No output, no burning time, or a least output above the rated one.
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

    Parameters
    ----------
    rated_kw
        Heat output at full load. [kW]
    by_hand
        Whether somebody puts the fuel in.
    chamber_l
        Room of the fuel chamber; None where not known. [l]

    Returns
    -------
    float
        Water. [l]

    Raises
    ------
    BufferError
        No output.
    """
    if not rated_kw > 0:
        raise _no_boiler(rated_kw)
    if not by_hand:
        return 20.0 * rated_kw
    return max(LITRES_PER_KW_BY_HAND * rated_kw, LITRES_PER_CHAMBER_LITRE * (chamber_l or 0.0))


def litres_eu_test(rated_kw: float, *, by_hand: bool) -> float:
    """Return the buffer that EU 2015/1189 takes for its test. [l]

    By hand max(300, 45 P (1 - 2.7 / P)), automatic 20 P.

    Parameters
    ----------
    rated_kw
        Heat output at full load. [kW]
    by_hand
        Whether somebody puts the fuel in.

    Returns
    -------
    float
        Water. [l]

    Raises
    ------
    BufferError
        No output.
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
    rated_kw
        Heat output at full load. [kW]
    by_hand
        Whether somebody puts the fuel in.
    house_kw
        Heat load of the building. [kW]
    burn_h
        Burning time of one load at rated output. [h]
    least_kw
        Lowest output the boiler can hold; None for half the rated. [kW]
    chamber_l
        Room of the fuel chamber; None where it is not known. [l]
    batch_kwh
        Useful heat of one full load of logs: then the buffer that takes it whole over 40 K is listed too.
        [kWh]
    country
        Two letters: in Germany the ordinance is named as the law; elsewhere its figures for boilers fed by
        hand stand as guidance.

    Returns
    -------
    tuple of SizeRule
        Litres, whom the rule is for and its source. [l]

    Raises
    ------
    BufferError
        Outputs or times that `litres_en_303_5` refuses.
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
