"""What a building really burns, learned from readings and deliveries, with its uncertainty."""

from fuelplan.signature.learn import LevelUnknown, learn
from fuelplan.signature.posterior import Draws, Posterior
from fuelplan.signature.prior import Assumptions, Prior, SignatureError

__all__ = ["Assumptions", "Draws", "LevelUnknown", "Posterior", "Prior", "SignatureError", "learn"]
