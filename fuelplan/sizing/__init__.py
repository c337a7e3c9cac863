"""How big a store: every size through many winters, the best range, and a given cellar the other way
round."""

from fuelplan.sizing.answer import SizingAnswer, size_store, wilson_high
from fuelplan.sizing.builds import (
    LONGEST_M,
    PALLET_KG,
    PALLET_M2,
    PALLET_M3,
    WIDEST_M,
    Build,
    StoreQuestion,
    in_question,
)
from fuelplan.sizing.cellar import PELLET_DENSITY, CellarAnswer, CellarOption, cellar
from fuelplan.sizing.inputs import OrderRule, Sizes, SizingError, StoreCosts
from fuelplan.sizing.option import COST_TOLERANCE, SizeOption
from fuelplan.sizing.play import Played, play
from fuelplan.sizing.rules import RoomRule, Thumb, kg_per_kw, order_mark_rule, room_rule, rules_of_thumb

__all__ = [
    "COST_TOLERANCE",
    "LONGEST_M",
    "PALLET_KG",
    "PALLET_M2",
    "PALLET_M3",
    "PELLET_DENSITY",
    "WIDEST_M",
    "Build",
    "CellarAnswer",
    "CellarOption",
    "OrderRule",
    "Played",
    "RoomRule",
    "SizeOption",
    "Sizes",
    "SizingAnswer",
    "SizingError",
    "StoreCosts",
    "StoreQuestion",
    "Thumb",
    "cellar",
    "in_question",
    "kg_per_kw",
    "order_mark_rule",
    "play",
    "room_rule",
    "rules_of_thumb",
    "size_store",
    "wilson_high",
]
