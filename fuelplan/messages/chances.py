"""A chance as people read it: "about 1 in 50"."""

from __future__ import annotations

from fuelplan.messages.message import Message, message
from fuelplan.messages.values import Chance
from fuelplan.units import odds


def said_chance(chance: Chance) -> Message:
    """Return the words for a chance; how finely it is told is decided in `units`."""
    kind, n = odds(chance.share, chance.out_of)
    if kind == "less_than":
        return message("chance.less_than", "less than 1 in {n}", n=n)
    if kind == "none_seen":
        return message("chance.none_seen", "none seen")
    if kind == "all":
        return message("chance.all_of", "all of {n}", n=n)
    if kind == "almost_all":
        return message("chance.more_than_9_in_10", "more than 9 in 10")
    if chance.chosen and kind == "in_ten":
        return message("chance.chosen_in_ten", "{n} in 10", n=n)
    if chance.chosen:
        return message("chance.chosen_one_in", "1 in {n}", n=n)
    if kind == "in_ten":
        return message("chance.in_ten", "about {n} in 10", n=n)
    return message("chance.one_in", "about 1 in {n}", n=n)
