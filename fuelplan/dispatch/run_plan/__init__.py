"""The dispatcher's run plan: whom to serve on which day, how much, on which tanker, in which order.

The core searches over each customer's whole pattern of visits; it knows levels, routes and costs only.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
