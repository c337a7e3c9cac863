from .came import ASKED_DAYS as ASKED_DAYS
from .came import reckon as reckon
from .frozen import NO_FUEL_THAT_WEEKDAY as NO_FUEL_THAT_WEEKDAY
from .frozen import FrozenTrip as FrozenTrip
from .frozen import open_order as open_order
from .kept import Kept as Kept
from .kept import keep_published as keep_published
