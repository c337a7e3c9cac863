"""How people fill their store: to the top, a fixed amount, what fits the purse, or now this, now that.

A delivery of d went into a store of capacity C, so at most C - d lay there before. How much less hangs on
the habit. Filled to the top, nothing less: the level before was C - d, give or take how level the fill is
and how dense the fuel lies. Else it was some level at which this house has its fuel brought, from nothing
up to C - d.

Each habit is a chance that a delivery went to the top. Under each, the deliveries are gone through in
order of time on the joint normal distribution that the readings and the paper signature give to the levels
before them. Amounts that follow what was burned since the delivery before speak for the top, amounts that
are alike for an order of one size, a look at the store just after a delivery for what it shows. The two
ways a delivery may have gone are brought back to one normal distribution after each (assumed density
filtering; Minka 2001, A family of algorithms for approximate Bayesian inference, ch. 3). What comes out is
put into the linear model: a mean, a doubt of its own for each delivery, and one shared by all of a house.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning.columns import VOLUME
from fuelplan.learning.evidence import Record
from fuelplan.learning.prior import Assumptions
from fuelplan.learning.state import Evidence
from fuelplan.learning.sums import Floats, Ints
from fuelplan.messages import Message, Range, message

HABITS = ("top", "fixed", "part", "mixed")
HABIT_CHANCE = (0.15, 0.20, 0.40, 0.25)
"""How common each is beforehand. Common practice: who buys loose pellets mostly has the store filled; the
figures are assumptions of ours, on the careful side: who is told of more than there is, gets cold."""

TOP_CHANCE = (0.97, 0.07, 0.04, 0.35)
"""How often a delivery fills the store under each habit. A fixed amount sometimes does, where no more
fits."""

TOP_SD = 0.03
"""How level a full store lies, as a share of the capacity: as of a store that is said to be full."""

TOP_GAP = 0.01
"""How much of its nominal capacity a store filled to the top lacks in the mean (an assumption)."""

USUAL, USUAL_SD, ANY = 0.21, 0.12, 0.3
"""The level at which fuel is brought, as a share of the capacity. Common practice: ordered when a quarter
to a third is left, brought one or two weeks later; but a share of all (ANY) at any level, filling up in
summer, say."""

SHARED, OWN = 0.7, 0.95
"""How the doubt of that level divides into what is the same before every delivery of a house, and each
one's own. Together they are more than the whole: which deliveries filled the store is judged, not known."""

ALIKE_SD, OTHERWISE_SDS = 0.015, (0.07, 0.25)
"""Amounts of a fixed order differ by this share of them. Those of a store filled whenever it has sunk to
one mark differ by the first, others by the second of these."""

LEAST_FREE = 0.10
"""A store is never filled to the kilogram: least width of what may have been there before, as a share."""

MOST = 8
"""Deliveries of a house that tell its habit: the newest."""


@dataclass(frozen=True)
class Filling:
    """What was found of the habits of N houses.

    Attributes
    ----------
    chance
        Shape (N, habits), in the order of :data:`HABITS`; sums to 1.
    part
        Shape (N, n): the chance that a delivery did not fill the store; 0 where the evidence is no "room".
    """

    chance: Floats
    part: Floats


def _table() -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Levels at which fuel is brought, cut off at a share w: w, density there, chance below, mean and
    deviation."""
    fine = (np.arange(2000) + 0.5) / 1000
    bell = np.exp(-0.5 * ((fine - USUAL) / USUAL_SD) ** 2) * (fine < 1)
    density = (1 - ANY) * bell / bell.sum() + ANY * (fine < 1) / (fine < 1).sum()
    below = np.cumsum(density)
    mean = np.cumsum(density * fine) / below
    sd = np.sqrt(np.maximum(np.cumsum(density * fine**2) / below - mean**2, 1e-8))
    return fine, density / (fine[1] - fine[0]), below, mean, sd


_SHARE, _DENSITY, _BELOW, _MEAN, _SD = _table()


def _at(table: Floats, share: Floats) -> Floats:
    return np.asarray(np.interp(share, _SHARE, table))


def _usual(free: Floats) -> Floats:
    """Return the mean level before a delivery that did not fill the store, never above what was free."""
    return np.minimum(_at(_MEAN, free), free)


def settle(
    e: Evidence, y: Floats, x: Floats, s: Floats, assumptions: Assumptions
) -> tuple[Evidence, Filling]:
    """Return the evidence with each "room" put as what the house's habit makes of it, and the habits.

    Parameters
    ----------
    e
        Of N houses. A "room" says how much there can have been at most; its variance is that of what came.
    y, x, s
        What the readings differ from their prior means by, (N, n), what each unknown does to them, (N,
        unknowns, n), and their covariance, (N, n, n), as :func:`fuelplan.learning.case.covariances` has them
        where no "room" counts. [kg, kg²]
    assumptions
        Doubts shared by readings.
    """
    room = e.is_room & np.isfinite(e.var_kg2)
    chance = np.broadcast_to(np.asarray(HABIT_CHANCE), (len(room), len(HABITS)))
    if not room.any():
        return e, Filling(chance, np.zeros(room.shape))
    capacity = e.capacity_kg[:, None]
    free = np.clip(e.y_kg / capacity, 0.0, 1.0)
    wide = np.maximum(free, LEAST_FREE)
    place, real = _places(room)
    mean, cov = _levels(e, y, x, s, place, assumptions)
    some = _Deliveries(
        np.take_along_axis(free, place, axis=1), np.take_along_axis(wide, place, axis=1),
        np.take_along_axis(np.where(room, e.var_kg2, 1.0) / capacity**2, place, axis=1), real,
    )  # fmt: skip
    chance, *found = some.weigh(mean, cov)
    share, doubt = (_back(of, place, real, room) for of in found)
    top, usual, sd = np.maximum(free - TOP_GAP, 0.0), _usual(free), _at(_SD, wide)
    apart = (top - usual) ** 2
    own = (1 - share) * TOP_SD**2 + share * (OWN * sd) ** 2 + (share * (1 - share) - doubt) * apart
    # which habit it is, is the same doubt before every delivery
    same = np.sqrt((share * SHARED * sd) ** 2 + doubt * apart)
    put = replace(
        e,
        y_kg=np.where(room, capacity * ((1 - share) * top + share * usual), e.y_kg),
        var_kg2=np.where(room, e.var_kg2 + own * capacity**2, e.var_kg2),
        habit_kg=np.where(room, same * capacity, 0.0),
        sees_volume=np.where(room, 1 - share, e.sees_volume),
    )
    return put, Filling(chance, share)


def _back(of: Floats, place: Ints, real: NDArray[np.bool_], room: NDArray[np.bool_]) -> Floats:
    """Return what was found of the newest deliveries of each house in the places of all; older ones have the
    mean of these.
    """
    mean = (of * real).sum(axis=1, keepdims=True) / np.maximum(real.sum(axis=1, keepdims=True), 1)
    out = np.where(room, mean, 0.0)
    np.put_along_axis(out, place, np.where(real, of, np.take_along_axis(out, place, axis=1)), axis=1)
    return out


def _places(room: NDArray[np.bool_]) -> tuple[Ints, NDArray[np.bool_]]:
    """Return where the newest rooms of each house stand, (N, R) in order of time, and which are any."""
    n = room.shape[1]
    most = min(MOST, int(room.sum(axis=1).max()))
    key = np.where(room, np.arange(n), -np.arange(1, n + 1))
    place = np.sort(np.argsort(-key, axis=1)[:, :most], axis=1)
    return place, np.take_along_axis(room, place, axis=1)


def _levels(
    e: Evidence, y: Floats, x: Floats, s: Floats, place: Ints, a: Assumptions
) -> tuple[Floats, Floats]:
    """Return mean (N, R + 2) and covariance of the levels before R deliveries, of what a full store holds
    less than its capacity, and of a house's own habit in standard deviations: given the readings. [shares
    of the capacity]
    """
    capacity = e.capacity_kg
    used = np.isfinite(e.var_kg2) & ~e.is_room
    seen = np.argsort(~used, axis=1, kind="stable")[:, : int(used.sum(axis=1).max())]
    is_seen = np.take_along_axis(used, seen, axis=1)
    first = 1 + len(e.slope_change_at)  # of the columns that do not hang on the base temperature
    volume, zero = x[:, first + VOLUME], x[:, first + VOLUME + 1]
    less = capacity[:, None] * (a.volume_rel_sd * volume + a.offset_share_sd * zero)
    some = np.take_along_axis(s, place[:, :, None], axis=1)
    told = np.concatenate([some, less[:, None, :]], axis=1)
    told = np.take_along_axis(told, seen[:, None, :], axis=2) * is_seen[:, None, :]
    size = told.shape[1]
    prior = np.zeros((len(y), size, size))
    prior[:, :-1, :-1] = np.take_along_axis(some, place[:, None, :], axis=2)
    prior[:, -1, -1] = capacity**2 * (a.volume_rel_sd**2 + a.offset_share_sd**2)
    between = np.take_along_axis(np.take_along_axis(s, seen[:, :, None], axis=1), seen[:, None, :], axis=2)
    between = np.where(is_seen[:, :, None] & is_seen[:, None, :], between, np.eye(seen.shape[1]))
    gain = np.linalg.solve(between, np.swapaxes(told, 1, 2))
    mean, cov = np.zeros((len(y), size + 1)), np.zeros((len(y), size + 1, size + 1))
    mean[:, : size - 1] = np.take_along_axis(e.y_kg - y, place, axis=1)
    mean[:, :size] += ((np.take_along_axis(y, seen, axis=1) * is_seen)[:, None, :] @ gain)[:, 0]
    cov[:, :size, :size] = prior - told @ gain
    mean /= capacity[:, None]
    cov /= capacity[:, None, None] ** 2
    cov[:, -1, -1] = 1.0
    return mean, cov


@dataclass(frozen=True)
class _Deliveries:
    """What R deliveries of N houses left free, at least how much, variance of what came, and which are any:
    each (N, R). [shares of the capacity]
    """

    free: Floats
    wide: Floats
    var: Floats
    real: NDArray[np.bool_]

    def weigh(self, mean: Floats, cov: Floats) -> tuple[Floats, Floats, Floats]:
        """Return the chance of each habit, (N, habits), that each delivery did not fill the store, (N,
        R), and how far that differs from habit to habit, as a variance.
        """
        odds, chance = self._through(mean, cov, self._odds())
        part = 1 / (1 + np.exp(-np.clip(odds, -50, 50)))
        share = np.minimum(np.einsum("nk,nkr->nr", chance, part), 1.0)  # rounded sums
        return chance, share, np.einsum("nk,nkr->nr", chance, (part - share[:, None]) ** 2)

    def _odds(self) -> Floats:
        """Return the logarithm of how much likelier than "filled to the top" it is beforehand, from the
        amounts alone, that a delivery did not fill the store: (N, habits, R).
        """
        top, fixed = np.asarray(TOP_CHANCE), np.array([0.0, 1.0, 0.0, 0.5])
        count = np.maximum(self.real.sum(axis=1, keepdims=True), 1)
        # one house orders at one mark: what its level before deliveries says of the habit is said once
        mark = np.log(_at(_BELOW, self.wide)) - np.log(_at(_DENSITY, self.wide))
        mark = (mark * self.real).sum(axis=1, keepdims=True) / count**2
        alike = np.exp(self._alike())[:, None, :]
        as_ordered = fixed[:, None] * alike + 1 - fixed[:, None]
        before = np.log((1 - top) / top)[:, None]
        return np.asarray((before + mark[:, None, :] + np.log(as_ordered)) * self.real[:, None, :])

    def _alike(self) -> Floats:
        """Return the logarithm of how much likelier each amount is among the others of its house if one
        size is ordered than if not, (N, R): densities by kernels, each amount left out
        of its own.
        """
        amount = np.log(np.maximum(1 - self.free, 1e-3))
        off = amount[:, :, None] - amount[:, None, :]
        others = self.real[:, :, None] & self.real[:, None, :] & ~np.eye(off.shape[1], dtype=bool)
        count = others.sum(axis=2)

        def density(sd: float) -> Floats:
            bell = np.exp(-0.25 * (off / sd) ** 2) / sd
            return np.asarray((bell * others).sum(axis=2))

        narrow, broad = density(ALIKE_SD), np.mean([density(sd) for sd in OTHERWISE_SDS], axis=0)
        ratio = (0.9 * narrow + 0.1 * broad + 1e-9) / (broad + 1e-9)
        return np.where(count > 0, np.log(ratio), 0.0)

    def _through(self, mean: Floats, cov: Floats, odds: Floats) -> tuple[Floats, Floats]:
        """Go through the deliveries; return the log odds of each by all before it, (N, habits, R), and
        the chance of each habit by all, (N, habits).

        Levels before deliveries that are past are let go; the last two entries of the state stay, what a
        full store holds less and the house's own habit.
        """
        shape = odds.shape[:2]
        m = np.repeat(mean.T[:, :, None], shape[1], axis=2)
        p = np.repeat(cov.transpose(1, 2, 0)[..., None], shape[1], axis=3)
        found, log = np.empty(odds.shape), np.tile(np.log(HABIT_CHANCE), (shape[0], 1))
        usual, sd = _usual(self.free), _at(_SD, self.wide)
        for i in range(odds.shape[2]):
            real, own, c = self.real[:, i, None], self.var[:, i, None], SHARED * sd[:, i, None]
            ph_top, ph_part = p[0] + p[-2], p[0] - c * p[-1]
            f_top = np.maximum(ph_top[0] + ph_top[-2], 0.0) + TOP_SD**2 + own
            f_part = np.maximum(ph_part[0] - c * ph_part[-1], 0.0) + (OWN * sd[:, i, None]) ** 2 + own
            off_top = self.free[:, i, None] - TOP_GAP - m[0] - m[-2]
            off_part = usual[:, i, None] - m[0] + c * m[-1]
            by_top = -0.5 * (np.log(2 * math.pi * f_top) + off_top**2 / f_top)
            by_part = -0.5 * (np.log(2 * math.pi * f_part) + off_part**2 / f_part) + odds[:, :, i]
            found[:, :, i] = by_part - by_top
            log += np.where(real, np.logaddexp(by_top, by_part) + np.log(TOP_CHANCE), 0.0)
            part = 1 / (1 + np.exp(np.clip(by_top - by_part, -50, 50)))
            a, b = np.where(real, (1 - part) / f_top, 0.0), np.where(real, part / f_part, 0.0)
            apart = ph_top[1:] * (off_top / f_top) - ph_part[1:] * (off_part / f_part)
            top, rest = ph_top[1:], ph_part[1:]
            m = m[1:] + top * (a * off_top) + rest * (b * off_part)
            p = p[1:, 1:] - (a * top)[:, None] * top - (b * rest)[:, None] * rest
            p += np.where(real, part * (1 - part), 0.0) * apart[:, None] * apart
        chance = np.exp(log - log.max(axis=1, keepdims=True))
        return found, chance / chance.sum(axis=1, keepdims=True)


# --- what is said of it --------------------------------------------------------------------------------

FEWEST = 3
"""Deliveries from which a habit is spoken of."""

SURE = 0.75
"""Chance from which a habit is said to be that of the house; below, that it is not known yet."""


@dataclass(frozen=True)
class FoundFilling:
    """How a house has its store filled, by deliveries that nobody marked as filling it.

    Attributes
    ----------
    habit
        "top", "fixed", "part", "mixed", or "unknown".
    chance
        How sure that is; that of the likeliest where it is unknown.
    deliveries, filled
        How many there were, and how many of them probably filled the store.
    sentence
        The same in words, with what speaks for it.
    """

    habit: str
    chance: float
    deliveries: int
    filled: int
    sentence: Message


def filling_of(record: Record, filling: Filling) -> FoundFilling | None:
    """Return how one house has its store filled; None where too few deliveries tell.

    Parameters
    ----------
    record
        Of the house.
    filling
        What was found of it, one row.
    """
    rooms = [i for i, o in enumerate(record.observations) if o.kind == "room"]
    if len(rooms) < FEWEST or record.capacity_kg is None:
        return None
    best = int(np.argmax(filling.chance[0]))
    chance = float(filling.chance[0, best])
    habit = HABITS[best] if chance >= SURE else "unknown"
    filled = int((filling.part[0, rooms] < 0.5).sum())
    amounts = [record.capacity_kg - record.observations[i].kg for i in rooms]
    came = Range(min(amounts), max(amounts), "mass")
    return FoundFilling(habit, chance, len(rooms), filled, _said(habit, len(rooms), filled, came))


def _said(habit: str, deliveries: int, filled: int, came: Range) -> Message:
    if habit == "top":
        return message(
            "filling.top",
            "Your deliveries seem to fill the store: {came} came at a time, about as much as had been "
            "burned since "
            "the delivery before. Judged by {deliveries} deliveries not marked as filling it.",
            came=came,
            deliveries=deliveries,
        )
    if habit == "fixed":
        return message(
            "filling.fixed",
            "You seem to order a fixed amount: {came} came at a time in {deliveries} deliveries. So a "
            "delivery "
            "does not say how full the store is.",
            came=came,
            deliveries=deliveries,
        )
    if habit == "part":
        return message(
            "filling.part",
            "Your deliveries seem to leave part of the store empty: the {deliveries} deliveries ({came} "
            "each) do "
            "not follow what had been burned since the one before.",
            came=came,
            deliveries=deliveries,
        )
    if habit == "mixed":
        return message(
            "filling.mixed",
            "Some of your deliveries seem to fill the store and others not: probably {filled} of "
            "{deliveries} did.",
            filled=filled,
            deliveries=deliveries,
        )
    return message(
        "filling.unknown",
        "It is not clear whether your deliveries fill the store: probably {filled} of {deliveries} did. "
        "Mark a "
        "delivery that does as “filled full”; then the level is known better.",
        filled=filled,
        deliveries=deliveries,
    )
