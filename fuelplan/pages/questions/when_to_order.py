"""The householder's question."""

from fuelplan.pages.order import page as order_page

order_page.show()
