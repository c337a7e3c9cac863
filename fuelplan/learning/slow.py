"""Use that is more or less than usual for a while: two parts that fade, one over weeks and one over a season.

Each is an Ornstein–Uhlenbeck process: a share by which all use is higher, that returns to 0 and is renewed.
Over a stretch of z lasting times its mean is h·(where it stood) plus something new, with

    h = (1 − e⁻ᶻ)/z,  variance of the mean g = 2(z − 1 + e⁻ᶻ)/z² (of which h² is old),
    variance of what is new at the end 1 − e⁻²ᶻ, covariance of both (1 − e⁻ᶻ)²/z

(integrals of the exponential covariance; Uhlenbeck & Ornstein 1930, Physical Review 36).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fuelplan.learning.sums import Floats

LASTING_D = (20.0, 250.0)
"""How long the part of weeks and that of a season last (our choice: spells of weather and people's moods; a
heating year). [d]"""


@dataclass(frozen=True)
class Stretch:
    """What a stretch does to a part of unit size, each of the shape of the days it was made from.

    Attributes
    ----------
    keep
        Share of where it stood that is left at the end.
    mean
        Share of where it stood that counts in the mean over the stretch.
    new_mean, new_end, both
        Variance of what is new in the mean and at the end, and their covariance.
    """

    keep: Floats
    mean: Floats
    new_mean: Floats
    new_end: Floats
    both: Floats


def stretch(days: Floats, lasting_d: float) -> Stretch:
    """Return what stretches of some days do to a part that lasts `lasting_d`."""
    z = np.maximum(np.asarray(days, dtype=float) / lasting_d, 1e-6)
    keep = np.exp(-z)
    mean = -np.expm1(-z) / z
    # the series is exact enough where the closed form cancels
    whole = np.where(z < 1e-2, 1 - z / 3 + z**2 / 12, 2 * (z - 1 + keep) / z**2)
    return Stretch(keep, mean, np.maximum(whole - mean**2, 0.0), -np.expm1(-2 * z), z * mean**2)


def fade(at_first: Floats, sd: Floats, normals: Floats, lasting_d: float) -> Floats:
    """Return a part on each day after it stood at `at_first`, shape (n, days).

    Parameters
    ----------
    at_first, sd
        Shape (n,): where it stood on the evening before, and its size.
    normals
        Shape (n, days), standard normal.
    lasting_d
        How long it lasts. [d]
    """
    keep = float(np.exp(-1.0 / lasting_d))
    step = np.sqrt(1 - keep**2) * sd
    out = np.empty_like(normals)
    now = at_first
    for t in range(normals.shape[1]):
        now = keep * now + step * normals[:, t]
        out[:, t] = now
    return out
