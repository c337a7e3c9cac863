"""Weather as the house uses it: records with provenance, gaps, blending, many possible winters. No input or
output."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
