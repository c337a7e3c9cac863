"""Records kept as a folder of text files: read, changed in one step by one writer at a time, taken back."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
