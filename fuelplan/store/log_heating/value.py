"""What loading logs is worth: pellets saved, per winter and per hour of a person's work."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Limits, Message, Number, Quantity, message
from fuelplan.store.log_heating.plant import LogHeatingError
from fuelplan.store.log_heating.results import LogPelletRun

Floats = NDArray[np.float64]

MINUTES_PER_FIRE = 20.0  # fetching, loading, lighting, ash: common practice; own figures are better


@dataclass(frozen=True)
class LoadingValue:
    """What logs save, each of shape (paths,).

    Attributes
    ----------
    pellets_saved_kg
        Against the same winter without logs. [kg]
    logs_kg
        Burned for it. [kg]
    hours
        Of work.
    """

    pellets_saved_kg: Floats
    logs_kg: Floats
    hours: Floats

    @property
    def kg_per_hour(self) -> float:
        """Pellets saved by an hour of loading, mean over the winters; NaN where nothing was loaded. [kg/h]"""
        hours = float(self.hours.sum())
        return float(self.pellets_saved_kg.sum()) / hours if hours > 0 else float("nan")

    @property
    def sentence(self) -> Message:
        """One sentence for people."""
        if not self.hours.sum() > 0:
            return message("logs.none_loaded", "No logs were loaded, so none were saved in pellets.")
        low, mid, high = (float(kg) for kg in np.quantile(self.pellets_saved_kg, (0.1, 0.5, 0.9)) / 1000.0)
        return message(
            "logs.loading_saves",
            "Loading logs for about {hours} hours saves about {saved} of pellets ({spread}): {each} for each "
            "hour.",
            hours=Number(float(np.median(self.hours))),
            saved=Quantity.written(mid, "t", ".1f"),
            spread=Limits.written(low, high, "t", ".1f"),
            each=Quantity.written(self.kg_per_hour, "kg", ".0f"),
        )


def value_of_loading(
    with_logs: LogPelletRun, without_logs: LogPelletRun, *, minutes_per_fire: float = MINUTES_PER_FIRE
) -> LoadingValue:
    """Compare two runs over the same winters.

    Parameters
    ----------
    with_logs, without_logs
        The same winters, with somebody loading and with nobody.
    minutes_per_fire
        Work that a fire takes. [min]

    Raises
    ------
    LogHeatingError
        Runs of different shapes, or a negative time.
    """
    if with_logs.pellets_kg.shape != without_logs.pellets_kg.shape:
        raise LogHeatingError("the two runs cover different winters or days; compare runs over the same load")
    if not minutes_per_fire >= 0:
        raise LogHeatingError(f"{minutes_per_fire:g} minutes a fire cannot be; write zero or more")
    saved = (without_logs.pellets_kg - with_logs.pellets_kg).sum(axis=1)
    # Half a load is fetched and lit like a whole one.
    hours = with_logs.fires.sum(axis=1) * minutes_per_fire / 60.0
    return LoadingValue(saved, with_logs.logs_kg.sum(axis=1), hours)
