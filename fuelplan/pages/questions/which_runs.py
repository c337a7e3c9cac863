"""The dispatcher's question."""

from fuelplan.pages.runs import page as runs_page

runs_page.show()
