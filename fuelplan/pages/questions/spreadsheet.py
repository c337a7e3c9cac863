"""Readings or deliveries from a spreadsheet."""

from fuelplan.pages.spreadsheet import page as spreadsheet_page

spreadsheet_page.show()
