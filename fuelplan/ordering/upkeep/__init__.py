"""Upkeep from fuel burned: the ash box, the chimney by the rule of the place, the store at its lowest."""

from fuelplan.ordering.upkeep.ash import ASH_KG_PER_L as ASH_KG_PER_L
from fuelplan.ordering.upkeep.ash import ash_from_fuels as ash_from_fuels
from fuelplan.ordering.upkeep.ash import ash_in_box as ash_in_box
from fuelplan.ordering.upkeep.ash import ash_items as ash_items
from fuelplan.ordering.upkeep.item import UpkeepError as UpkeepError
from fuelplan.ordering.upkeep.item import UpkeepItem as UpkeepItem
from fuelplan.ordering.upkeep.store_cleaning import OFF_SEASON as OFF_SEASON
from fuelplan.ordering.upkeep.store_cleaning import CleaningDue as CleaningDue
from fuelplan.ordering.upkeep.store_cleaning import off_season as off_season
from fuelplan.ordering.upkeep.store_cleaning import store_cleaning as store_cleaning
from fuelplan.ordering.upkeep.sweeping import SweepingRule as SweepingRule
from fuelplan.ordering.upkeep.sweeping import sweeping_items as sweeping_items
