"""Offers, whole bills, the season of prices, and what a kilogram costs in bags, in bulk or as logs."""

from __future__ import annotations

from fuelplan.ordering.prices.bills import (
    Bill,
    BillLine,
    Comparison,
    Shared,
    Tariff,
    bill,
    compare,
    money_cost,
    tariff,
)
from fuelplan.ordering.prices.forms import (
    EmergencyFuel,
    emergency_fuel,
)
from fuelplan.ordering.prices.offers import VAT_ON_WOOD_FUEL, Bracket, Offer, OfferError, vat_on_wood_fuel
from fuelplan.ordering.prices.own_season import PriceSeason, own_season
from fuelplan.ordering.prices.season import (
    DROP_SIZE_FACTORS,
    SWISS_SEASON,
    HistoryError,
    HistoryTooShort,
    PastPrice,
    SeasonFactors,
    default_season,
    drop_size_factor,
    history_from_csv,
    robust_season,
    season_from_history,
)

__all__ = [
    "DROP_SIZE_FACTORS",
    "SWISS_SEASON",
    "VAT_ON_WOOD_FUEL",
    "Bill",
    "BillLine",
    "Bracket",
    "Comparison",
    "EmergencyFuel",
    "HistoryError",
    "HistoryTooShort",
    "Offer",
    "OfferError",
    "PastPrice",
    "PriceSeason",
    "SeasonFactors",
    "Shared",
    "Tariff",
    "bill",
    "compare",
    "default_season",
    "drop_size_factor",
    "emergency_fuel",
    "history_from_csv",
    "money_cost",
    "own_season",
    "robust_season",
    "season_from_history",
    "tariff",
    "vat_on_wood_fuel",
]
