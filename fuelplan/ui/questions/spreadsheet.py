"""Readings or deliveries from a spreadsheet."""

from fuelplan.ui import spreadsheet_page

spreadsheet_page.show()
