"""Upkeep from fuel burned: the ash box, the chimney by the rule of the place, the store at its lowest."""

from fuelplan.upkeep.ash import ASH_KG_PER_L as ASH_KG_PER_L
from fuelplan.upkeep.ash import ash_from_fuels as ash_from_fuels
from fuelplan.upkeep.ash import ash_items as ash_items
from fuelplan.upkeep.ash import box_days as box_days
from fuelplan.upkeep.item import UpkeepError as UpkeepError
from fuelplan.upkeep.item import UpkeepItem as UpkeepItem
from fuelplan.upkeep.store_cleaning import CleaningDue as CleaningDue
from fuelplan.upkeep.store_cleaning import store_cleaning as store_cleaning
from fuelplan.upkeep.sweeping import SweepingRule as SweepingRule
from fuelplan.upkeep.sweeping import sweeping_items as sweeping_items
