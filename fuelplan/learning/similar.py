"""A prior for a new customer from what similar customers turned out to burn."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from fuelplan.learning.prior import Prior, SignatureError
from fuelplan.learning.sums import Floats

FEWEST = 3
"""Similar customers below which nothing is borrowed."""

LEAST_REL_SD, LEAST_BASE_SD_C = 0.08, 0.5
"""No building is known better than this from its neighbours (assumptions)."""


def between(value: Floats, sd: Floats) -> tuple[float, float, float]:
    """Return mean, standard error and standard deviation *between* units with errors of their own.

    Random-effects estimate of DerSimonian & Laird 1986 (Controlled Clinical Trials 7).

    Parameters
    ----------
    value, sd
        Shape (n,), n of 2 or more.
    """
    w = 1 / sd**2
    mean = float(w @ value / w.sum())
    q = float(w @ (value - mean) ** 2)
    tau2 = max(0.0, (q - (len(value) - 1)) / float(w.sum() - (w**2).sum() / w.sum()))
    w = 1 / (sd**2 + tau2)
    return float(w @ value / w.sum()), float(1 / math.sqrt(w.sum())), math.sqrt(tau2)


def prior_from_similar(
    mean: Floats,
    sd: Floats,
    size: Floats,
    new_size: float,
    own_priors: tuple[Prior, ...] | None = None,
    paper: Prior | None = None,
) -> Prior:
    """Return the prior of a new customer, borrowed from similar ones (empirical Bayes).

    Parameters
    ----------
    mean, sd
        Shape (n, 4): what each similar customer burns – kg_per_degree_day, kg_per_day, base_c, level_kg (not
        used), as :class:`fuelplan.learning.bulk.ManyPosteriors` has them.
    size
        Shape (n,): what their use goes with – rated power [kW], floor area [m2] or yearly deliveries [kg].
    new_size
        The same of the new customer.
    own_priors
        What each was believed to burn beforehand: it is taken out again, so that only readings are borrowed.
    paper
        The paper signature of the new customer; combined with what is borrowed, each by its doubt.

    Returns
    -------
    Prior
        For the new customer.

    Raises
    ------
    SignatureError
        Where a size is not above 0, fewer than :data:`FEWEST` customers tell anything and there is no paper
        signature, or their use does not grow with the cold.
    """
    size = np.asarray(size, dtype=float)
    if not (new_size > 0 and (size > 0).all()):
        raise SignatureError("sizes must be above 0: rated power, floor area or yearly deliveries")
    ratio, ratio_sd = mean[:, :3].copy(), sd[:, :3].copy()
    good = np.ones(ratio.shape, dtype=bool)
    if own_priors is not None:
        ratio, ratio_sd, good = _without_prior(ratio, ratio_sd, own_priors)
    ratio[:, :2] /= size[:, None]
    ratio_sd[:, :2] /= size[:, None]
    told: list[tuple[float, float] | None] = []
    for i in range(3):
        use = good[:, i] & np.isfinite(ratio_sd[:, i]) & (ratio_sd[:, i] > 0)
        if use.sum() < FEWEST:
            told.append(None)
            continue
        middle, error, spread = between(ratio[use, i], ratio_sd[use, i])
        scale = new_size if i < 2 else 1.0
        told.append((middle * scale, math.hypot(error, spread) * scale))
    if told[0] is None and paper is None:
        raise SignatureError(f"{FEWEST} similar customers with readings are needed, or a paper heat load")
    return _combined(told, paper)


def _without_prior(
    mean: Floats, sd: Floats, priors: tuple[Prior, ...]
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Take each customer's own prior out of his posterior: precisions and weighted means are differences."""
    m0 = np.array([[p.kg_per_degree_day, p.kg_per_day, p.base_c] for p in priors])
    v0 = np.array([[p.sd_slope**2, p.sd_day_kg**2, p.base_sd_c**2] for p in priors])
    precision = 1 / sd**2 - 1 / v0
    good = precision > 0.05 / v0  # below that the readings told nothing
    safe = np.where(good, precision, 1.0)
    told = np.where(good, (mean / sd**2 - m0 / v0) / safe, mean)
    return told, np.where(good, 1 / np.sqrt(safe), np.inf), good


def _combined(told: list[tuple[float, float] | None], paper: Prior | None) -> Prior:
    on_paper = None
    if paper is not None:
        on_paper = (
            (paper.kg_per_degree_day, paper.sd_slope),
            (paper.kg_per_day, paper.sd_day_kg),
            (paper.base_c, paper.base_sd_c),
        )
    out: list[tuple[float, float]] = []
    for i, one in enumerate(told):
        both = [x for x in (one, on_paper[i] if on_paper else None) if x is not None]
        if not both:
            # nothing but the slope is known: a twentieth of a cold day's heating, and the usual 15 °C
            slope = out[0][0]
            both = [(2 * slope, 2 * slope) if i == 1 else (15.0, 2.0)]
        w = [1 / max(s, 1e-9) ** 2 for _, s in both]
        out.append((sum(a * m for a, (m, _) in zip(w, both, strict=True)) / sum(w), 1 / math.sqrt(sum(w))))
    (slope, slope_sd), (day_kg, day_sd), (base_c, base_sd) = out
    if slope <= 0:
        raise SignatureError("the similar customers' use does not grow with the cold; choose others")
    return Prior(
        kg_per_degree_day=slope,
        kg_per_day=max(day_kg, 0.0),
        base_c=float(np.clip(base_c, -10, 30)),
        rel_sd_slope=float(np.clip(slope_sd / slope, LEAST_REL_SD, 2.0)),
        rel_sd_day=float(np.clip(day_sd / max(day_kg, 1e-9), LEAST_REL_SD, 2.0)),
        base_sd_c=float(np.clip(base_sd, LEAST_BASE_SD_C, 6.0)),
    )
