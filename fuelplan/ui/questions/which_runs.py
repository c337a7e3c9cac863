"""The dispatcher's question."""

from fuelplan.ui import runs_page

runs_page.show()
