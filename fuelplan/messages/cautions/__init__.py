"""Every safety text with what triggers it; each defers to manual, local codes and licensed trades."""

from fuelplan.messages.cautions.situation import Caution as Caution
from fuelplan.messages.cautions.situation import CautionError as CautionError
from fuelplan.messages.cautions.situation import FuelCautions as FuelCautions
from fuelplan.messages.cautions.situation import Situation as Situation
from fuelplan.messages.cautions.situation import caution as caution
from fuelplan.messages.cautions.situation import for_situation as for_situation
from fuelplan.messages.cautions.texts import DEFER as DEFER
from fuelplan.messages.cautions.texts import TEXTS as TEXTS
from fuelplan.messages.cautions.texts import undeferred as undeferred
from fuelplan.messages.cautions.texts import wet_logs as wet_logs
