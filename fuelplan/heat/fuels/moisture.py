"""Water in wood on its two bases, which no plain number can confuse, and the energy as received."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fuelplan.messages import Message, Own, Percent, Refusal, message

EVAPORATION_KWH_PER_KG = 0.6786  # 24.43 kJ per kg and per cent of water
MOST_WET = 0.60  # green poplar, the wettest of our kinds (value from memory); above it is a slip of the pen


class FuelError(Refusal):
    """Something said about a fuel cannot be; the sentence says what to write instead."""


class MoistureError(FuelError):
    """A water content that cannot be, or whose basis was not said."""


@dataclass(frozen=True)
class MoistureWet:
    """Water as a share of the *wet* mass: w or M on pellet and chip papers. 0.20 is 20 %."""

    share: float

    def __post_init__(self) -> None:
        """Refuse a share that no wood can have."""
        if not self.share >= 0:
            raise MoistureError(
                message(
                    "water.below_zero",
                    "a water content of {share} cannot be; write zero or more, e.g. 20 % wet",
                    share=Percent(self.share),
                )
            )
        if self.share >= 1:
            raise MoistureError(
                message(
                    "water.wet_above_all",
                    "{share} of the wet mass cannot be water; the wet basis stays below 100 %. Meters for "
                    "firewood often show the dry basis: then write it as such, e.g. 110 % dry",
                    share=Percent(self.share),
                )
            )
        if self.share > MOST_WET:
            raise MoistureError(
                message(
                    "water.wet_above_green",
                    "{share} water of the wet mass is more than green wood holds; write e.g. 50 % wet, or "
                    "the dry basis if that is meant",
                    share=Percent(self.share),
                )
            )

    @property
    def wet(self) -> MoistureWet:
        """This water content on the wet basis."""
        return self

    @property
    def dry(self) -> MoistureDry:
        """This water content on the dry basis: u = M / (1 - M)."""
        return MoistureDry(self.share / (1.0 - self.share))

    @property
    def said(self) -> Message:
        """The number with its basis."""
        return message("water.of_wet_mass", "{share} of the wet mass", share=Percent(self.share))


@dataclass(frozen=True)
class MoistureDry:
    """Water as a share of the *dry* mass: the wood moisture u that meters and foresters use. 0.25 is 25 %."""

    share: float

    def __post_init__(self) -> None:
        """Refuse a share that no wood can have."""
        if not self.share >= 0:
            raise MoistureError(
                message(
                    "water.dry_below_zero",
                    "a wood moisture of {share} cannot be; write zero or more, e.g. 25 % dry",
                    share=Percent(self.share),
                )
            )
        if self.share > MOST_WET / (1.0 - MOST_WET):
            raise MoistureError(
                message(
                    "water.dry_above_green",
                    "{share} water on the dry mass is more than green wood holds; write e.g. 80 % dry",
                    share=Percent(self.share),
                )
            )

    @property
    def wet(self) -> MoistureWet:
        """This water content on the wet basis: M = u / (1 + u)."""
        return MoistureWet(self.share / (1.0 + self.share))

    @property
    def dry(self) -> MoistureDry:
        """This water content on the dry basis."""
        return self

    @property
    def said(self) -> Message:
        """The number with its basis."""
        return message("water.of_dry_mass", "{share} of the dry mass", share=Percent(self.share))


Moisture = MoistureWet | MoistureDry

_TEXT = re.compile(r"\s*([-+]?\d+(?:\.\d+)?)\s*(%?)\s*(.*?)\s*", re.DOTALL)
_WET_WORDS = {"wet", "wet basis", "w", "m", "of the wet mass", "water content", "as received"}
_DRY_WORDS = {"dry", "dry basis", "u", "of the dry mass", "wood moisture"}


def parse_moisture(text: str) -> Moisture:
    """Read "20 % wet" or "25 % dry"; a number without its basis is sent back with the question.

    Parameters
    ----------
    text
        A number, a per cent sign or a share, and "wet" or "dry".

    Returns
    -------
    MoistureWet or MoistureDry
        The share of water on the basis that was written.

    Raises
    ------
    MoistureError
        No number, no basis, or a share no wood can have.
    """
    found = _TEXT.fullmatch(text)
    if found is None or found.group(3)[:1] in (",", "."):
        raise MoistureError(
            message(
                "water.not_one",
                '"{text}" is not a water content; write e.g. "20 % wet" or "25 % dry", with a decimal point',
                text=Own(text),
            )
        )
    number, percent, words = found.groups()
    share = float(number) / 100.0 if percent else float(number)
    if not percent and share > 3:
        raise MoistureError(
            message(
                "water.no_unit",
                '"{text}" has no unit; write a per cent sign, e.g. "{number} % wet"',
                text=Own(text),
                number=Own(number),
            )
        )
    basis = words.strip(" ,()?").lower()
    if basis in _WET_WORDS:
        return MoistureWet(share)
    if basis in _DRY_WORDS:
        return MoistureDry(share)
    if share < 0:
        raise MoistureError(
            message(
                "water.negative",
                '"{text}": a water content cannot be negative; write e.g. "20 % wet"',
                text=Own(text),
            )
        )
    if basis and basis not in {"wet or dry", "dry or wet"}:
        raise MoistureError(
            message(
                "water.basis",
                '"{text}": "{words}" is not a valid basis; write "wet" or "dry" after the number',
                text=Own(text),
                words=Own(words),
            )
        )
    raise MoistureError(_which(text.strip(), share))


def _which(text: str, share: float) -> Message:
    """Ask for the basis, and say what the number is on the other one."""
    given, wet = Percent(share), Percent(share / (1.0 + share))
    if share > MOST_WET:
        return message(
            "water.which_basis_not_wet",
            '"{text}": of the wet mass or of the dry mass? Write "{given} wet" (which is more than wood can '
            'hold) or "{given} dry" (which is {wet} wet); suppliers mostly state the wet basis, meters with '
            "two pins the dry",
            text=Own(text),
            given=given,
            wet=wet,
        )
    return message(
        "water.which_basis",
        '"{text}": of the wet mass or of the dry mass? Write "{given} wet" (which is {dry} dry) or "{given} '
        'dry" (which is {wet} wet); suppliers mostly state the wet basis, meters with two pins the dry',
        text=Own(text),
        given=given,
        dry=Percent(share / (1.0 - share)),
        wet=wet,
    )


def net_kwh_per_kg(dry_kwh_per_kg: float, moisture: Moisture) -> float:
    """Return the net calorific value as received: q_dry (1 - M) - 0.6786 M, M on the wet mass. [kWh/kg]

    Source: ISO 18125 (formula from memory); it gives the printed hardwood row of Landkreis Heidenheim.

    Parameters
    ----------
    dry_kwh_per_kg
        Net calorific value of the dry wood: 5.0 hardwood, 5.2 softwood. [kWh/kg]
    moisture
        `MoistureWet` or `MoistureDry`; a plain number is refused, since nobody can tell its basis.

    Returns
    -------
    float
        Energy of a kilogram as it lies, its water included. [kWh/kg]

    Raises
    ------
    MoistureError
        A water content that does not say its basis.
    FuelError
        Dry wood outside 3 to 7 kWh per kg.
    """
    if not isinstance(moisture, MoistureWet | MoistureDry):
        raise MoistureError(
            f"{moisture!r} does not say its basis; write MoistureWet(0.20) or MoistureDry(0.25), or parse it"
        )
    if not 3.0 <= dry_kwh_per_kg <= 7.0:
        raise FuelError(
            f"{dry_kwh_per_kg:g} kWh per kg of dry wood cannot be; wood lies near 5.0 (5.2 softwood)"
        )
    wet = moisture.wet.share
    return dry_kwh_per_kg * (1.0 - wet) - EVAPORATION_KWH_PER_KG * wet
