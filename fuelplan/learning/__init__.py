"""What a building really burns, learned from readings and deliveries, with its uncertainty."""

from fuelplan.learning.changes import Change
from fuelplan.learning.fit import Fit, Interval
from fuelplan.learning.learn import LevelUnknown, learn
from fuelplan.learning.posterior import Draws, Posterior
from fuelplan.learning.prior import Assumptions, Prior, SignatureError
from fuelplan.learning.screening import Flag

__all__ = [
    "Assumptions",
    "Change",
    "Draws",
    "Fit",
    "Flag",
    "Interval",
    "LevelUnknown",
    "Posterior",
    "Prior",
    "SignatureError",
    "learn",
]
