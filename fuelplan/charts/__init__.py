"""Pictures of an order answer as Altair charts, each with its text alternative and its table beside it."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
