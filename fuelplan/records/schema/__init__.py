"""The keys and columns of a house and of a round: what may be written in a folder, each with its bounds."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
