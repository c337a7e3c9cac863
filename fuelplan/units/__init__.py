"""Quantities as people write and read them: text → a number in a fixed unit, and back."""

from fuelplan.units.amounts import MEASURES, PALLET_BAGS, Amount, parse_amount, parse_mass
from fuelplan.units.converting import for_reader, in_us_units
from fuelplan.units.money import CURRENCIES, FuelPrice, parse_money, parse_price
from fuelplan.units.number import UnitError
from fuelplan.units.parsing import parse, parse_clock, parse_date, parse_range, parse_working_days
from fuelplan.units.reader import Reader, System, reader, reader_in, write_for, written_for
from fuelplan.units.showing import (
    Measured,
    exact,
    measured,
    measured_range,
    odds,
    show,
    show_date,
    show_money,
    show_odds,
    show_price,
    show_range,
)
from fuelplan.units.table import QUANTITIES
from fuelplan.units.trade import BAG_KG, bought_in, trade

__all__ = [
    "BAG_KG",
    "CURRENCIES",
    "MEASURES",
    "PALLET_BAGS",
    "QUANTITIES",
    "Amount",
    "FuelPrice",
    "Measured",
    "Reader",
    "System",
    "UnitError",
    "bought_in",
    "exact",
    "for_reader",
    "in_us_units",
    "measured",
    "measured_range",
    "odds",
    "parse",
    "parse_amount",
    "parse_clock",
    "parse_date",
    "parse_mass",
    "parse_money",
    "parse_price",
    "parse_range",
    "parse_working_days",
    "reader",
    "reader_in",
    "show",
    "show_date",
    "show_money",
    "show_odds",
    "show_price",
    "show_range",
    "trade",
    "write_for",
    "written_for",
]
