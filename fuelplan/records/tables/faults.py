"""What is wrong with a folder: where, what, and what to write instead."""

from __future__ import annotations

from fuelplan.messages import Fault as Fault
from fuelplan.messages import Faults


class SiteFaults(Faults):
    """A folder cannot be used; `faults` holds all of its faults at once."""
