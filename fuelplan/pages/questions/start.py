"""The front page."""

from fuelplan.pages import front_page

front_page.show()
