"""The installer's question."""

from fuelplan.ui import size_page

size_page.show()
