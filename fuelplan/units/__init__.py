"""Quantities as people write and read them: text → a number in a fixed unit, and back."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
