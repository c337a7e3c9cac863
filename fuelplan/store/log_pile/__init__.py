"""The log pile: drying towards the equilibrium of the local climate, what is dry by when, and when to cut."""

from fuelplan.store.log_pile.climate import PileClimate as PileClimate
from fuelplan.store.log_pile.climate import PileError as PileError
from fuelplan.store.log_pile.climate import equilibrium_dry_share as equilibrium_dry_share
from fuelplan.store.log_pile.drying import CAUTIOUS_PACE as CAUTIOUS_PACE
from fuelplan.store.log_pile.drying import DRY_ENOUGH as DRY_ENOUGH
from fuelplan.store.log_pile.drying import PileLot as PileLot
from fuelplan.store.log_pile.drying import dry_on as dry_on
from fuelplan.store.log_pile.drying import drying_path as drying_path
from fuelplan.store.log_pile.drying import moisture_on as moisture_on
from fuelplan.store.log_pile.plan import SEASON_MONTH as SEASON_MONTH
from fuelplan.store.log_pile.plan import CutBy as CutBy
from fuelplan.store.log_pile.plan import LotState as LotState
from fuelplan.store.log_pile.plan import cut_by as cut_by
from fuelplan.store.log_pile.plan import dried_later as dried_later
from fuelplan.store.log_pile.plan import lot_state as lot_state
from fuelplan.store.log_pile.plan import next_season as next_season
from fuelplan.store.log_pile.plan import winter_after_next as winter_after_next
from fuelplan.store.log_pile.yard import Stack as Stack
from fuelplan.store.log_pile.yard import StackCount as StackCount
from fuelplan.store.log_pile.yard import yard_on as yard_on
