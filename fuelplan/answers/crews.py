"""Who does the work: this process, other ones, other machines."""

from fuelplan.workers import Crew, WorkersError, crew_of

__all__ = ["Crew", "WorkersError", "crew_of"]
