"""Readings and deliveries from a spreadsheet, offered to whoever shows them."""

from fuelplan.records.importing import COLUMNS as COLUMNS
from fuelplan.records.importing import IN_COLUMN as IN_COLUMN
from fuelplan.records.importing import UNITS as UNITS
from fuelplan.records.importing import Dates as Dates
from fuelplan.records.importing import Into as Into
from fuelplan.records.importing import SheetPlan as SheetPlan
from fuelplan.records.importing import SheetRow as SheetRow
from fuelplan.records.importing import dates_of as dates_of
from fuelplan.records.importing import day_of as day_of
from fuelplan.records.importing import example_of_order as example_of_order
from fuelplan.records.importing import guess_plan as guess_plan
from fuelplan.records.importing import import_sheet as import_sheet
from fuelplan.records.importing import preview_sheet as preview_sheet
from fuelplan.records.tables import Sheet as Sheet
from fuelplan.records.tables import SheetError as SheetError
from fuelplan.records.tables import read_sheet as read_sheet
