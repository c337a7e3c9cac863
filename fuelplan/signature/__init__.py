"""What a building really burns, learned from readings and deliveries, with its uncertainty."""

from fuelplan.signature.changes import Change
from fuelplan.signature.fit import Fit, Interval
from fuelplan.signature.learn import LevelUnknown, learn
from fuelplan.signature.posterior import Draws, Posterior
from fuelplan.signature.prior import Assumptions, Prior, SignatureError
from fuelplan.signature.screening import Flag

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
