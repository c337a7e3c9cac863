"""The round folder, a supplier's customers: `round.toml`, `customers.csv` or `.parquet`, `deliveries.*`,
`readings.*`, `orders.csv`, and what the dispatcher keeps there. The twin of the site folder.
"""

from fuelplan.round_folder.as_rooms import tours_of
from fuelplan.round_folder.by_depot import DepotError, depot_of_customers, part_of_depot
from fuelplan.round_folder.credit import credit_stopped
from fuelplan.round_folder.customers import Customers
from fuelplan.round_folder.edit import (
    add_delivery,
    add_happening,
    add_order,
    add_reading,
    add_wish,
    remove_row,
)
from fuelplan.round_folder.fault_groups import RoundFaults, counted, shown
from fuelplan.round_folder.folder import AreaFolder, Round, check_round, is_round, open_round
from fuelplan.round_folder.histories import Deliveries, Readings
from fuelplan.round_folder.import_joined import faults_of_import, joined, write_import
from fuelplan.round_folder.imports import import_table
from fuelplan.round_folder.lists import Happening, OdometerDay, Order, Wish
from fuelplan.round_folder.models import RoundTable
from fuelplan.round_folder.publish import publish, write_published
from fuelplan.round_folder.published import PublishedStop
from fuelplan.round_folder.reach import Reach, reach_of
from fuelplan.round_folder.table_as_rooms import driver_rules, working_days_of
from fuelplan.site.faults import Fault

__all__ = [
    "AreaFolder", "Customers", "Deliveries", "DepotError", "Fault", "Happening", "OdometerDay", "Order",
    "PublishedStop", "Reach", "Readings", "Round", "RoundFaults", "RoundTable", "Wish", "add_delivery",
    "add_happening", "add_order", "add_reading", "add_wish", "check_round", "counted",
    "credit_stopped", "depot_of_customers", "driver_rules", "faults_of_import", "import_table", "is_round",
    "joined", "open_round", "part_of_depot", "publish", "reach_of", "remove_row", "shown", "tours_of",
    "working_days_of", "write_import", "write_published",
]  # fmt: skip
