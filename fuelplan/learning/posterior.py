"""What is believed about one building after its readings, and joint draws from it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning import words
from fuelplan.learning.changes import UseChange
from fuelplan.learning.doubt import OpenDoubt
from fuelplan.learning.filling import FoundFilling
from fuelplan.learning.fit import Fit
from fuelplan.learning.prior import SignatureError
from fuelplan.learning.screening import Flag
from fuelplan.learning.slow import LASTING_D, fade
from fuelplan.learning.sums import Floats, Ints, yearly_wave
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
    weeks, season
        By what share all use is more than usual on the evening of `as_of`: the parts that fade over weeks and
        over a season.
    weeks_sd, season_sd
        Their sizes.
    wave_kg
        What hot water and stand-by are higher by in the middle of January. [kg/d]
    floor_kg
        Part of a day's use whose noise does not shrink with use. [kg/d]
    as_of
        The evening.
    """

    kg_per_degree_day: Floats
    kg_per_day: Floats
    base_c: Floats
    level_kg: Floats
    day_noise: Floats
    weeks: Floats
    season: Floats
    weeks_sd: Floats
    season_sd: Floats
    wave_kg: Floats
    floor_kg: Floats
    as_of: date

    def __len__(self) -> int:
        """Return the number of draws."""
        return len(self.level_kg)

    def use_kg(self, mean_c: Floats, rng: np.random.Generator | None = None) -> Floats:
        """Return each draw's use over the days after `as_of`, shape (n,). [kg]

        Parameters
        ----------
        mean_c
            Shape (days,). [degC]
        rng
            With it use is more or less than usual, as it stood on that evening and as it goes on; without, as
            usual.
        """
        base, which = np.unique(self.base_c, return_inverse=True)
        daily = np.maximum(0.0, base[:, None] - np.asarray(mean_c)[None, :])[which]
        usual = self.usual_kg(daily, np.ones(daily.shape[1]))
        if rng is not None:
            usual = self.noisy_kg(usual, rng.standard_normal((3, *usual.shape)))
        return np.asarray(usual.sum(axis=1))

    def usual_kg(self, degree_days: Floats, hot_water: Floats) -> Floats:
        """Return the usual use of the days after `as_of`, shape (n, days). [kg]

        Parameters
        ----------
        degree_days
            Shape (n, days), below each draw's base temperature. [K·d]
        hot_water
            Shape (days,), share of the usual daily part.
        """
        dates = np.datetime64(self.as_of, "D") + 1 + np.arange(degree_days.shape[1])
        daily = np.maximum(0.0, self.kg_per_day[:, None] + self.wave_kg[:, None] * yearly_wave(dates))
        usual: Floats = self.kg_per_degree_day[:, None] * degree_days + daily * hot_water
        return usual

    def noisy_kg(self, usual_kg: Floats, normals: Floats) -> Floats:
        """Return use that is more or less than usual, shape (n, days). [kg]

        Days differ independently of each other, by log-normal factors: wind, sun, people. The parts of weeks
        and season go on from where they stood.

        Parameters
        ----------
        usual_kg
            Shape (n, days), as :meth:`usual_kg` gives it. [kg]
        normals
            Shape (3, n, days), standard normal: for the days, the weeks, the season.
        """
        weeks = fade(self.weeks, self.weeks_sd, normals[1], LASTING_D[0])
        season = fade(self.season, self.season_sd, normals[2], LASTING_D[1])
        floor = np.minimum(self.floor_kg[:, None], usual_kg)
        moved = np.maximum(0.0, usual_kg * (1 + weeks + season) + floor * weeks)
        share = np.divide(floor, usual_kg, out=np.zeros_like(floor), where=usual_kg > 0)
        spread = np.log1p(self.day_noise[:, None] ** 2 * (1 + share**2))
        noisy: Floats = moved * np.exp(np.sqrt(spread) * normals[0] - 0.5 * spread)
        return noisy


def drawn(value: Floats, base_c: Floats, noise: Floats, floor_kg: Floats, as_of: date) -> Draws:
    """Return draws of the quantities of a posterior, (…, 6), at bases (…) and sizes of noise (…, 3)."""
    return Draws(
        value[..., 0],
        value[..., 1],
        base_c,
        value[..., 2],
        noise[..., 0],
        value[..., 3],
        value[..., 4],
        noise[..., 1],
        noise[..., 2],
        value[..., 5],
        floor_kg,
        as_of,
    )


def root_of(cov: Floats) -> Floats:
    """Return lower square roots of covariances of quantities with different units, shape (…, k, k)."""
    size = np.sqrt(np.diagonal(cov, axis1=-2, axis2=-1)) + 1e-12
    scaled = cov / (size[..., :, None] * size[..., None, :]) + 1e-9 * np.eye(cov.shape[-1])
    root: Floats = size[..., :, None] * np.linalg.cholesky(scaled)
    return root


@dataclass(frozen=True)
class Posterior:
    """A mixture of Gaussians over a grid of base temperatures and sizes of noise.

    Attributes
    ----------
    as_of
        The evening the level stands for.
    weight, base_c
        Shape (cells,).
    noise
        Shape (cells, 3): its sizes day to day, over weeks, over a season, as shares.
    mean, cov
        Shapes (cells, 6), (cells, 6, 6): kg_per_degree_day, kg_per_day, level_kg, weeks, season, wave_kg.
    capacity_kg
        Of the store, None where unknown. [kg]
    most_kg
        A level above this cannot be; infinite where the capacity is unknown. [kg]
    floor_kg
        Part of a day's use whose noise does not shrink with use. [kg/d]
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
    filling
        How the house has its store filled; None where too few deliveries tell.
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
    noise: Floats
    mean: Floats
    cov: Floats
    capacity_kg: float | None
    most_kg: float
    floor_kg: float = 0.0
    volume_error: float = 0.0
    scale_error: tuple[tuple[str, float], ...] = ()
    readings: int = 0
    intervals: int = 0
    log_evidence: float = 0.0
    notes: tuple[Message, ...] = ()
    flags: tuple[Flag, ...] = ()
    changes: tuple[UseChange, ...] = ()
    fit: Fit | None = None
    filling: FoundFilling | None = None
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
        floor = np.full(len(cell), self.floor_kg)
        return drawn(value, self.base_c[cell], self.noise[cell], floor, self.as_of)

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
        cov[keep] += np.einsum("g,gij->ij", self.weight, self.cov[:, :3, :3])
        return mean, cov

    def _level_fits(self, value: Floats) -> NDArray[np.bool_]:
        return (value[:, 2] >= 0) & (value[:, 2] <= self.most_kg)

    def _is_inside(self, value: Floats, any_level: bool) -> NDArray[np.bool_]:
        found: NDArray[np.bool_] = (value[:, 0] >= 0) & (value[:, 1] >= 0)
        return found if any_level else found & self._level_fits(value)

    def _raw(self, n: int, rng: np.random.Generator) -> tuple[Floats, Ints]:
        cell = rng.choice(len(self.weight), size=n, p=self.weight)
        normal = rng.standard_normal((n, self.mean.shape[1]))
        value = self.mean[cell] + np.einsum("nij,nj->ni", root_of(self.cov)[cell], normal)
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
