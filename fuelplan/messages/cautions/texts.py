"""Every safety text of the house, in one place, each with an id that does not change.

These are the usual cautions, not rules: each defers to the maker's manual, local codes and licensed
trades. None of them, and no other text of the house, ever says that a store may be entered without danger:
only a measurement of the air tells.
"""

from __future__ import annotations

from fuelplan.messages.message import Message, Said, message, paragraph, parts
from fuelplan.messages.values import Percent, Quantity

DEFER = message("caution.defer", "The maker's manual, local codes and licensed trades come first.")

# In the order in which they are shown: what kills first.
TEXTS: dict[str, Message] = {
    "co-store": message(
        "caution.co_store",
        "Wood pellets give off carbon monoxide, which kills. You can't smell it. Any pellet store can "
        "become deadly, above all after a fill and in warm weather. Only a carbon monoxide meter shows "
        "how dangerous the air is. Keep the store locked and children away. Put carbon monoxide alarms "
        "in the rooms next to it.",
    ),
    "store-never-enter": message(
        "caution.store_never_enter",
        "Never put your head or body into a tank, a buried store or a fabric store: the air can "
        "kill within moments. If someone collapses inside, stay out. Call the fire service. People who "
        "went in to help have died.",
    ),
    "store-entry": message(
        "caution.store_entry",
        "Entering a pellet store is work for trained people. The least they do: switch off and isolate "
        "boiler and conveyors an hour or more before, air the store for 15 minutes and all the time, "
        "carry a carbon monoxide meter, leave a second person outside. Nobody enters within four weeks "
        "of a fill unless carbon monoxide is measured. Nobody enters a store above {large} or below "
        "ground without a warning device. Nothing of this makes a store harmless. If someone collapses "
        "inside, stay out. Call the fire service. People who went in to help have died.",
        large=Quantity(10_000, "mass"),
    ),
    "co-dwelling": message(
        "caution.co_dwelling",
        "Every fire can give off carbon monoxide. Put alarms in the boiler room, the rooms next to it "
        "and the bedrooms. Keep the opening for combustion air clear. When an alarm sounds, go outside "
        "and call the fire service.",
    ),
    "chimney-fire": message(
        "caution.chimney_fire",
        "If the chimney burns – a roar, sparks, a hot wall – call the fire service. Shut the air and "
        "the doors of the boiler. Never pour water into the chimney: steam can burst it. Have it "
        "inspected before the next fire.",
    ),
    "over-temperature": message(
        "caution.over_temperature",
        "Logs go on burning when the power fails and the pumps stop, so the boiler can overheat. Its "
        "safety heat exchanger must have mains water without a pump, and be tested as the manual says. "
        "In a power cut, put no logs on. Leave the boiler door shut and let the fire burn down. Never "
        "load more than the buffer can take.",
    ),
    "boiler-off-before-filling": message(
        "caution.boiler_off_before_filling",
        "Switch the boiler off before the delivery, as long beforehand as its manual says. If it is not "
        "off: do not fill. Its draught can draw dust, flames and gases between boiler and store.",
    ),
    "vented-caps": message(
        "caution.vented_caps",
        "Caps with air holes are only for filling couplings that both end outdoors. Where one ends "
        "inside the building, gas from the store would reach the house: sealed caps and a separate vent "
        "to the outside are usual there.",
    ),
    "hot-ash": message(
        "caution.hot_ash",
        "Ash holds embers for days, even when it feels cold. Let it cool. Put it in a closed metal bin "
        "outdoors, on stone and away from walls. Never put it in a paper bag or a plastic bin, and never "
        "use a household vacuum cleaner.",
    ),
    "wet-wood": message(
        "caution.wet_wood",
        "Wet logs smoke, leave tar in boiler and chimney and can end in a chimney fire. Burn logs with "
        "{water} water (of the wet mass) or less, measured in a freshly split face. Have tar looked at "
        "by the chimney sweep. How wet wood may be is a law in many places: ask the chimney sweep.",
        water=Percent(0.20),
    ),
    "untreated-wood": message(
        "caution.untreated_wood",
        "Burn only dry, untreated wood. Paint, glue, plastic and waste wood poison the air, corrode the "
        "boiler and are forbidden in most places.",
    ),
    "dust": message(
        "caution.dust",
        "Pellet dust can burn in a flash and harms the lungs. No smoking, no flame, no grinding and no "
        "household vacuum cleaner in or near the store. Wear a dust mask. Let the supplier earth the "
        "hose.",
    ),
    "sweeping": message(
        "caution.sweeping",
        "Boiler off and cold before the chimney is swept. How often it must be swept is a local rule: "
        "ask the chimney sweep.",
    ),
    "heavy-bags": message(
        "caution.heavy_bags",
        "Bags of pellets are heavy. Lift one at a time, with bent knees and a straight back. Use a "
        "trolley for more. Do not stack them higher than you can reach. If your back or heart is not "
        "strong, let someone else carry them.",
    ),
    "log-stack": message(
        "caution.log_stack",
        "Stacks of logs can topple. Stack them on firm, level ground, no higher than about your chest. "
        "Brace the ends. Keep children off. Splitting and sawing need training and protective clothing.",
    ),
    "fire-thresholds": message(
        "caution.fire_thresholds",
        "Above a certain amount, fire rules ask for a separate room, a fire door or a distance. The "
        "amount differs by country: {mass}, {volume} and others are in use. Ask the local authority or "
        "chimney sweep.",
        mass=Quantity(6_500, "mass", unit="kg"),
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


def wet_logs(logs: Message) -> Message:
    """Return what is said of logs that are still wet, before anything else is.

    Germany allows wood of up to 25 % of the dry mass (1. BImSchV §3, value from memory); other places have
    limits of their own.
    """
    return message(
        "caution.wet_logs",
        "{logs}: do not burn them yet. Wet logs leave tar that can end in a chimney fire, they smoke, and in "
        "many places the law forbids it.",
        logs=logs,
    )
