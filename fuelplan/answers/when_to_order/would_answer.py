"""Whether a sound folder also has what an order answer needs on a day, found by trying."""

from __future__ import annotations

from datetime import date

from fuelplan.answers.weather_of_site import weather_for
from fuelplan.answers.when_to_order.order import prepare
from fuelplan.messages import Day, message, said_by
from fuelplan.records.schema import SITE_FILE
from fuelplan.records.site import Site
from fuelplan.records.tables import Fault
from fuelplan.weather.sources import WeatherUnavailable


def check_order(site: Site, as_of: date) -> list[Fault]:
    """Return why `order` would give no answer for a sound folder on a day, as a warning.

    Station weather is not asked for: that a server answers is no matter of the folder.
    """
    if "meteostat" in {site.table.weather.source, site.table.weather.fallback}:
        return []
    try:
        prepare(site, weather_for(site, as_of), as_of)
    except (ValueError, WeatherUnavailable) as error:
        said = message(
            "order.no_answer",
            "for {day} there is no order answer: {why}",
            day=Day(as_of, year=True),
            why=said_by(error),
        )
        return [Fault(SITE_FILE, None, "", said, warning=True)]
    return []
