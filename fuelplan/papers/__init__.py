"""The printable pages: the answer on size, and run sheets with delivery notes, as PDFs to hand on."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
