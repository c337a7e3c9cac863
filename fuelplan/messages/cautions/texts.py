"""Every safety text of the house, in one place, each with an id that does not change.

These are the usual cautions, not rules: each defers to the maker's manual, local codes and licensed
trades. None of them, and no other text of the house, ever says that a store may be entered without danger:
only a measurement of the air tells.
"""

from __future__ import annotations

from fuelplan.messages.message import Message, Said, message, paragraph, parts
from fuelplan.messages.values import Quantity

DEFER = message("caution.defer", "The maker's manual, local codes and licensed trades come first.")

# In the order in which they are shown: what kills first.
TEXTS: dict[str, Message] = {
    "co-store": message(
        "caution.co_store",
        "Wood pellets give off carbon monoxide, which has no smell and kills. Any pellet store "
        "can become deadly, the more so after a fill and in warmth; only a measurement of its air "
        "tells. Keep the store locked and children away, and put carbon-monoxide alarms into the "
        "rooms beside it.",
    ),
    "store-never-enter": message(
        "caution.store_never_enter",
        "Never put your head or body into a tank, a buried store or a fabric store: the air can "
        "kill within moments, and who goes in to help dies too. In an emergency stay outside and "
        "call the fire service.",
    ),
    "store-entry": message(
        "caution.store_entry",
        "Entering a pellet store is work for people who are trained for it. The usual least is: "
        "boiler and conveyors off and isolated for an hour or more before, the store aired for at "
        "least 15 minutes and all the time, a second person who stays outside, a carbon-monoxide "
        "meter that is carried along. Nobody enters within four weeks of a fill unless carbon "
        "monoxide is measured, nor a store above {large} or below ground without a warning "
        "device. None of this makes a store harmless. If somebody collapses inside, do not "
        "follow: call the fire service.",
        large=Quantity(10_000, "mass"),
    ),
    "co-dwelling": message(
        "caution.co_dwelling",
        "Every fire can give off carbon monoxide. Put alarms into the boiler room, the rooms "
        "beside it and bedrooms, keep the combustion air opening free, and when an alarm sounds "
        "go outside and call the fire service.",
    ),
    "chimney-fire": message(
        "caution.chimney_fire",
        "If the chimney burns – a roar, sparks, a hot wall – call the fire service and shut the "
        "air and the doors of the boiler. Never pour water into the chimney: steam can burst it. "
        "Have it inspected before the next fire.",
    ),
    "over-temperature": message(
        "caution.over_temperature",
        "Logs go on burning when the power fails and the pumps stand still, so the boiler can "
        "overheat. Its safety heat exchanger must have mains water without a pump, and be tested "
        "as the manual says. In a power cut put no logs on, leave the boiler door shut and let "
        "the fire burn down. Never load more than the buffer can take.",
    ),
    "boiler-off-before-filling": message(
        "caution.boiler_off_before_filling",
        "Before filling: boiler off, as its manual says. Not off, no filling: the suction of the "
        "fire can draw dust, flames and gases between boiler and store.",
    ),
    "vented-caps": message(
        "caution.vented_caps",
        "Caps with air holes on the filling couplings are only for couplings that both end "
        "outdoors. Where one ends inside the building, sealed caps and a vent of its own to the "
        "outside are usual: otherwise gas from the store reaches the house.",
    ),
    "hot-ash": message(
        "caution.hot_ash",
        "Ash holds embers for days, also when it feels cold. Let it cool, put it into a closed "
        "metal bin that stands outdoors on stone, away from walls, and never into a paper bag, a "
        "plastic bin or a vacuum cleaner for the household.",
    ),
    "wet-wood": message(
        "caution.wet_wood",
        "Wet logs smoke, tar the boiler and the chimney and can end in a chimney fire. Burn logs "
        "of 20 % water (of the wet mass) or less, measured in a freshly split face, and have tar "
        "looked at by the chimney sweep.",
    ),
    "untreated-wood": message(
        "caution.untreated_wood",
        "Only dry, untreated wood belongs into the boiler: paint, glue, plastic and waste wood "
        "poison the air, eat the boiler and are forbidden in most places.",
    ),
    "dust": message(
        "caution.dust",
        "Dust of pellets can burn in a flash and harms the lungs. No smoking, no flame, no "
        "grinding and no household vacuum cleaner in or near the store; wear a dust mask, and let "
        "the supplier earth the hose.",
    ),
    "sweeping": message(
        "caution.sweeping",
        "How often a chimney must be swept is a rule of the place; ask the chimney sweep. The "
        "boiler must be cold and off.",
    ),
    "heavy-bags": message(
        "caution.heavy_bags",
        "Bags of pellets are heavy: lift with bent knees and a straight back, one at a time, use "
        "a trolley for more, and do not stack them higher than you can reach. Let somebody else "
        "carry if your back or heart says so.",
    ),
    "log-stack": message(
        "caution.log_stack",
        "Stacks of logs can topple: stack on firm, level ground no higher than about your chest, "
        "brace the ends, and keep children off. Splitting and sawing need training and protective "
        "clothing.",
    ),
    "fire-thresholds": message(
        "caution.fire_thresholds",
        "From some amount on, fuel needs a room, a door or a distance that the fire code sets. "
        "The amount differs by land ({mass}, {litres}, {volume} and others are in use): ask the "
        "local authority or chimney sweep.",
        mass=Quantity(6_500, "mass", unit="kg"),
        litres=Quantity(10, "volume", unit="l"),
        volume=Quantity(15, "volume"),
    ),
    "boiler-too-small": message(
        "caution.boiler_too_small",
        "A boiler smaller than the load leaves the house cold on the coldest days, when pipes can "
        "freeze. A heating engineer should work out the heat load before anything is bought or "
        "changed.",
    ),
}


def undeferred(text: Said) -> Said:
    """Return a caution without what all of them defer to, for faces that say that once."""
    if isinstance(text, str):
        return text
    return paragraph(part for part in parts(text) if part != DEFER)
