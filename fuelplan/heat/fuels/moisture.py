"""Water in wood on its two bases, which no plain number can confuse, and the energy as received."""

from __future__ import annotations

import re
from dataclasses import dataclass

EVAPORATION_KWH_PER_KG = 0.6786  # 24.43 kJ per kg and per cent of water
MOST_WET = 0.75  # green poplar holds about 0.65; above 0.75 it is a slip of the pen


class FuelError(ValueError):
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
                f"a water content of {self.share:.0%} cannot be; write zero or more, e.g. 20 % wet"
            )
        if self.share >= 1:
            raise MoistureError(
                f"{self.share:.0%} of the wet mass cannot be water; the wet basis stays below 100 %. "
                f"Meters for "
                "firewood often show the dry basis: then write it as such, e.g. 110 % dry"
            )
        if self.share > MOST_WET:
            raise MoistureError(
                f"{self.share:.0%} water of the wet mass is more than green wood holds; write e.g. 50 % "
                f"wet, or "
                "the dry basis if that is meant"
            )

    @property
    def wet(self) -> MoistureWet:
        """This water content on the wet basis."""
        return self

    @property
    def dry(self) -> MoistureDry:
        """This water content on the dry basis: u = M / (1 - M)."""
        return MoistureDry(self.share / (1.0 - self.share))

    def __str__(self) -> str:
        """Say the basis with the number."""
        return f"{self.share:.0%} of the wet mass"


@dataclass(frozen=True)
class MoistureDry:
    """Water as a share of the *dry* mass: the wood moisture u that meters and foresters use. 0.25 is 25 %."""

    share: float

    def __post_init__(self) -> None:
        """Refuse a share that no wood can have."""
        if not self.share >= 0:
            raise MoistureError(
                f"a wood moisture of {self.share:.0%} cannot be; write zero or more, e.g. 25 % dry"
            )
        if self.share > MOST_WET / (1.0 - MOST_WET):
            raise MoistureError(
                f"{self.share:.0%} water on the dry mass is more than green wood holds; write e.g. 80 % dry"
            )

    @property
    def wet(self) -> MoistureWet:
        """This water content on the wet basis: M = u / (1 + u)."""
        return MoistureWet(self.share / (1.0 + self.share))

    @property
    def dry(self) -> MoistureDry:
        """This water content on the dry basis."""
        return self

    def __str__(self) -> str:
        """Say the basis with the number."""
        return f"{self.share:.0%} of the dry mass"


Moisture = MoistureWet | MoistureDry

_TEXT = re.compile(r"\s*([-+]?\d+(?:\.\d+)?)\s*(%?)\s*(.*?)\s*", re.DOTALL)
_WET_WORDS = {"wet", "wet basis", "w", "m", "of the wet mass", "water content", "as received"}
_DRY_WORDS = {"dry", "dry basis", "u", "of the dry mass", "wood moisture"}


def parse_moisture(text: str) -> Moisture:
    """Read "20 % wet" or "25 % dry"; a number without its basis is sent back with the question.

    Raises
    ------
    MoistureError
        No number, no basis, or a share no wood can have.
    """
    found = _TEXT.fullmatch(text)
    if found is None or found.group(3)[:1] in (",", "."):
        raise MoistureError(
            f'"{text}" is not a water content; write e.g. "20 % wet" or "25 % dry", with a decimal point'
        )
    number, percent, words = found.groups()
    share = float(number) / 100.0 if percent else float(number)
    if not percent and share > 3:
        raise MoistureError(f'"{text}" has no unit; write a per cent sign, e.g. "{number} % wet"')
    basis = words.strip(" ,()?").lower()
    if basis in _WET_WORDS:
        return MoistureWet(share)
    if basis in _DRY_WORDS:
        return MoistureDry(share)
    if share < 0:
        raise MoistureError(f'"{text}": a water content cannot be negative; write e.g. "20 % wet"')
    if basis and basis not in {"wet or dry", "dry or wet"}:
        raise MoistureError(
            f'"{text}": "{words}" is not a valid basis; write "wet" or "dry" after the number'
        )
    raise MoistureError(_which(text.strip(), share))


def _which(text: str, share: float) -> str:
    dry_of_wet = f"{share / (1.0 - share):.0%} dry" if share <= MOST_WET else "more than wood can hold"
    wet_of_dry = f"{share / (1.0 + share):.0%} wet"
    return (
        f'"{text}": of the wet mass or of the dry mass? Write "{share:.0%} wet" (which is {dry_of_wet}) or '
        f'"{share:.0%} dry" (which is {wet_of_dry}); suppliers mostly state the wet basis, meters with '
        f"two pins the dry"
    )


def net_kwh_per_kg(dry_kwh_per_kg: float, moisture: Moisture) -> float:
    """Return the net calorific value as received: q_dry (1 - M) - 0.6786 M, M on the wet mass. [kWh/kg]

    Parameters
    ----------
    dry_kwh_per_kg
        Net calorific value of the dry wood: 5.0 hardwood, 5.2 softwood. [kWh/kg]
    moisture
        `MoistureWet` or `MoistureDry`; a plain number is refused, since nobody can tell its basis.

    Source: ISO 18125 (formula from memory); it gives the printed hardwood row of Landkreis Heidenheim.
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
