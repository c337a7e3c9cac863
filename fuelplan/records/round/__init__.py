"""The round folder, a supplier's customers: `round.toml`, `customers.csv` or `.parquet`, `deliveries.*`,
`readings.*`, `orders.csv`, and what the dispatcher keeps there. The twin of the site folder.
"""

from fuelplan.records.round.by_depot import DepotError, depot_of_customers, part_of_depot
from fuelplan.records.round.credit import credit_stopped
from fuelplan.records.round.customers import Customers
from fuelplan.records.round.edit import (
    add_delivery,
    add_happening,
    add_order,
    add_reading,
    add_wish,
    remove_row,
)
from fuelplan.records.round.fault_groups import RoundFaults, counted, shown
from fuelplan.records.round.folder import AreaFolder, Round, check_round, is_round, open_round
from fuelplan.records.round.histories import Deliveries, Readings
from fuelplan.records.round.importing.joined import faults_of_import, joined, write_import
from fuelplan.records.round.importing.rows import import_table
from fuelplan.records.round.lists import Happening, OdometerDay, Order, Wish
from fuelplan.records.round.publish import publish, write_published
from fuelplan.records.round.published import PublishedStop
from fuelplan.records.round.reach import Reach, reach_of
from fuelplan.records.round.schema.round import RoundTable
from fuelplan.records.round.table_to_domain import driver_rules, working_days_of
from fuelplan.records.round.to_domain import tours_of
from fuelplan.records.site.faults import Fault

__all__ = [
    "AreaFolder", "Customers", "Deliveries", "DepotError", "Fault", "Happening", "OdometerDay", "Order",
    "PublishedStop", "Reach", "Readings", "Round", "RoundFaults", "RoundTable", "Wish", "add_delivery",
    "add_happening", "add_order", "add_reading", "add_wish", "check_round", "counted",
    "credit_stopped", "depot_of_customers", "driver_rules", "faults_of_import", "import_table", "is_round",
    "joined", "open_round", "part_of_depot", "publish", "reach_of", "remove_row", "shown", "tours_of",
    "working_days_of", "write_import", "write_published",
]  # fmt: skip
