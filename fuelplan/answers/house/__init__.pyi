from .sheet_import import COLUMNS as COLUMNS
from .sheet_import import IN_COLUMN as IN_COLUMN
from .sheet_import import UNITS as UNITS
from .sheet_import import Dates as Dates
from .sheet_import import Into as Into
from .sheet_import import dates_of as dates_of
from .sheet_import import day_of as day_of
from .sheet_import import example_of_order as example_of_order
