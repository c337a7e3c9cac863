"""How people fill their store: to the top, a fixed amount, what fits the purse, or now this, now that.

A delivery of d went into a store of capacity C, so at most C - d lay there before. How much less hangs on
the habit. Filled to the top, nothing less: the level before was C - d, give or take how level the fill is
and how dense the fuel lies. Else it was some level at which this house has its fuel brought, from nothing
up to C - d.

Each habit is a chance that a delivery went to the top. Under each, the deliveries are gone through in
order of time on the joint normal distribution that the readings and the paper signature give to the levels
before them. The level at which a house has its fuel brought is one belief, whichever way it is filled: of a
full store that level is what was free; of a part fill nothing is known but that it went in, so the smallest
room left bounds the mark of the house. Amounts that follow what was burned since the delivery before
speak for the top, amounts like those before them for an order of one size. The ways a delivery may have
gone are brought back to one normal distribution after each (assumed density filtering; Minka 2001, A family
of algorithms for approximate Bayesian inference, ch. 3). What comes out is put into the linear model: a
mean, a doubt of its own for each delivery, and one shared by all of a house.
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
HABIT_CHANCE = (0.12, 0.20, 0.58, 0.10)
"""How common each is beforehand: assumptions of ours, on the safe side. Who buys loose pellets often has the
store filled (common practice), but a store told too full runs out: so it takes evidence to believe it."""

TOP_CHANCE = (0.97, 0.10, 0.03, 0.50)
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

SHARED, WITHIN = 0.7, 0.7
"""How the doubt of that level divides into what is the same before every delivery of a house, its mark, and
each one's own."""

ALIKE_SD, ANOTHER = 0.015, 0.3
"""Amounts of a fixed order differ by the first, as a share of them; another size is ordered about as often as
if this many deliveries before had been of no size of their own (the base of a Dirichlet process)."""

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


STEPS = 1000
"""Into how many shares of the capacity the levels before a delivery are divided."""


@dataclass(frozen=True)
class _Marks:
    """Levels at which fuel is brought, by the mark of the house (rows) and cut off at a share of the
    capacity (columns): chance of each mark beforehand, shape (marks, 1, 1), chance below the share, mean
    and deviation below it.
    """

    chance: Floats
    below: Floats
    mean: Floats
    sd: Floats

    @staticmethod
    def reckoned() -> _Marks:
        """Return the table."""
        z = np.linspace(-2.4, 2.4, 9)[:, None]
        share = (np.arange(STEPS) + 0.5) / STEPS
        bell = np.exp(-0.5 * ((share - USUAL - SHARED * USUAL_SD * z) / (WITHIN * USUAL_SD)) ** 2)
        density = (1 - ANY) * bell / bell.sum(axis=1, keepdims=True) + ANY / STEPS
        below = np.cumsum(density, axis=1)
        mean = np.cumsum(density * share, axis=1) / below
        sd = np.sqrt(np.maximum(np.cumsum(density * share**2, axis=1) / below - mean**2, 1e-8))
        chance = np.exp(-0.5 * z**2)[:, :, None]
        return _Marks(chance / chance.sum(), below, mean, sd)

    def seen(self, free: Floats, real: NDArray[np.bool_]) -> tuple[Floats, Floats, Floats]:
        """Return the mean level before each delivery if it did not fill the store, its own deviation, and
        the one that all deliveries of a house share, each (N, R). Nothing is known but that each went in.
        """
        at = _at(free)
        told = np.where(real, np.log(self.below[:, at]), 0.0).sum(axis=2, keepdims=True)
        log = np.log(self.chance) + told
        weight = np.exp(log - log.max(axis=0))
        weight /= weight.sum(axis=0)
        mean = np.minimum(self.mean[:, at], free)
        sd = self.sd[:, np.maximum(at, int(LEAST_FREE * STEPS))]
        usual = (weight * mean).sum(axis=0)
        shared = np.sqrt((weight * (mean - usual) ** 2).sum(axis=0))
        return usual, np.sqrt((weight * sd**2).sum(axis=0)), shared

    def fits(self, free: Floats, real: NDArray[np.bool_]) -> Floats:
        """Return the chance that what came went in, given that all before it did, (N, R)."""
        so_far = np.cumprod(np.where(real, self.below[:, _at(free)], 1.0), axis=2)
        all_fit = np.asarray((self.chance * so_far).sum(axis=0))
        return np.asarray(all_fit / np.concatenate([np.ones_like(all_fit[:, :1]), all_fit[:, :-1]], axis=1))


_MARKS = _Marks.reckoned()


def _at(free: Floats) -> Ints:
    """Return the columns of the table."""
    return np.minimum((free * STEPS).astype(np.int64), STEPS - 1)


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
    place, real = _places(room)
    mean, cov = _levels(e, y, x, s, place, assumptions)
    some = _Deliveries(
        np.take_along_axis(free, place, axis=1),
        np.take_along_axis(np.where(room, e.var_kg2, 1.0) / capacity**2, place, axis=1), real,
    )  # fmt: skip
    chance, found = some.weigh(mean, cov)
    share = _back(found, place, real, room)
    top = np.maximum(free - TOP_GAP, 0.0)
    usual, sd, shared = _MARKS.seen(free, room)
    own = (1 - share) * TOP_SD**2 + share * sd**2
    # which deliveries filled the store is judged for all together, along one path of levels
    same = np.hypot(share * shared, np.sqrt(share * (1 - share)) * np.abs(top - usual))
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


State = tuple[Floats, Floats]
"""Mean and covariance of levels, what a full store holds less, and a house's habit: (Q, N, habits) and (Q,
Q, N, habits)."""


def _seen(
    state: State, less: float, own: Floats | float, reads: Floats | float, var: Floats | float
) -> tuple[Floats, State]:
    """Return the log density of a reading of the first level, with a share of the last two entries, and the
    state that knows it.
    """
    m, p = state
    ph = p[0] + less * p[-2] + own * p[-1]
    f = np.maximum(ph[0] + less * ph[-2] + own * ph[-1], 0.0) + var
    off = reads - m[0] - less * m[-2] - own * m[-1]
    log = -0.5 * (np.log(2 * math.pi * f) + off**2 / f)
    return log, (m + ph * (off / f), p - ph[:, None] * (ph / f))


def _one(before: State, ways: tuple[State, ...], weight: Floats, real: NDArray[np.bool_]) -> State:
    """Return one normal distribution of the ways a delivery may have gone, less the first level."""
    each = list(zip(weight, ways, strict=True))
    m = np.sum([w * mean for w, (mean, _) in each], axis=0)
    p = np.sum([w * (cov + (mean - m)[:, None] * (mean - m)) for w, (mean, cov) in each], axis=0)
    return np.where(real, m, before[0])[1:], np.where(real, p, before[1])[1:, 1:]


@dataclass(frozen=True)
class _Deliveries:
    """What R deliveries of N houses left free, variance of what came, and which are any:
    each (N, R). [shares of the capacity]
    """

    free: Floats
    var: Floats
    real: NDArray[np.bool_]

    def weigh(self, mean: Floats, cov: Floats) -> tuple[Floats, Floats]:
        """Return the chance of each habit, (N, habits), and that each delivery did not fill the store, (N,
        R).
        """
        odds, chance = self._through(mean, cov)
        part = 1 / (1 + np.exp(-np.clip(odds, -50, 50)))
        return chance, np.minimum(np.einsum("nk,nkr->nr", chance, part), 1.0)  # rounded sums

    def _amounts(self, usual: Floats) -> Floats:
        """Return the logarithm of how densely amounts lie that do not fill the store: (N, habits, R). [1]

        Of a fixed order by how alike they are, else evenly over what fits.
        """
        fixed = np.array([0.0, 1.0, 0.0, 0.5])[:, None]
        even = _MARKS.fits(self.free, self.real) / (1 - usual)
        return np.log(fixed * self._alike(even)[:, None, :] + (1 - fixed) * even[:, None, :])

    def _alike(self, even: Floats) -> Floats:
        """Return how densely each amount lies if one size is ordered, (N, R): about those before it, or, now
        and then, as `even` says.
        """
        came = np.maximum(1 - self.free, 1e-2)
        amount = np.log(came)
        off = (amount[:, :, None] - amount[:, None, :]) / ALIKE_SD
        before = np.tri(off.shape[1], k=-1) * self.real[:, None, :]
        bell = np.exp(-0.25 * off**2) / (ALIKE_SD * math.sqrt(4 * math.pi) * came[:, :, None])
        return np.asarray(((bell * before).sum(axis=2) + ANOTHER * even) / (before.sum(axis=2) + ANOTHER))

    def _through(self, mean: Floats, cov: Floats) -> tuple[Floats, Floats]:
        """Go through the deliveries; return the log odds of each by all before it, (N, habits, R), and
        the chance of each habit by all, (N, habits).

        Levels before deliveries that are past are let go; the last two entries of the state stay, what a
        full store holds less and the house's own habit.
        """
        usual, sd, shared = _MARKS.seen(self.free, self.real)
        amounts, top = self._amounts(usual), np.log(TOP_CHANCE)
        other = np.log1p(-np.asarray(TOP_CHANCE))
        shape = amounts.shape[:2]
        state = (
            np.repeat(mean.T[:, :, None], shape[1], axis=2),
            np.repeat(cov.transpose(1, 2, 0)[..., None], shape[1], axis=3),
        )
        found, log = np.empty(amounts.shape), np.tile(np.log(HABIT_CHANCE), (shape[0], 1))
        for i in range(amounts.shape[2]):
            real, var = self.real[:, i, None], self.var[:, i, None]
            any_top, filled = _seen(state, 1.0, 0.0, self.free[:, i, None] - TOP_GAP, TOP_SD**2 + var)
            at_mark, marked = _seen(filled, 0.0, -SHARED * USUAL_SD, USUAL, (WITHIN * USUAL_SD) ** 2)
            by_part, parted = _seen(
                state, 0.0, -shared[:, i, None], usual[:, i, None], sd[:, i, None] ** 2 + var
            )
            by = np.stack([
                top + any_top + math.log(ANY), top + any_top + at_mark + math.log(1 - ANY),
                other + by_part + amounts[:, :, i],
            ])  # fmt: skip
            all_ways = np.logaddexp.reduce(by)
            found[:, :, i] = by[2] - np.logaddexp(by[0], by[1])
            log += np.where(real, all_ways, 0.0)
            state = _one(state, (filled, marked, parted), np.exp(by - all_ways), real)
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
