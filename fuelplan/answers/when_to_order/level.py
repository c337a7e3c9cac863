"""What is in store on the day of an answer and day by day after it; with a question open, from the emptier to
the fuller.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from fuelplan.answers.beliefs import Belief
from fuelplan.answers.draws import StockDraws
from fuelplan.answers.setting import Setting
from fuelplan.answers.when_to_order.answer import FuelStock, LevelBand
from fuelplan.learning import Posterior
from fuelplan.messages import Day, Message, Quantity, message, paragraph
from fuelplan.ordering import SafePlan

SHOWN_DAYS = 400
MUCH_OPEN = 0.15  # share of the capacity; a wider range of the level is worth measuring
NOBODY_KNOWS = 0.5  # share of the capacity; with a wider range an order is a guess
OLD_AND_OPEN, OLD_DAYS = 0.3, 400  # the same where the last reading is older than a heating year


@dataclass(frozen=True)
class Level:
    """What is known of the level."""

    setting: Setting
    belief: Belief
    draws: StockDraws

    @property
    def now(self) -> tuple[float, float, float]:
        """Low, middle and high estimate; the high one is that of the fuller store. [kg]"""
        p10, p50, p90 = (float(kg) for kg in np.quantile(self.draws.level_kg, (0.1, 0.5, 0.9)))
        by_kg = self.draws.fuller_by_kg
        return p10, p50, p90 if by_kg <= 0 else max(p90, min(p90 + by_kg, self._most_kg))

    @property
    def _most_kg(self) -> float:
        return self.setting.store.capacity_kg(self.setting.store.bulk_high_kg_per_m3)

    def stock(self) -> FuelStock:
        """Return what lies in the bulk store on the evening of the day."""
        setting = self.setting
        p10, p50, p90 = self.now
        read_on = newest_used_reading(setting, self.belief.posterior)
        return FuelStock(
            fuel=setting.fuel.name,
            kg=p50,
            p10_kg=p10,
            p90_kg=p90,
            usable_kg=max(0.0, p50 - setting.store.unusable_kg),
            capacity_kg=setting.store.capacity_kg(),
            reserve_kg=setting.site.table.store.reserve_kg,
            reading_age_days=None if read_on is None else (setting.as_of - read_on).days,
            reading_on=read_on,
        )

    def bands(self, plan: SafePlan) -> tuple[LevelBand, ...]:
        """Return the levels of the coming days, with the plan's orders and without."""
        dates = np.datetime64(self.setting.as_of, "D") + 1 + np.arange(SHOWN_DAYS)
        bands = []
        for with_plan, paths in ((True, plan.with_orders), (False, plan.without_orders)):
            p02, p10, p50, p90 = np.quantile(paths.level_kg[:, :SHOWN_DAYS], (0.02, 0.1, 0.5, 0.9), axis=0)
            if self.draws.fuller_by_kg > 0:
                fuller = np.quantile(self.draws.at_fullest(paths)[:, :SHOWN_DAYS], 0.9, axis=0)
                p90 = np.maximum(p90, np.minimum(fuller, self._most_kg))
            bands.append(LevelBand(self.setting.fuel.name, dates, p02, p10, p50, p90, with_plan))
        return tuple(bands)

    def unknown(self) -> Message | None:
        """Return why nobody knows what lies in the store; None where it is known well enough to order by."""
        p10, _, p90 = self.now
        if self.belief.posterior.level_contradicts:
            said = [
                message(
                    "level.contradicts",
                    "By the reckoning the store would be empty, or fuller than it can be.",
                )
            ]
        elif p90 - p10 >= (OLD_AND_OPEN if self._is_old else NOBODY_KNOWS) * self.setting.store.capacity_kg():
            said = [message("level.hardly_known", "What is in store is hardly known.")]
        else:
            return None
        read_on = newest_used_reading(self.setting, self.belief.posterior)
        if read_on is not None:
            last = message(
                "level.last_reading", "Your last level reading is of {day}.", day=Day(read_on, year=True)
            )
            said.append(last)
        said.append(
            message(
                "level.read_today",
                "Read the level today, best with a tape: dates and amounts follow from it.",
            )
        )
        return paragraph(said)

    @property
    def _is_old(self) -> bool:
        read_on = newest_used_reading(self.setting, self.belief.posterior)
        return read_on is not None and (self.setting.as_of - read_on).days > OLD_DAYS


def measure_again(level: Level) -> tuple[Message, ...]:
    """Return the advice to measure, where the reading leaves much open and nothing else is asked."""
    p10, _, p90 = level.now
    if (
        level.belief.fuller is not None
        or level.unknown() is not None
        or p90 - p10 < MUCH_OPEN * level.setting.store.capacity_kg()
    ):
        return ()
    said = message(
        "level.measure_again",
        "What is in store is only known to about {range}: a measured reading (cm, or full or empty) makes "
        "every date sharper, and often later.",
        range=Quantity(p90 - p10, "mass"),
    )
    return (said,)


def newest_used_reading(setting: Setting, posterior: Posterior) -> date | None:
    """Return the day of the newest level reading that stands behind the answer; None where there is none."""
    aside = {flag.last_day for flag in posterior.flags if not flag.used and flag.reading >= 0}
    doubt = posterior.doubt
    if doubt is not None and doubt.line and not posterior.doubted_believed:
        aside.add(doubt.day)
    days = [o.day for o in setting.observations if not o.is_count and o.day not in aside]
    return max(days, default=None)
