"""Pellets, logs and chips: energy, moisture on a named basis, density, measures, ash, CO2 and cost of
heat.
"""

from fuelplan.fuel.cost import CO2_KG_PER_KWH as CO2_KG_PER_KWH
from fuelplan.fuel.cost import CO2_SOURCE_BY_COUNTRY as CO2_SOURCE_BY_COUNTRY
from fuelplan.fuel.cost import HeatCost as HeatCost
from fuelplan.fuel.cost import HeatOffer as HeatOffer
from fuelplan.fuel.cost import PriceViews as PriceViews
from fuelplan.fuel.cost import co2_kg_per_kwh as co2_kg_per_kwh
from fuelplan.fuel.cost import heat_cost as heat_cost
from fuelplan.fuel.cost import price_per_kg as price_per_kg
from fuelplan.fuel.cost import price_views as price_views
from fuelplan.fuel.logs import Wood as Wood
from fuelplan.fuel.logs import WoodAmount as WoodAmount
from fuelplan.fuel.logs import chips as chips
from fuelplan.fuel.logs import logs as logs
from fuelplan.fuel.logs import wet_log_loss as wet_log_loss
from fuelplan.fuel.moisture import FuelError as FuelError
from fuelplan.fuel.moisture import Moisture as Moisture
from fuelplan.fuel.moisture import MoistureDry as MoistureDry
from fuelplan.fuel.moisture import MoistureError as MoistureError
from fuelplan.fuel.moisture import MoistureWet as MoistureWet
from fuelplan.fuel.moisture import net_kwh_per_kg as net_kwh_per_kg
from fuelplan.fuel.moisture import parse_moisture as parse_moisture
from fuelplan.fuel.pellets import OFFICIAL_KWH_PER_KG as OFFICIAL_KWH_PER_KG
from fuelplan.fuel.pellets import Pellets as Pellets
from fuelplan.fuel.pellets import bags_kg as bags_kg
from fuelplan.fuel.pellets import pallet_kg as pallet_kg
from fuelplan.fuel.pellets import pellets as pellets
from fuelplan.fuel.species import SPECIES as SPECIES
from fuelplan.fuel.species import Species as Species
from fuelplan.fuel.species import species as species
