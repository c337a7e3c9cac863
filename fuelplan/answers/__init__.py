"""The only join from a folder and weather to a decision; the public library interface.

Everything is imported when first used, so that looking at a folder does not load what an order needs.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
