"""The round folder, a supplier's customers: `round.toml`, `customers.csv` or `.parquet`, `deliveries.*`,
`readings.*`, `orders.csv`, and what the dispatcher keeps there. The twin of the site folder.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
