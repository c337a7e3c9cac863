"""What many houses of one valley have in common: by how much this winter they burn more than usual.

Two stages. Each house's own posterior of its factor, with what it was believed to be beforehand taken out
again, is one observation with its own precision. Those of a valley are random effects: a common factor and a
spread between the houses. Each house's belief is then what its books tell, times a prior around the factor
that *the others* of the valley show, and everything that hangs together with the factor moves with it.

One house that is not like the others, or whose books are wrong, moves little: residuals beyond
:data:`BEND` standard deviations count as if they were just there (Huber 1964, Annals of Mathematical
Statistics 35; common factor and spread together: his proposal 2), those beyond :data:`GROSS` not at all; and
such a house is pulled less, too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from fuelplan.learning.sums import Floats

FEWEST_HOUSES = 5
"""Houses whose books tell anything of this winter and are not far off, below which nothing is shared."""

BEND = 1.5
"""Standard deviations beyond which a house counts for less (Huber's usual choice)."""

GROSS = 4.0
"""Standard deviations beyond which a house does not count at all."""

VALLEY_SD = 0.08
"""How far a valley's common factor lies from 1 before anything is known (our assumption)."""

LEAST_SPREAD = 0.03
"""Houses of one valley differ by this much at least, however alike they look (our assumption)."""

SURE = 2.0
"""Standard deviations that a common factor lies off 1 before anybody is told."""

LEAST_SAID = 0.03
"""A common factor nearer to 1 is not worth a sentence."""

P90 = 1.2816
"""Standard deviations of a normal distribution from its middle to its 90 % point."""

_PASSES = 60


@dataclass(frozen=True)
class SharedFactor:
    """What n houses have in common.

    Attributes
    ----------
    mean, sd
        Their common factor less 1 and its standard deviation, 0 and :data:`VALLEY_SD` before anything is
        known. [share]
    spread
        Standard deviation between the houses. [share]
    houses
        How many tell anything of it and are not left out as too far off.
    others_mean, others_sd
        Shape (n,): mean and standard deviation of each house's factor as the other houses show it; NaN and
        infinite where nothing is shared. [share]
    """

    mean: float
    sd: float
    spread: float
    houses: int
    others_mean: Floats
    others_sd: Floats

    @property
    def band(self) -> tuple[float, float]:
        """What holds the common factor less 1 in 8 of 10 cases. [share]"""
        return self.mean - P90 * self.sd, self.mean + P90 * self.sd

    @property
    def is_clear(self) -> bool:
        """Whether nearly all that is possible lies on one side of the usual, and it matters."""
        return self.houses >= FEWEST_HOUSES and abs(self.mean) > max(SURE * self.sd, LEAST_SAID)


def shared_factor(told: Floats, sd: Floats) -> SharedFactor:
    """Return what some houses have in common.

    Parameters
    ----------
    told, sd
        Shape (n,): what each house's books alone tell of its factor less 1, and how precisely; infinite where
        they tell nothing. [share]
    """
    n = len(told)
    knows = np.isfinite(sd)
    houses = int(knows.sum())
    if houses < FEWEST_HOUSES:
        return _nothing(n, houses)
    y, own = told[knows], sd[knows] ** 2
    # nobody's word weighs more than that of the fifth most precise: one house alone tells nothing of a valley
    own = np.maximum(own, np.partition(own, FEWEST_HOUSES - 1)[FEWEST_HOUSES - 1])
    middle, spread2 = _common(y, own)
    for _ in range(3):
        alike = np.abs(y - middle) < GROSS * np.sqrt(own + spread2)
        houses = int(alike.sum())
        if houses < FEWEST_HOUSES:
            return _nothing(n, houses)
        middle, spread2 = _common(y[alike], own[alike])
    r = (y - middle) / np.sqrt(own + spread2)
    bent = np.minimum(1.0, BEND / np.maximum(np.abs(r), 1e-12))
    weight = np.zeros(n)
    weight[knows] = np.where(np.abs(r) < GROSS, bent / (own + spread2), 0.0)
    # precision of the robust mean, from the residuals themselves (the usual "sandwich")
    slope = float(((np.abs(r) < BEND) / (own + spread2)).sum())
    if slope == 0.0:  # all lie far from a middle where nobody is
        return _nothing(n, houses)
    error2 = float(((weight[knows] * (y - middle)) ** 2).sum()) / slope**2
    error2 = max(error2, 1.0 / float((1.0 / (own + spread2)).sum()))
    mean, sd_mean = _with_prior(middle, error2)
    part = weight / weight.sum()
    rest = np.maximum(1.0 - part, 1e-9)
    y_all = np.where(knows, told, 0.0)
    others, others_sd = _with_prior((middle - part * y_all) / rest, error2 / rest)
    # a house far off the others is pulled as if it lay at the bend
    far = np.ones(n)
    far[knows] = 1.0 / bent
    own_all = np.where(knows, np.where(knows, sd, 1.0) ** 2, 0.0)
    between = np.maximum((own_all + spread2) * far**2 - own_all, spread2)
    return SharedFactor(
        float(mean), float(sd_mean), math.sqrt(spread2), houses, np.asarray(others),
        np.sqrt(between + np.asarray(others_sd) ** 2),
    )  # fmt: skip


def _nothing(n: int, houses: int) -> SharedFactor:
    """Return that n houses share nothing, since too few tell anything that can belong together."""
    return SharedFactor(0.0, VALLEY_SD, math.nan, houses, np.full(n, np.nan), np.full(n, np.inf))


def _with_prior(middle: Floats | float, error2: Floats | float) -> tuple[Floats, Floats]:
    """Return a valley's factor with what is believed of it beforehand: mean and standard deviation."""
    known = 1.0 / np.asarray(error2) + 1.0 / VALLEY_SD**2
    return np.asarray(middle / np.asarray(error2) / known), np.asarray(1.0 / np.sqrt(known))


def _common(y: Floats, own: Floats) -> tuple[float, float]:
    """Return the common value and the variance between houses, both robust (Huber's proposal 2)."""
    # mean of the bent squares of a standard normal
    inside = 2.0 * float(ndtr(BEND)) - 1.0
    density = math.exp(-0.5 * BEND**2) / math.sqrt(2.0 * math.pi)
    expected = inside - 2.0 * BEND * density + BEND**2 * (1.0 - inside)
    wanted = expected * (len(y) - 1) / len(y)

    def middle_at(spread2: float, middle: float) -> float:
        scale2 = own + spread2
        for _ in range(12):
            r = np.abs(y - middle) / np.sqrt(scale2)
            w = np.minimum(1.0, BEND / np.maximum(r, 1e-12)) / scale2
            middle = float(w @ y / w.sum())
        return middle

    def bent_squares(spread2: float, middle: float) -> float:
        r2 = (y - middle) ** 2 / (own + spread2)
        return float(np.minimum(r2, BEND**2).mean())

    middle, low, high = middle_at(LEAST_SPREAD**2, float(np.median(y))), LEAST_SPREAD**2, 1.0
    if bent_squares(low, middle) <= wanted:
        return middle, low
    for _ in range(_PASSES):
        spread2 = math.sqrt(low * high)
        middle = middle_at(spread2, middle)
        if bent_squares(spread2, middle) > wanted:
            low = spread2
        else:
            high = spread2
        if high / low < 1.0001:
            break
    return middle, high


def moved(mean: Floats, cov: Floats, at: int, to_mean: Floats, to_var: Floats) -> tuple[Floats, Floats]:
    """Return normal distributions of which one quantity has become another one, and all that hangs together
    with it moves along; means (n, k) and covariances (n, k, k).

    Parameters
    ----------
    at
        Place of the quantity.
    to_mean, to_var
        Shape (n,): its new mean and variance.
    """
    along = cov[:, :, at] / cov[:, at, at][:, None]
    change = to_var - cov[:, at, at]
    return (
        mean + along * (to_mean - mean[:, at])[:, None],
        cov + change[:, None, None] * along[:, :, None] * along[:, None, :],
    )
