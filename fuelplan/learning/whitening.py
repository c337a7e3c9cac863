"""Turn readings with a common random walk into independent ones of unit variance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fuelplan.learning.sums import Floats, Ints


@dataclass(frozen=True)
class White:
    """Independent columns, and what is left for the level at the end.

    Attributes
    ----------
    columns
        Shape (N, S, C, n), unit variance each.
    log_det
        Shape (N, S): log determinant of the readings' covariance.
    end
        Shape (N, S, C): the last entry of each column less its forecast, not divided by its doubt. [kg]
    end_var_kg2
        Shape (N, S): variance of the level at the end when all columns' coefficients are known. [kg²]
    """

    columns: Floats
    log_det: Floats
    end: Floats
    end_var_kg2: Floats


def whiten(
    columns: Floats,
    is_count: Ints,
    var_kg2: Floats,
    noise_kg2: Floats,
    loose_kg2: Floats,
    brought_var_kg2: Floats,
    noise: Floats,
) -> White:
    """Filter all columns with the Kalman filter of (W, V), W the noise of use and V that of deliveries.

    Parameters
    ----------
    columns
        Shape (N, C, n), the last entry being the wanted level. [kg]
    is_count
        Shape (N, n): a level sees V − W, a count W.
    var_kg2
        Shape (N, n), own variances of the readings; infinite for what is no reading. [kg²]
    noise_kg2, loose_kg2, brought_var_kg2
        Shape (N, n): variance of W's steps at unit noise, extra variance of them, that of V (a sum). [kg²]
    noise
        Shape (S,), size of the day-to-day noise as a share.
    """
    rows, c, n = columns.shape
    s = len(noise)
    mean_w, mean_v = np.zeros((rows, s, c)), np.zeros((rows, s, c))
    p_ww, p_wv, p_vv = np.zeros((rows, s)), np.zeros((rows, s)), np.zeros((rows, s))
    white, log_det = np.empty((rows, s, c, n)), np.zeros((rows, s))
    innovation, f = np.zeros((rows, s, c)), np.zeros((rows, s))
    brought_step = np.diff(brought_var_kg2, axis=1, prepend=0.0)
    for i in range(n):
        h_w = np.where(is_count[:, i] > 0, 1.0, -1.0)[:, None]
        h_v = np.where(is_count[:, i] > 0, 0.0, 1.0)[:, None]
        p_ww += noise_kg2[:, i, None] * noise**2 + loose_kg2[:, i, None]
        p_vv += brought_step[:, i, None]
        ph_w, ph_v = p_ww * h_w + p_wv * h_v, p_wv * h_w + p_vv * h_v
        f = ph_w * h_w + ph_v * h_v + var_kg2[:, i, None]
        innovation = columns[:, None, :, i] - h_w[..., None] * mean_w - h_v[..., None] * mean_v
        white[..., i] = innovation / np.sqrt(f)[..., None]
        if i == n - 1:
            break
        gain_w, gain_v = ph_w / f, ph_v / f
        mean_w += gain_w[..., None] * innovation
        mean_v += gain_v[..., None] * innovation
        p_ww, p_wv, p_vv = p_ww - gain_w * ph_w, p_wv - gain_w * ph_v, p_vv - gain_v * ph_v
        log_det += np.where(np.isfinite(f), np.log(np.where(np.isfinite(f), f, 1.0)), 0.0)
    return White(white, log_det, innovation, p_ww - 2 * p_wv + p_vv)
