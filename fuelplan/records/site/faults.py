"""What is wrong with a folder, as every table says it."""

from fuelplan.records.tables import Fault as Fault
from fuelplan.records.tables import SiteFaults as SiteFaults
