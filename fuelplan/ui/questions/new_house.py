"""A house that has no folder yet."""

from fuelplan.ui import new_house_page

new_house_page.show()
