"""What a round's books say of orders, deliveries and roads; bringing a sheet in."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
