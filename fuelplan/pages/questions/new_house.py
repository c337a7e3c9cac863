"""A house that has no folder yet."""

from fuelplan.pages.new_house import page as new_house_page

new_house_page.show()
