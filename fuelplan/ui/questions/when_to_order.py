"""The householder's question."""

from fuelplan.ui import order_page

order_page.show()
