"""What is believed about one building after its readings, and joint draws from it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import words
from fuelplan.learning.changes import UseChange
from fuelplan.learning.doubt import OpenDoubt
from fuelplan.learning.fit import Fit
from fuelplan.learning.prior import SignatureError
from fuelplan.learning.screening import Flag
from fuelplan.learning.sums import Floats, Ints
from fuelplan.messages import Message

QUANTITIES = ("kg_per_degree_day", "kg_per_day", "base_c", "level_kg")

HARD_LEVEL_SHARE = 0.01
"""Below this share of draws inside the store the reckoned level contradicts it."""


@dataclass(frozen=True)
class Draws:
    """Joint draws of signature and level, each of shape (n,).

    Attributes
    ----------
    kg_per_degree_day, kg_per_day, base_c
        The signature. [kg/K/d, kg/d, degC]
    level_kg
        Level on the evening of `as_of`. [kg]
    day_noise
        Standard deviation of one day's use around the signature, as a share of that day's use.
    """

    kg_per_degree_day: Floats
    kg_per_day: Floats
    base_c: Floats
    level_kg: Floats
    day_noise: Floats

    def __len__(self) -> int:
        """Return the number of draws."""
        return len(self.level_kg)

    def use_kg(self, mean_c: Floats, rng: np.random.Generator | None = None) -> Floats:
        """Return each draw's use over some days, shape (n,); with `rng` day-to-day noise is added. [kg]

        `mean_c` has the shape (days,). [degC]
        """
        base, which = np.unique(self.base_c, return_inverse=True)
        daily = np.maximum(0.0, base[:, None] - np.asarray(mean_c)[None, :])
        total: Floats = self.kg_per_degree_day * daily.sum(axis=1)[which] + self.kg_per_day * daily.shape[1]
        if rng is None:
            return total
        squares = self.kg_per_degree_day**2 * (daily**2).sum(axis=1)[which]
        cross = 2 * self.kg_per_degree_day * self.kg_per_day * daily.sum(axis=1)[which]
        sd = self.day_noise * np.sqrt(squares + cross + self.kg_per_day**2 * daily.shape[1])
        noisy: Floats = np.maximum(0.0, total + sd * rng.standard_normal(len(total)))
        return noisy


@dataclass(frozen=True)
class Posterior:
    """A mixture of Gaussians over a grid of base temperatures and day-to-day noise.

    Attributes
    ----------
    as_of
        The evening the level stands for.
    weight, base_c, day_noise
        Shape (cells,).
    mean, cov
        Shapes (cells, 3), (cells, 3, 3): kg_per_degree_day, kg_per_day, level_kg.
    capacity_kg
        Of the store, None where unknown. [kg]
    most_kg
        A level above this cannot be; infinite where the capacity is unknown. [kg]
    volume_error
        Mean of the site's error of density and shape, as a share.
    scale_error
        Mean of each meter's scale error, as a share, by name.
    readings
        How many readings and "filled full" deliveries were used.
    intervals
        How many stretches between two of them tell a use.
    log_evidence
        Log density of the readings, for comparing assumptions.
    notes
        Sentences a person should read.
    flags, changes
        What was found in the record.
    fit
        Use of each interval against the signature; None in bulk.
    thinned_lines
        Lines of the readings that were left out because there are more than are needed.
    doubt, fuller
        A recent reading that disagrees with what was expected, and the posterior with more in store of the
        two ways to read that; this one is that with less. None where nothing is open.
    doubted_believed
        Whether this posterior takes the doubted reading for right.
    """

    as_of: date
    weight: Floats
    base_c: Floats
    day_noise: Floats
    mean: Floats
    cov: Floats
    capacity_kg: float | None
    most_kg: float
    volume_error: float = 0.0
    scale_error: tuple[tuple[str, float], ...] = ()
    readings: int = 0
    intervals: int = 0
    log_evidence: float = 0.0
    notes: tuple[Message, ...] = ()
    flags: tuple[Flag, ...] = ()
    changes: tuple[UseChange, ...] = ()
    fit: Fit | None = None
    thinned_lines: frozenset[int] = frozenset()
    doubt: OpenDoubt | None = None
    doubted_believed: bool = False
    fuller: Posterior | None = None

    def draw(self, n: int, rng: np.random.Generator) -> Draws:
        """Return n joint draws with coefficients of 0 or more and a level inside the store.

        Draws outside are drawn again, which is exactly the posterior under a prior cut off at these limits.
        Where the reckoned level lies outside the store altogether (a delivery is missing from the list, say)
        the level's limits are given up and levels set to the limit; :attr:`level_contradicts` tells.
        """
        if n < 1:
            raise SignatureError(f"{n} draws; at least 1 is needed")
        return self._draws(*self._inside(n, rng, self.level_contradicts))

    def draw_steady(self, lot: Ints, lots: int, rng: np.random.Generator) -> Draws:
        """Return joint draws of which each has a number, and is moved by what was learned alone.

        As :meth:`draw`; only a draw outside the limits takes what comes next, so that it does not push all
        those behind it from their places when the same is asked again a day later.

        Parameters
        ----------
        lot, lots
            The number of each draw wanted, shape (draws,), and how many numbers there are.
        """
        values, cells = self._raw(lots, rng)
        value, cell = values[lot], cells[lot]
        out = ~self._is_inside(value, self.level_contradicts)
        if out.any():
            value[out], cell[out] = self._inside(int(out.sum()), rng, self.level_contradicts)
        return self._draws(value, cell)

    def _draws(self, value: Floats, cell: Ints) -> Draws:
        if self.level_contradicts:
            value[:, 2] = np.clip(value[:, 2], 0.0, self.most_kg)
        return Draws(value[:, 0], value[:, 1], self.base_c[cell], value[:, 2], self.day_noise[cell])

    @property
    def level_contradicts(self) -> bool:
        """Whether the reckoned level lies outside the store: something in the record must be wrong."""
        value, _ = self._raw(2000, np.random.default_rng(0))
        return bool(self._level_fits(value).mean() < HARD_LEVEL_SHARE)

    def quantile(
        self, shares: tuple[float, ...] = (0.1, 0.5, 0.9), n: int = 4000, seed: int = 0
    ) -> dict[str, Floats]:
        """Return quantiles of slope, daily part, base and level from `n` draws."""
        draws = self.draw(n, np.random.default_rng(seed))
        return {name: np.quantile(getattr(draws, name), shares) for name in QUANTITIES}

    def band(
        self,
        degree_days_a_day: Floats,
        shares: tuple[float, ...] = (0.1, 0.5, 0.9),
        n: int = 2000,
        seed: int = 0,
    ) -> Floats:
        """Return quantiles of the use a day against degree-days a day, for a chart. [kg/d]

        Parameters
        ----------
        degree_days_a_day
            Shape (points,), at the base temperature of :attr:`fit`. [K]
        shares
            Quantiles wanted.
        n, seed
            Draws and their seed.

        Returns
        -------
        Shape (shares, points). A draw with a base some kelvin higher has that many degree-days a day more.
        """
        draws = self.draw(n, np.random.default_rng(seed))
        middle_c = float(self.weight @ self.base_c)
        x = np.maximum(0.0, np.asarray(degree_days_a_day)[None, :] + (draws.base_c - middle_c)[:, None])
        use = draws.kg_per_degree_day[:, None] * x + draws.kg_per_day[:, None]
        return np.asarray(np.quantile(use, shares, axis=0), dtype=float)

    def moments(self) -> tuple[Floats, Floats]:
        """Return mean (4,) and covariance (4, 4) of slope, daily part, base and level, before the limits."""
        mean4 = np.stack([self.mean[:, 0], self.mean[:, 1], self.base_c, self.mean[:, 2]], axis=1)
        mean = self.weight @ mean4
        off = mean4 - mean
        cov = np.einsum("g,gi,gj->ij", self.weight, off, off)
        keep = np.ix_([0, 1, 3], [0, 1, 3])
        cov[keep] += np.einsum("g,gij->ij", self.weight, self.cov)
        return mean, cov

    def _level_fits(self, value: Floats) -> NDArray[np.bool_]:
        return (value[:, 2] >= 0) & (value[:, 2] <= self.most_kg)

    def _is_inside(self, value: Floats, any_level: bool) -> NDArray[np.bool_]:
        found: NDArray[np.bool_] = (value[:, 0] >= 0) & (value[:, 1] >= 0)
        return found if any_level else found & self._level_fits(value)

    def _raw(self, n: int, rng: np.random.Generator) -> tuple[Floats, Ints]:
        cell = rng.choice(len(self.weight), size=n, p=self.weight)
        size = np.trace(self.cov, axis1=1, axis2=2)[:, None, None]
        root = np.linalg.cholesky(self.cov + 1e-12 * size * np.eye(3))
        value = self.mean[cell] + np.einsum("nij,nj->ni", root[cell], rng.standard_normal((n, 3)))
        return value, cell

    def _inside(self, n: int, rng: np.random.Generator, any_level: bool) -> tuple[Floats, Ints]:
        values, cells, have = [], [], 0
        for _ in range(400):
            value, cell = self._raw(max(2 * n, 200), rng)
            good = self._is_inside(value, any_level)
            values.append(value[good])
            cells.append(cell[good])
            have += int(good.sum())
            if have >= n:
                return np.concatenate(values)[:n], np.concatenate(cells)[:n]
        raise SignatureError(words.use_below_zero())
