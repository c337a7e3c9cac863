"""The forecast of the first days, laid over the possible winters with an error that grows with lead time."""

from __future__ import annotations

from datetime import date

import numpy as np

from fuelplan.weather.record import Floats, Forecast

FIRST_ERROR_C = 1.2
"""Root mean square error of a forecast daily mean one day ahead (value from memory). [K]"""

ERROR_PER_DAY_C = 0.35
"""Growth of that error with each further day (value from memory: about 3 K at six days, as doubtful as
climatology
after ten to twelve). [K/day]"""

FADE_DAYS = 3.0
"""After the last forecast day its departure fades to 1/e in this time, as anomalies of days do. [days]"""


def forecast_error_c(lead_days: Floats) -> Floats:
    """Return the root mean square error of a forecast by lead time, any shape. [K]

    Linear growth, `FIRST_ERROR_C` at one day and `ERROR_PER_DAY_C` for each day more.
    """
    return FIRST_ERROR_C + ERROR_PER_DAY_C * (np.asarray(lead_days, dtype=np.float64) - 1.0)


def forecast_weight(lead_days: Floats, usual_sd_c: Floats) -> Floats:
    """Return how far a forecast is believed, 0..1, same shape.

    With forecast and truth as two normal anomalies of one spread s and correlation ρ, the mean square error
    is 2·s²·(1 − ρ). The best guess is then ρ times the forecast anomaly, and s·√(1 − ρ²) remains in doubt.
    """
    return np.clip(1.0 - forecast_error_c(lead_days) ** 2 / (2.0 * np.asarray(usual_sd_c) ** 2), 0.0, 1.0)


def lay_over(
    paths_c: Floats, first_day: date, forecast: Forecast, usual_c: Floats, usual_sd_c: Floats
) -> tuple[Floats, int]:
    """Blend a forecast into the first days of each path.

    day = usual + ρ·(forecast − usual) + √(1 − ρ²)·(path − usual), with ρ of :func:`forecast_weight`: the
    paths keep their own runs of cold and warm days, drawn together around the forecast as far as it
    deserves.

    Parameters
    ----------
    paths_c
        Shape (paths, days). [degC]
    usual_c, usual_sd_c
        Usual mean and spread of each day, shape (days,). [degC, K]

    Returns
    -------
    tuple
        The blended paths and the number of days from `first_day` that a forecast leads.
    """
    days = paths_c.shape[1]
    lead = (first_day - forecast.issued_on).days + np.arange(days, dtype=np.float64)
    entry = lead.astype(np.int64) - 1
    inside = (entry >= 0) & (entry < len(forecast))
    departure = np.zeros(days)
    departure[inside] = forecast.mean_c[entry[inside]] - usual_c[inside]
    inside &= np.isfinite(departure)
    if not inside.any():
        return paths_c, 0
    weight = np.zeros(days)
    weight[inside] = forecast_weight(lead[inside], usual_sd_c[inside])
    last = int(np.flatnonzero(inside)[-1])
    after = np.arange(1, days - last, dtype=np.float64)
    weight[last + 1 :] = weight[last] * np.exp(-after / FADE_DAYS)
    departure[last + 1 :] = departure[last]
    departure[~np.isfinite(departure)] = 0.0
    blended = usual_c + weight * departure + np.sqrt(1.0 - weight**2) * (paths_c - usual_c)
    return np.asarray(blended), last + 1
