"""The site folder: `site.toml`, `deliveries.csv`, `readings.csv`. The only room besides `weather_sources`
that touches files.
"""

from fuelplan.records.site.faults import Fault, SiteFaults
from fuelplan.records.site.folder import Site, open_site

__all__ = ["Fault", "Site", "SiteFaults", "open_site"]
