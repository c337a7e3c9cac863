"""The texts of the pages in English, as a test looks for them on a page: what is a message in a module of
texts is a text here, and what makes one returns its text.
"""

from __future__ import annotations

from types import ModuleType
from typing import Any

from fuelplan.answers.how_big import headings as _size_headings
from fuelplan.messages import Message, as_text
from fuelplan.pages.texts import common as _common
from fuelplan.pages.texts import my_house as _my_house
from fuelplan.pages.texts import new_house as _new_house
from fuelplan.pages.texts import order as _order
from fuelplan.pages.texts import order_asked as _asked
from fuelplan.pages.texts import record as _record
from fuelplan.pages.texts import runs as _runs
from fuelplan.pages.texts import size as _size
from fuelplan.pages.texts import spreadsheet as _spreadsheet


class English:
    """The names of modules of texts, with English texts behind them."""

    def __init__(self, *modules: ModuleType) -> None:
        """Keep the modules."""
        self._modules = modules

    def __getattr__(self, name: str) -> Any:
        """Return what a module has by this name, as text."""
        for module in self._modules:
            if hasattr(module, name):
                return english(getattr(module, name))
        raise AttributeError(name)


def english(found: Any) -> Any:
    """Return the English text of a message, of each message in a tuple or a table, or of what is made."""
    if isinstance(found, Message):
        return as_text(found)
    if isinstance(found, tuple):
        return tuple(english(one) for one in found)
    if isinstance(found, dict):
        return {key: english(one) for key, one in found.items()}
    if callable(found):
        return lambda *args, **named: english(found(*args, **named))
    return found


common = English(_common, _order)
record = English(_record)
runs = English(_runs)
asked = English(_asked)
my_house = English(_my_house)
new_house = English(_new_house)
spreadsheet = English(_spreadsheet)
size = English(_size, _size_headings)
