"""What the building really burns."""

from fuelplan.ui import learn_page

learn_page.show_page()
