"""The round folder, a supplier's customers: `round.toml`, `customers.csv` or `.parquet`, `deliveries.*`,
`readings.*`, `orders.csv`, and what the dispatcher keeps there. The twin of the site folder.
"""

from fuelplan.round_folder.customers import Customers
from fuelplan.round_folder.fault_groups import RoundFaults
from fuelplan.round_folder.folder import Round, check_round, is_round, open_round
from fuelplan.round_folder.histories import Deliveries, Readings
from fuelplan.round_folder.lists import Happening, Order, PublishedStop, Wish
from fuelplan.round_folder.models import RoundTable

__all__ = [
    "Customers", "Deliveries", "Happening", "Order", "PublishedStop", "Readings", "Round", "RoundFaults",
    "RoundTable", "Wish", "check_round", "is_round", "open_round",
]  # fmt: skip
