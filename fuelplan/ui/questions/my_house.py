"""One's own house and its settings."""

from fuelplan.ui import my_house_page

my_house_page.show()
