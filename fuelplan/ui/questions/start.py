"""The front page."""

from fuelplan.ui import front_page

front_page.show()
