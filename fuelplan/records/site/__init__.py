"""The site folder: `site.toml`, `deliveries.csv`, `readings.csv`. The only room besides `weather_sources`
that touches files.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
