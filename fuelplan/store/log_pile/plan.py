"""What is dry by when, how many stacked metres a winter needs, and when to cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fuelplan.heat.fuels import Moisture, MoistureDry, Species, wet_log_loss
from fuelplan.messages import Day, Message, Month, Own, Percent, Quantity, message, paragraph
from fuelplan.store.log_pile.climate import PileClimate, PileError
from fuelplan.store.log_pile.drying import CAUTIOUS_PACE, DRY_ENOUGH, Kept, PileLot, dry_on, moisture_on

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
    moisture
        Water now, of the dry mass; `.wet` turns it.
    kg, kwh
        Mass as it lies and net energy in it. [kg, kWh]
    dry_from, dry_from_cautious
        First day dry enough, as usual and for a pile that dries slowly; None if not within five years.
    is_dry
        Dry enough today at the usual pace.
    energy_lost_share
        Of its energy if burned today, against dry enough, 0 where dry.
    sentence
        For people.
    """

    lot: PileLot
    moisture: MoistureDry
    kg: float
    kwh: float
    dry_from: date | None
    dry_from_cautious: date | None
    is_dry: bool
    energy_lost_share: float
    sentence: Message


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
    wood = lot.wood(moisture)
    amount = wood.amount(lot.stacked_m3, "stacked_m3")
    usual = dry_on(lot, climate, enough=enough)
    cautious = dry_on(lot, climate, enough=enough, pace=CAUTIOUS_PACE)
    dry = moisture.share <= enough.dry.share + 1e-12
    lost = max(0.0, wet_log_loss(wood, enough).energy_lost_share)
    check = message("pile.check", "Check with a meter in a freshly split face before burning.")
    said = paragraph([_dry_said(lot, moisture, dry, usual, cautious, lost), check])
    return LotState(lot, moisture, amount.kg, amount.kwh, usual, cautious, dry, lost, said)


def _dry_said(
    lot: PileLot, moisture: MoistureDry, dry: bool, usual: date | None, cautious: date | None, lost: float
) -> Message:
    """Say how dry a lot is, and from when on it will be dry enough."""
    name = Own(lot.name) if lot.name else _stacked(lot)
    water = Percent(moisture.wet.share)
    if dry:
        return message(
            "pile.dry_enough",
            "{name}: dry enough, about {water} water of the wet mass by the usual drying.",
            name=name,
            water=water,
        )
    if usual is None:
        return message(
            "pile.never_dry",
            "{name}: will not become dry as it lies; split it, lift it off the ground and roof it.",
            name=name,
        )
    first, less = Day(usual, year=True), Percent(lost)
    if cautious is None:
        return message(
            "pile.dry_from_or_never",
            "{name}: still about {water} water of the wet mass; dry from about {first}, not within five "
            "years if it dries slowly. Burned now it would give about {less} less.",
            name=name,
            water=water,
            first=first,
            less=less,
        )
    return message(
        "pile.dry_from",
        "{name}: still about {water} water of the wet mass; dry from about {first}, by {last} if it dries "
        "slowly. Burned now it would give about {less} less.",
        name=name,
        water=water,
        first=first,
        last=Day(cautious, year=True),
        less=less,
    )


def _stacked(lot: PileLot) -> Message:
    return message(
        "pile.stacked",
        "{volume} of stacked {wood}",
        volume=Quantity.written(lot.stacked_m3, "m3", ".3g"),
        wood=lot.species.word,
    )


def dry_stock_kwh(
    lots: Sequence[PileLot],
    day: date,
    climate: PileClimate,
    *,
    pace: float = 1.0,
    enough: Moisture = DRY_ENOUGH,
) -> float:
    """Return the energy of the logs that are dry enough on a day. [kWh]

    Parameters
    ----------
    lots, climate
        The stacks, and the air around them.
    day
        What was stacked later does not count.
    pace, enough
        As in `dry_on`.
    """
    total = 0.0
    for lot in lots:
        if lot.since > day:
            continue
        moisture = moisture_on(lot, day, climate, pace=pace)
        if moisture.share <= enough.dry.share + 1e-12:
            total += lot.wood(moisture).amount(lot.stacked_m3, "stacked_m3").kwh
    return total


def dried_later(
    lots: Sequence[PileLot], as_of: date, climate: PileClimate
) -> tuple[tuple[date, float], ...]:
    """Return the stacks that become dry enough after a day: when, and the mass they then have. [kg]"""
    found = []
    for lot in lots:
        day = dry_on(lot, climate)
        if day is not None and day > as_of:
            wood = lot.wood(moisture_on(lot, day, climate))
            found.append((day, wood.amount(lot.stacked_m3, "stacked_m3").kg))
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
