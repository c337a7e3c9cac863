"""Boilers: losses over load, stand-by, starts, seasons; several boilers and a network on one store."""

from fuelplan.heat.boiler.boiler import Boiler as Boiler
from fuelplan.heat.boiler.boiler import BoilerError as BoilerError
from fuelplan.heat.boiler.boiler import class_minimum_efficiency as class_minimum_efficiency
from fuelplan.heat.boiler.boiler import efficiencies_by_age as efficiencies_by_age
from fuelplan.heat.boiler.boiler import standby_loss_kw as standby_loss_kw
from fuelplan.heat.boiler.oversize import OversizeCost as OversizeCost
from fuelplan.heat.boiler.oversize import cost_of_too_large as cost_of_too_large
from fuelplan.heat.boiler.season import BoilerSeason as BoilerSeason
from fuelplan.heat.boiler.season import season as season
from fuelplan.heat.boiler.season import seasonal_efficiency as seasonal_efficiency
from fuelplan.heat.boiler.season import starts_per_hour as starts_per_hour
from fuelplan.heat.boiler.several import Network as Network
from fuelplan.heat.boiler.several import Plant as Plant
from fuelplan.heat.boiler.several import run_plant as run_plant
