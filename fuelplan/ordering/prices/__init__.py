"""Offers, whole bills, the season of prices, and what a kilogram costs in bags, in bulk or as logs."""

from __future__ import annotations

from fuelplan.ordering.prices.bills import (
    Bill,
    Comparison,
    Line,
    Shared,
    Tariff,
    amounts_to_try,
    bill,
    bill_delivered,
    compare,
    money_cost,
    tariff,
)
from fuelplan.ordering.prices.forms import (
    EmergencyFuel,
    emergency_fuel,
    price_per_kg_of_bags,
    price_per_kg_of_logs,
    price_per_kg_of_pallet,
    price_per_kwh,
)
from fuelplan.ordering.prices.offers import VAT_ON_WOOD_FUEL, Bracket, Offer, OfferError, vat_on_wood_fuel
from fuelplan.ordering.prices.season import (
    DROP_SIZE_FACTORS,
    SWISS_SEASON,
    HistoryError,
    HistoryTooShort,
    Price,
    Season,
    default_season,
    drop_size_factor,
    history_from_csv,
    season_from_history,
)

__all__ = [
    "DROP_SIZE_FACTORS",
    "SWISS_SEASON",
    "VAT_ON_WOOD_FUEL",
    "Bill",
    "Bracket",
    "Comparison",
    "EmergencyFuel",
    "HistoryError",
    "HistoryTooShort",
    "Line",
    "Offer",
    "OfferError",
    "Price",
    "Season",
    "Shared",
    "Tariff",
    "amounts_to_try",
    "bill",
    "bill_delivered",
    "compare",
    "default_season",
    "drop_size_factor",
    "emergency_fuel",
    "history_from_csv",
    "money_cost",
    "price_per_kg_of_bags",
    "price_per_kg_of_logs",
    "price_per_kg_of_pallet",
    "price_per_kwh",
    "season_from_history",
    "tariff",
    "vat_on_wood_fuel",
]
