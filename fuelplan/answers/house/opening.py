"""A house's folder: opened, checked, and when somebody last looked at it; what goes wrong with it."""

from fuelplan.records.folder import looked_on as looked_on
from fuelplan.records.folder import remember_look as remember_look
from fuelplan.records.site import Site as Site
from fuelplan.records.site import check_folder as check_folder
from fuelplan.records.site import open_sound as open_site
from fuelplan.records.site import today_of as today_of
from fuelplan.records.tables import Fault as Fault
from fuelplan.records.tables import SiteFaults as SiteFaults

__all__ = [
    "Fault", "Site", "SiteFaults", "check_folder", "looked_on", "open_site", "remember_look", "today_of",
]  # fmt: skip
