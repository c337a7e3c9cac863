"""Where a file for a person may be written, how, and text in it that no spreadsheet takes for a formula."""

from fuelplan.files import export_place
from fuelplan.records.folder import write_bytes as save_file
from fuelplan.records.tables import escape_formula as spreadsheet_text

__all__ = ["export_place", "save_file", "spreadsheet_text"]
