"""What a kilogram costs in bags, on pallets or as logs, and what fuel can help in an emergency."""

from __future__ import annotations

from dataclasses import dataclass

BAG_KG = 15.0
"""Mass of a bag of pellets (common practice of sellers). [kg]"""

BAGS_PER_PALLET = 65
"""Bags on a pallet (value from memory; 67 and 70 are sold too, so the seller's number should be given)."""


def _positive(**values: float) -> None:
    """Refuse zero and less."""
    for name, value in values.items():
        if not value > 0:
            raise ValueError(f"{name} must be above zero, not {value:g}")


def price_per_kg_of_bags(price_per_bag: float, bag_kg: float = BAG_KG) -> float:
    """Return the price of a kilogram in bags. [money/kg]"""
    _positive(price_per_bag=price_per_bag, bag_kg=bag_kg)
    return price_per_bag / bag_kg


def price_per_kg_of_pallet(price: float, bags: int = BAGS_PER_PALLET, bag_kg: float = BAG_KG) -> float:
    """Return the price of a kilogram by the pallet. [money/kg]"""
    _positive(price=price, bags=bags, bag_kg=bag_kg)
    return price / (bags * bag_kg)


def price_per_kg_of_logs(
    price_per_stacked_m3: float,
    dry_kg_per_solid_m3: float,
    water_share_wet: float,
    solid_share: float = 1 / 1.4,
) -> float:
    """Return the price of a kilogram of logs as received, from the price of a stacked cubic metre. [money/kg]

    mass of a stacked m³ = solid share × dry density / (1 − M), M the water share of the wet mass. The default
    solid share is 1 m³ solid = 1.4 m³ stacked (LWF; printed tables differ by ±15 %).
    """
    _positive(price=price_per_stacked_m3, dry_kg_per_solid_m3=dry_kg_per_solid_m3, solid_share=solid_share)
    if not 0 <= water_share_wet < 0.7:
        raise ValueError('the water share of logs is a share of the wet mass between 0 and 0.7, e.g. "18 %"')
    return price_per_stacked_m3 / (solid_share * dry_kg_per_solid_m3 / (1 - water_share_wet))


def price_per_kwh(price_per_kg: float, net_kwh_per_kg: float, seasonal_efficiency: float = 1.0) -> float:
    """Return the price of useful heat, to compare fuels of different energy. [money/kWh]"""
    _positive(
        price_per_kg=price_per_kg, net_kwh_per_kg=net_kwh_per_kg, seasonal_efficiency=seasonal_efficiency
    )
    return price_per_kg / (net_kwh_per_kg * seasonal_efficiency)


@dataclass(frozen=True)
class EmergencyFuel:
    """What a kilogram of demand costs that the store could not cover. [money/kg, money]

    `counts` is False where bags are no help at this store; `text` says so in one sentence.
    """

    counts: bool
    price_per_kg: float
    event_cost: float
    text: str


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
            False, other_heat_price_per_kg, event_cost, "No bags are to be had in an emergency."
        )
    _positive(bag_price_per_kg=bag_price_per_kg)
    if not can_tip_in_from_outside:
        text = (
            "Bags do not count: they could only be tipped in by entering the store, which nobody should do."
        )
        return EmergencyFuel(False, other_heat_price_per_kg, event_cost, text)
    price = min(bag_price_per_kg, other_heat_price_per_kg)
    return EmergencyFuel(True, price, event_cost, "Bags can be tipped in without entering the store.")
