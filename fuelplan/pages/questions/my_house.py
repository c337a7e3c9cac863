"""One's own house and its settings."""

from fuelplan.pages.my_house import page as my_house_page

my_house_page.show()
