"""What the building really burns."""

from fuelplan.pages.learn import page as learn_page

learn_page.show_page()
