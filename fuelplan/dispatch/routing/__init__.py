"""One day's routes: which tanker drives to which stops, in which order, and when.

The only room that uses PyVRP, and only inside its functions.
"""

from fuelplan.dispatch.routing.chambers import pack
from fuelplan.dispatch.routing.day import DayRoutes, Route, Stop, Tanker, tankers_out
from fuelplan.dispatch.routing.exact import Trip
from fuelplan.dispatch.routing.fixed import fixed_day
from fuelplan.dispatch.routing.mended import MendedDay
from fuelplan.dispatch.routing.plan_day import DEFAULT_ITERATIONS, route_day

__all__ = [
    "DEFAULT_ITERATIONS", "DayRoutes", "MendedDay", "Route", "Stop", "Tanker", "Trip",
    "fixed_day", "pack", "route_day", "tankers_out",
]  # fmt: skip
