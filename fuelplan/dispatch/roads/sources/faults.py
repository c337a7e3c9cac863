"""What is wrong with a file or a service of distances."""

from __future__ import annotations

from fuelplan.messages import Faults, Refusal


class RoadFileFaults(Faults):
    """A matrix file cannot be used; `faults` holds all of its faults at once."""


class RoadServiceError(Refusal):
    """A table service did not answer, or not with a table."""
