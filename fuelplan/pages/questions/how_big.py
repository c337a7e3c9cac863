"""The installer's question."""

from fuelplan.pages.size import page as size_page

size_page.show()
