"""One way to read a table: letters, what parts its cells, spreadsheet files; columns into arrays."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
