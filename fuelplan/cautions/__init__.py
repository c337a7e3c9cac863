"""Every safety text with what triggers it; each defers to manual, local codes and licensed trades."""

from fuelplan.cautions.situation import Caution as Caution
from fuelplan.cautions.situation import CautionError as CautionError
from fuelplan.cautions.situation import Situation as Situation
from fuelplan.cautions.situation import caution as caution
from fuelplan.cautions.situation import for_situation as for_situation
from fuelplan.cautions.texts import DEFER as DEFER
from fuelplan.cautions.texts import TEXTS as TEXTS
