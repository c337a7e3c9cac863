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
from fuelplan.store.log_heating.value import LoadingValue as LoadingValue
from fuelplan.store.log_heating.value import value_of_loading as value_of_loading
