"""What is known of the scale of a meter by its kind, beyond how well it was read."""

from __future__ import annotations

from collections.abc import Mapping

from fuelplan.learning.readings import Kind

DRIFT_REL_SD: Mapping[Kind, float] = {"counter": 0.01, "heat_meter": 0.005}
"""How much the scale moves in a year, slowly and in one direction, as a share.

Heat meter: it may be twice as far off in service as when new (EN 1434-1; Directive 2014/32/EU, annex VI;
value from memory). That is 3 points more at most for a flow sensor of class 3, in about six years between
verifications (value from memory): as two standard deviations, 0.25 % a year. The boiler's efficiency, by
which its heat becomes kilograms, is given as much again (assumption). The boiler's counter reckons kilograms
from the running time of an auger, which wears (assumption). Bags that are counted, and weigh notes, do not
drift.
"""

DEVICE_REL_SD: Mapping[Kind, float] = {"counter": 0.08, "heat_meter": 0.03}
"""How much another device of the kind differs in scale, as a share: a count that began anew may come from
one (assumptions; EN 1434-1 allows a new heat meter 3 to 5 % at usual flows, value from memory)."""
