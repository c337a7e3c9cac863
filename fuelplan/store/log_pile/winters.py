"""Whether the pile is enough for the next winters, and what to cut or buy for each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fuelplan.heat.fuels import Species, Wood
from fuelplan.store.log_pile.climate import PileClimate, PileError
from fuelplan.store.log_pile.drying import CAUTIOUS_PACE, DRY_ENOUGH, PileLot
from fuelplan.store.log_pile.plan import CutBy, cut_by, dry_stock_kwh, next_season, winter_after_next


@dataclass(frozen=True)
class WinterPlan:
    """The pile against one winter.

    Attributes
    ----------
    season
        First day of the winter.
    need_kwh
        Net energy of the logs it takes. [kWh]
    dry_kwh, dry_kwh_cautious
        Dry logs left on that day, by the usual and the slow pace, after what is burned before. [kWh]
    short_m3
        Stacked metres missing by the slow pace, of the wood that would be cut or bought. [m3]
    cut
        When to cut them; None where nothing is missing.
    sentence
        For people.
    """

    season: date
    need_kwh: float
    dry_kwh: float
    dry_kwh_cautious: float
    short_m3: float
    cut: CutBy | None
    sentence: str


def next_winters(
    lots: Sequence[PileLot],
    as_of: date,
    climate: PileClimate,
    *,
    need_kwh: float,
    kind: Species,
    burned_until_season_kwh: float = 0.0,
) -> tuple[WinterPlan, WinterPlan]:
    """Return the next winter and the one after it.

    Parameters
    ----------
    lots
        The pile today.
    need_kwh
        Net energy of the logs of a usual winter. [kWh]
    kind
        Wood that would be cut or bought.
    burned_until_season_kwh
        Still burned before the next season begins. [kWh]

    Raises
    ------
    PileError
        Negative amounts.
    """
    if not (need_kwh >= 0 and burned_until_season_kwh >= 0):
        raise PileError("the logs a winter needs, and those burned before it, are zero or more kWh")
    plans = []
    gone = burned_until_season_kwh
    for season in (next_season(as_of), winter_after_next(as_of)):
        usual, slow = (
            max(0.0, dry_stock_kwh(lots, season, climate, pace=pace) - gone) for pace in (1.0, CAUTIOUS_PACE)
        )
        short_kwh = max(0.0, need_kwh - slow)
        short = short_kwh / Wood(kind, DRY_ENOUGH).kwh_per_stacked_m3
        cut = cut_by(kind, season, climate, as_of=as_of) if short > 0 else None
        plans.append(
            WinterPlan(
                season, need_kwh, usual, slow, short, cut, _say(season, need_kwh, slow, short, kind, cut)
            )
        )
        gone += need_kwh - short_kwh  # what is missing is cut or bought and leaves the pile as it was
    return plans[0], plans[1]


def _say(season: date, need: float, dry: float, short: float, kind: Species, cut: CutBy | None) -> str:
    winter = f"the winter from {season:%B %Y}"
    if cut is None:
        return f"Enough dry logs for {winter}: about {dry:,.0f} kWh against {need:,.0f} kWh needed."
    low, high = short / 1.15, short / 0.85
    return (
        f"For {winter} about {max(low, 1):.0f} to {max(high, 1):.0f} stacked m³ of {kind.name} are missing "
        f"({dry:,.0f} of {need:,.0f} kWh are dry by then). {cut.sentence}"
    )
