"""Truths held against draws: shares in bands with intervals by cluster, width, bias and pinball loss."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.calibration.climate import Floats

BANDS = (0.5, 0.8, 0.96)
PINBALL = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class Asked:
    """One truth against its draws.

    Attributes
    ----------
    inside
        Whether the truth lies in each of :data:`BANDS`.
    width
        Of the 80 % band, as a share of `scale`.
    off
        Middle of the draws less the truth, as a share of `scale`.
    pinball
        Mean loss at :data:`PINBALL`, as a share of `scale`.
    cluster
        Number of the house.
    """

    inside: tuple[bool, ...]
    width: float
    off: float
    pinball: float
    cluster: int


def asked_of(draws: Floats, truth: float, scale: float, cluster: int) -> Asked:
    """Hold a truth against draws."""
    inside = []
    for band in BANDS:
        low, high = np.quantile(draws, (0.5 - band / 2, 0.5 + band / 2))
        inside.append(bool(low <= truth <= high))
    p10, p50, p90 = np.quantile(draws, PINBALL)
    return Asked(
        tuple(inside), float(p90 - p10) / scale, float(p50 - truth) / scale,
        pinball((p10, p50, p90), truth) / scale, cluster,
    )  # fmt: skip


def pinball(quantiles: Sequence[float], truth: float) -> float:
    """Mean pinball loss of quantiles at :data:`PINBALL`."""
    off, share = truth - np.array(quantiles), np.array(PINBALL)
    return float(np.maximum(share * off, (share - 1) * off).mean())


@dataclass(frozen=True)
class Score:
    """What many truths say.

    Attributes
    ----------
    n, clusters
        Truths, and houses they belong to.
    share
        In each of :data:`BANDS`.
    share_sd
        Standard error of each, by house.
    width
        Median.
    off, off_sd
        Mean, and its standard error by house.
    pinball
        Mean.
    """

    n: int
    clusters: int
    share: tuple[float, ...]
    share_sd: tuple[float, ...]
    width: float
    off: float
    off_sd: float
    pinball: float

    def line(self) -> str:
        """The figures of one line of the table."""
        bands = "  ".join(
            f"{100 * p:3.0f} ± {196 * sd:2.0f}" for p, sd in zip(self.share, self.share_sd, strict=True)
        )
        return (
            f"{self.n:5d}  {bands}  {100 * self.width:5.0f}  {100 * self.off:+5.1f}"
            f" ± {196 * self.off_sd:3.1f}  {100 * self.pinball:6.2f}"
        )


HEAD = f"{'n':>5}  {'50 %':>8}  {'80 %':>8}  {'96 %':>8}  {'width':>5}  {'bias':>11}  {'pinball':>7}"


def score(found: Sequence[Asked]) -> Score:
    """Return the score of some truths; clusters may hold several."""
    cluster = np.array([a.cluster for a in found])
    inside = np.array([a.inside for a in found], dtype=float)
    off = np.array([a.off for a in found])
    return Score(
        len(found),
        len(np.unique(cluster)),
        tuple(inside.mean(axis=0)),
        tuple(clustered_sd(inside[:, k], cluster) for k in range(len(BANDS))),
        float(np.median([a.width for a in found])),
        float(off.mean()),
        clustered_sd(off, cluster),
        float(np.mean([a.pinball for a in found])),
    )


def clustered_sd(values: Floats, cluster: np.ndarray) -> float:
    """Standard error of a mean whose values hang together within clusters, from the sums of the residuals
    of each (Liang & Zeger 1986); infinite for a single cluster.
    """
    names, place = np.unique(cluster, return_inverse=True)
    if len(names) < 2:
        return math.inf
    sums = np.bincount(place, values - values.mean())
    return float(np.sqrt(len(names) / (len(names) - 1) * (sums**2).sum()) / len(values))
