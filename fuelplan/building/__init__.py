"""What the building needs: heat load, hot water, gains and balance point, absences, a second source of
heat.
"""

from fuelplan.building.absences import TIME_CONSTANT_H as TIME_CONSTANT_H
from fuelplan.building.absences import Absence as Absence
from fuelplan.building.absences import DayPlan as DayPlan
from fuelplan.building.absences import day_plan as day_plan
from fuelplan.building.absences import degree_days_left as degree_days_left
from fuelplan.building.absences import night_set_back_k as night_set_back_k
from fuelplan.building.floor_area import from_floor_area as from_floor_area
from fuelplan.building.hot_water import HotWater as HotWater
from fuelplan.building.hot_water import hot_water as hot_water
from fuelplan.building.hot_water import hot_water_for_floor_area as hot_water_for_floor_area
from fuelplan.building.hot_water import hot_water_for_people as hot_water_for_people
from fuelplan.building.hot_water import people_in as people_in
from fuelplan.building.need import BuildingError as BuildingError
from fuelplan.building.need import HeatNeed as HeatNeed
from fuelplan.building.need import balance_point_c as balance_point_c
from fuelplan.building.need import from_design_loss as from_design_loss
from fuelplan.building.need import from_fabric as from_fabric
from fuelplan.building.need import from_yearly_heat as from_yearly_heat
from fuelplan.building.need import gains_from_floor_area_w as gains_from_floor_area_w
from fuelplan.building.need import months_of as months_of
from fuelplan.building.need import space_heat_kwh as space_heat_kwh
from fuelplan.building.past_use import CARRIERS as CARRIERS
from fuelplan.building.past_use import OLD_HEATINGS as OLD_HEATINGS
from fuelplan.building.past_use import UsefulHeat as UsefulHeat
from fuelplan.building.past_use import useful_heat as useful_heat
from fuelplan.building.second_source import HeatLeft as HeatLeft
from fuelplan.building.second_source import HeatPump as HeatPump
from fuelplan.building.second_source import Solar as Solar
from fuelplan.building.second_source import Stove as Stove
from fuelplan.building.second_source import after_second_sources as after_second_sources
