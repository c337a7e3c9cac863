"""Boilers for logs and pellets: what a person's loading leaves for the pellets, winter by winter."""

from fuelplan.store.log_heating.plant import NEVER as NEVER
from fuelplan.store.log_heating.plant import LoadingRule as LoadingRule
from fuelplan.store.log_heating.plant import LogHeatingError as LogHeatingError
from fuelplan.store.log_heating.plant import LogLoad as LogLoad
from fuelplan.store.log_heating.plant import LogPelletBoiler as LogPelletBoiler
from fuelplan.store.log_heating.plant import spread_over_day as spread_over_day
from fuelplan.store.log_heating.results import HeatLedger as HeatLedger
from fuelplan.store.log_heating.results import LogPelletRun as LogPelletRun
from fuelplan.store.log_heating.run import run as run
from fuelplan.store.log_heating.share import AMOUNT_SD as AMOUNT_SD
from fuelplan.store.log_heating.share import AS_WRITTEN as AS_WRITTEN
from fuelplan.store.log_heating.share import DailyShare as DailyShare
from fuelplan.store.log_heating.share import Habit as Habit
from fuelplan.store.log_heating.share import LogDraws as LogDraws
from fuelplan.store.log_heating.share import daily_share as daily_share
from fuelplan.store.log_heating.share import logs_burned_kg as logs_burned_kg
from fuelplan.store.log_heating.share import split_demand as split_demand
from fuelplan.store.log_heating.value import LoadingValue as LoadingValue
from fuelplan.store.log_heating.value import value_of_loading as value_of_loading
