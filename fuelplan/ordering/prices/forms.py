"""What a kilogram costs in bags, on pallets or as logs, and what fuel can help in an emergency."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.messages import Message, message


def _positive(**values: float) -> None:
    """Refuse zero and less."""
    for name, value in values.items():
        if not value > 0:
            raise ValueError(f"{name} must be above zero, not {value:g}")


@dataclass(frozen=True)
class EmergencyFuel:
    """What a kilogram of demand costs that the store could not cover. [money/kg, money]

    `counts` is False where bags are no help at this store; `text` says so in one sentence.
    """

    counts: bool
    price_per_kg: float
    event_cost: float
    text: Message


def emergency_fuel(
    bag_price_per_kg: float | None,
    *,
    can_tip_in_from_outside: bool,
    other_heat_price_per_kg: float,
    event_cost: float = 0.0,
) -> EmergencyFuel:
    """Return what running empty costs per kilogram of demand not met.

    Bags count only where they can be tipped in without entering the store; a person is never to climb into a
    store to fill it. Otherwise the demand is met by other heat, priced per kilogram it replaces.

    Parameters
    ----------
    bag_price_per_kg
        Price of bagged pellets, None where none are to be had. [money/kg]
    can_tip_in_from_outside
        Whether there is a filling point that is reached without entering the store, e.g. the boiler's own
        hopper.
    other_heat_price_per_kg
        Other heat (such as electric heaters) per kilogram of fuel replaced. [money/kg]
    event_cost
        Once per run-out: express delivery, call-out to start the boiler again. [money]
    """
    _positive(other_heat_price_per_kg=other_heat_price_per_kg)
    if bag_price_per_kg is None:
        return EmergencyFuel(
            False,
            other_heat_price_per_kg,
            event_cost,
            message("emergency.no_bags", "No bags are to be had in an emergency."),
        )
    _positive(bag_price_per_kg=bag_price_per_kg)
    if not can_tip_in_from_outside:
        text = message(
            "emergency.bags_from_inside",
            "Bags do not count: they could only be tipped in by entering the store, which nobody should do.",
        )
        return EmergencyFuel(False, other_heat_price_per_kg, event_cost, text)
    price = min(bag_price_per_kg, other_heat_price_per_kg)
    text = message("emergency.bags_tipped_in", "Bags can be tipped in without entering the store.")
    return EmergencyFuel(True, price, event_cost, text)
