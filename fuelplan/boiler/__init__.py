"""Boilers: losses over load, stand-by, starts, seasons; several boilers and a network on one store."""

from fuelplan.boiler.boiler import Boiler as Boiler
from fuelplan.boiler.boiler import BoilerError as BoilerError
from fuelplan.boiler.boiler import class_minimum_efficiency as class_minimum_efficiency
from fuelplan.boiler.boiler import efficiencies_by_age as efficiencies_by_age
from fuelplan.boiler.boiler import standby_loss_kw as standby_loss_kw
from fuelplan.boiler.oversize import OversizeCost as OversizeCost
from fuelplan.boiler.oversize import cost_of_too_large as cost_of_too_large
from fuelplan.boiler.season import Season as Season
from fuelplan.boiler.season import season as season
from fuelplan.boiler.season import seasonal_efficiency as seasonal_efficiency
from fuelplan.boiler.season import starts_per_hour as starts_per_hour
from fuelplan.boiler.several import Network as Network
from fuelplan.boiler.several import Plant as Plant
from fuelplan.boiler.several import run_plant as run_plant
