"""What is dry by when, how many stacked metres a winter needs, and when to cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fuelplan.heat.fuels import Moisture, MoistureDry, Species
from fuelplan.messages import Day, Message, Month, Own, Percent, Quantity, message, paragraph
from fuelplan.messages.cautions import wet_logs
from fuelplan.store.log_pile.climate import PileClimate, PileError
from fuelplan.store.log_pile.drying import (
    CAUTIOUS_PACE,
    DRY_ENOUGH,
    HORIZON_DAYS,
    Kept,
    PileLot,
    dry_on,
    drying_path,
    moisture_on,
)

SEASON_MONTH = 10  # the heating season begins on 1 October, common practice
# Cautious rules of thumb in summers between splitting and burning: beech two years (published as the
# cautious rule) is taken as two whole summers; the others are common practice.
CAUTIOUS_SUMMERS = {"oak": 3, "beech": 2, "hornbeam": 2, "ash tree": 2, "maple": 2, "robinia": 2, "birch": 2}
SUMMER_MONTHS = 6  # split by 1 April for the summer before a season of October to count


@dataclass(frozen=True)
class LotState:
    """One lot on a day.

    Attributes
    ----------
    moisture, moisture_slow
        Water now, of the dry mass, as usual and for a pile that dries slowly; `.wet` turns it.
    kg, kwh
        Mass as it lies and net energy in it, by the usual drying. [kg, kWh]
    dry_from, dry_from_cautious
        First day dry enough, as usual and for a pile that dries slowly; None if not within five years.
    as_of, counts_from
        The day asked for, and the first day from then on on which it is dry even if it dries slowly: a plan
        counts it from then on. None if not within five years.
    sentence
        For people.
    """

    lot: PileLot
    moisture: MoistureDry
    moisture_slow: MoistureDry
    kg: float
    kwh: float
    dry_from: date | None
    dry_from_cautious: date | None
    as_of: date
    counts_from: date | None
    sentence: Message

    @property
    def is_dry(self) -> bool:
        """Whether a plan counts it on the day asked for."""
        return self.counts_from == self.as_of


def lot_state(lot: PileLot, as_of: date, climate: PileClimate, *, enough: Moisture = DRY_ENOUGH) -> LotState:
    """Return how dry a lot is and when it will be dry enough.

    Parameters
    ----------
    lot, climate
        The stack, and the air around it.
    as_of
        The day asked for.
    enough
        Water at which it counts as dry.

    Raises
    ------
    PileError
        The lot is dated after `as_of`.
    """
    if lot.since > as_of:
        raise PileError(
            message(
                "pile.dated_later",
                "the logs are dated {since}, after {as_of}; write the day they were split or measured",
                since=Day(lot.since, year=True),
                as_of=Day(as_of, year=True),
            )
        )
    moisture = moisture_on(lot, as_of, climate)
    slow = moisture_on(lot, as_of, climate, pace=CAUTIOUS_PACE)
    amount = lot.wood(moisture).amount(lot.stacked_m3, "stacked_m3")
    usual = dry_on(lot, climate, enough=enough)
    cautious = dry_on(lot, climate, enough=enough, pace=CAUTIOUS_PACE)
    counts_from = as_of if _is_dry(slow, enough) else dries_after(lot, as_of, climate, enough=enough)
    if counts_from == as_of:
        said = _dry_said(lot, moisture, slow)
    else:
        still = _not_sure_said if _is_dry(moisture, enough) else _wet_said
        said = still(lot, moisture, slow, usual, counts_from)
    check = message("pile.check", "Check with a meter in a freshly split face before burning.")
    return LotState(
        lot,
        moisture,
        slow,
        amount.kg,
        amount.kwh,
        usual,
        cautious,
        as_of,
        counts_from,
        paragraph([said, check]),
    )


def _is_dry(moisture: Moisture, enough: Moisture) -> bool:
    return moisture.dry.share <= enough.dry.share + 1e-12


def _dry_said(lot: PileLot, moisture: MoistureDry, slow: MoistureDry) -> Message:
    return message(
        "pile.dry_enough",
        "{logs}: dry enough, about {water} water of the wet mass by the usual drying, {slow} if they "
        "dried slowly.",
        logs=_logs(lot),
        water=Percent(moisture.wet.share),
        slow=Percent(slow.wet.share),
    )


def _not_sure_said(
    lot: PileLot, moisture: MoistureDry, slow: MoistureDry, usual: date | None, by: date | None
) -> Message:
    """Say of logs that are dry by the usual drying alone that nobody can count on them."""
    logs, water, dried_slowly = _logs(lot), Percent(moisture.wet.share), Percent(slow.wet.share)
    if by is None:
        return message(
            "pile.perhaps_dry",
            "{logs}: measure before you burn them. About {water} water of the wet mass by the usual drying, "
            "but {slow} if they dried slowly; not counted before they are measured.",
            logs=logs,
            water=water,
            slow=dried_slowly,
        )
    return message(
        "pile.perhaps_dry_until",
        "{logs}: measure before you burn them. About {water} water of the wet mass by the usual drying, but "
        "{slow} if they dried slowly; not counted before they are measured, or before {day}.",
        logs=logs,
        water=water,
        slow=dried_slowly,
        day=Day(by, year=True),
    )


def _wet_said(
    lot: PileLot, moisture: MoistureDry, slow: MoistureDry, usual: date | None, by: date | None
) -> Message:
    """Say of wet logs what burning them does, and only then when they will be dry."""
    water = Percent(moisture.wet.share)
    if usual is None:
        when = message(
            "pile.never_dry",
            "They hold about {water} water of the wet mass and will not become dry as they lie; split them, "
            "lift them off the ground and roof them.",
            water=water,
        )
    elif by is None:
        when = message(
            "pile.dry_from_or_never",
            "They hold about {water} water of the wet mass; dry from about {first}, not within five years if "
            "they dry slowly.",
            water=water,
            first=Day(usual, year=True),
        )
    else:
        when = message(
            "pile.dry_from",
            "They hold about {water} water of the wet mass; dry from about {first}, by {last} if they dry "
            "slowly.",
            water=water,
            first=Day(usual, year=True),
            last=Day(by, year=True),
        )
    return paragraph([wet_logs(_logs(lot)), when])


def _logs(lot: PileLot) -> Message:
    """Return place, amount and kind of a lot."""
    volume = Quantity.written(lot.stacked_m3, "m3", ".3g")
    if not lot.name:
        return message(
            "pile.stacked", "{volume} of stacked {wood}", volume=volume, wood=lot.species.word
        )  # fmt: skip
    return message(
        "pile.stacked_at",
        "{name}, {volume} of stacked {wood}",
        name=Own(lot.name),
        volume=volume,
        wood=lot.species.word,
    )


def dries_after(
    lot: PileLot, as_of: date, climate: PileClimate, *, enough: Moisture = DRY_ENOUGH
) -> date | None:
    """Return the first day after another on which a lot is dry even if it dries slowly, None if not within
    five years of its stacking.

    Parameters
    ----------
    as_of
        The day asked for.
    enough
        Water at which it counts as dry.
    """
    path = drying_path(lot, climate, HORIZON_DAYS, pace=CAUTIOUS_PACE)
    from_day = max(0, (as_of - lot.since).days + 1)
    reached = np.flatnonzero(path[from_day:] <= enough.dry.share + 1e-12)
    return lot.since + timedelta(days=from_day + int(reached[0])) if reached.size else None


def dried_later(
    lots: Sequence[PileLot], as_of: date, climate: PileClimate, *, enough: Moisture = DRY_ENOUGH
) -> tuple[tuple[date, float], ...]:
    """Return the lots that are not dry enough on a day and become so: when, if they dry slowly, and the net
    energy then in them. [kWh]
    """
    found = []
    for lot in lots:
        slow = moisture_on(lot, as_of, climate, pace=CAUTIOUS_PACE)
        day = dries_after(lot, as_of, climate, enough=enough)
        if day is None or (lot.since <= as_of and _is_dry(slow, enough)):
            continue
        wood = lot.wood(moisture_on(lot, day, climate))
        found.append((day, wood.amount(lot.stacked_m3, "stacked_m3").kwh))
    return tuple(sorted(found))


def next_season(as_of: date, month: int = SEASON_MONTH) -> date:
    """Return the first day of the heating season after a day; `month` is the one in which it begins.

    Parameters
    ----------
    as_of
        The day asked for.
    month
        1 to 12.
    """
    this_year = date(as_of.year, month, 1)
    return this_year if as_of < this_year else date(as_of.year + 1, month, 1)


def winter_after_next(as_of: date, month: int = SEASON_MONTH) -> date:
    """Return the first day of the heating season after the next.

    Parameters
    ----------
    as_of
        The day asked for.
    month
        The one in which heating begins, 1 to 12.
    """
    following = next_season(as_of, month)
    return date(following.year + 1, month, 1)


@dataclass(frozen=True)
class CutBy:
    """Last day to fell and split so that the logs are dry for a season.

    Attributes
    ----------
    season
        First day of burning.
    usual, cautious
        At the usual pace, and for a pile that dries slowly; None if more than five years are needed.
    rule
        By the cautious rule of thumb, in whole summers.
    sentence
        For people.
    """

    season: date
    usual: date | None
    cautious: date | None
    rule: date
    sentence: Message


def cut_by(
    kind: Species,
    season: date,
    climate: PileClimate,
    *,
    as_of: date | None = None,
    kept: Kept = "covered",
    enough: Moisture = DRY_ENOUGH,
) -> CutBy:
    """Return when to fell and split logs so that they are dry on the first day of a season.

    Parameters
    ----------
    season
        First day of burning, see :func:`next_season` and :func:`winter_after_next`.
    as_of
        Today: a day that has passed is then told as such.
    """
    usual = _last_cut(kind, season, climate, kept, enough, 1.0)
    cautious = _last_cut(kind, season, climate, kept, enough, CAUTIOUS_PACE)
    summers = CAUTIOUS_SUMMERS.get(kind.name, 1 if kind.softwood else 2)
    rule = _months_before(season, SUMMER_MONTHS + 12 * (summers - 1))
    best = min(d for d in (cautious, rule) if d is not None)
    return CutBy(season, usual, cautious, rule, _say_cut(kind, season, usual, best, as_of))


def _months_before(day: date, months: int) -> date:
    """Return the first of the month that lies so many months before."""
    year, month = divmod(12 * day.year + day.month - 1 - months, 12)
    return date(year, month + 1, 1)


def _say_cut(kind: Species, season: date, usual: date | None, best: date, as_of: date | None) -> Message:
    winter, wood, by = Month(season.month, season.year), kind.word, Day(best, year=True)
    if as_of is None or as_of <= best:
        if usual is None:
            return message(
                "pile.split_by",
                "For the winter that begins in {winter}, split {wood} by about {by}.",
                winter=winter,
                wood=wood,
                by=by,
            )
        return message(
            "pile.split_by_or_airy",
            "For the winter that begins in {winter}, split {wood} by about {by}; in a sunny, windy place "
            "{airy} may do.",
            winter=winter,
            wood=wood,
            by=by,
            airy=Day(usual, year=True),
        )
    if usual is not None and as_of <= usual:
        return message(
            "pile.split_late",
            "For the winter that begins in {winter}, {wood} should have been split by {by}; split by {airy} "
            "and stacked in a sunny, windy place it may still be dry in time, otherwise buy dry logs.",
            winter=winter,
            wood=wood,
            by=by,
            airy=Day(usual, year=True),
        )
    return message(
        "pile.too_late",
        "For the winter that begins in {winter} it is too late to split green {wood}: buy dry logs.",
        winter=winter,
        wood=wood,
    )


def _last_cut(
    kind: Species, season: date, climate: PileClimate, kept: Kept, enough: Moisture, pace: float
) -> date | None:
    """Bisect the last day: who splits later is never dry earlier."""

    def dry_in_time(days_before: int) -> bool:
        lot = PileLot(kind, 1.0, season - timedelta(days=days_before), kept=kept)
        return moisture_on(lot, season, climate, pace=pace).share <= enough.dry.share + 1e-12

    low, high = 0, 5 * 365
    if not dry_in_time(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if dry_in_time(middle) else (middle, high)
    return season - timedelta(days=high)
