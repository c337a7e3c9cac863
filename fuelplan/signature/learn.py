"""Learn one building's heat signature and level from its readings and deliveries."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from fuelplan.readings import Delivery, Observation
from fuelplan.signature.core import solve
from fuelplan.signature.evidence import Record, evidence_of, put_in_order
from fuelplan.signature.posterior import Posterior
from fuelplan.signature.prior import Assumptions, Prior, SignatureError
from fuelplan.signature.state import Cells, Priors
from fuelplan.signature.sums import REACH_SD, Floats, Sums, running_sums
from fuelplan.weather.record import DailyWeather


class LevelUnknown(SignatureError):
    """Nothing tells what lies in the store."""


def learn(
    prior: Prior,
    weather: DailyWeather,
    observations: Sequence[Observation],
    deliveries: Sequence[Delivery],
    as_of: date,
    *,
    seed: int = 0,
    capacity_kg: float | None = None,
    activity: Floats | None = None,
    assumptions: Assumptions | None = None,
) -> Posterior:
    """Return the posterior of signature and level on the evening of `as_of`.

    Parameters
    ----------
    prior
        The paper heat signature.
    weather
        Daily weather without gaps, from the first reading or delivery to `as_of` at least.
    observations, deliveries
        In any order; what is dated after `as_of` is not looked at.
    as_of
        The evening the level stands for.
    seed
        Only kept for a common interface: nothing random is done here.
    capacity_kg
        What the store holds. [kg]
    activity
        Shape (days of the weather,): 0 for days without use (away, boiler off), 1 for usual ones.
    assumptions
        Doubts shared by readings.
    """
    del seed
    assumptions = assumptions or Assumptions()
    record = put_in_order(weather, observations, deliveries, as_of, capacity_kg)
    sums = site_sums(weather, record, prior, activity)
    size_kg = capacity_kg or year_kg(prior, sums)
    if capacity_kg is None and not any(o.is_level for o in record.observations):
        raise LevelUnknown(
            "nothing tells what lies in the store; write one reading, a delivery that filled it, or its "
            "capacity"
        )
    evidence = evidence_of(record, size_kg)
    cells = solve(evidence, priors_of(prior), sums, assumptions)
    return posterior_of(cells, record, assumptions)


def priors_of(prior: Prior) -> Priors:
    """Return a prior as arrays of one site."""
    return Priors(
        slope=np.array([prior.kg_per_degree_day]),
        slope_sd=np.array([prior.sd_slope]),
        day_kg=np.array([prior.kg_per_day]),
        day_sd_kg=np.array([prior.sd_day_kg]),
        base_c=np.array([prior.base_c]),
        base_sd_c=np.array([prior.base_sd_c]),
    )


def site_sums(weather: DailyWeather, record: Record, prior: Prior, activity: Floats | None) -> Sums:
    """Return the running sums of a site's weather from its first day to `as_of`."""
    days = (record.as_of - weather.first_day).days + 1
    share = None if activity is None else np.asarray(activity, dtype=float)[None, :days]
    if share is not None and share.shape[1] != days:
        raise SignatureError(f"activity has {share.shape[1]} days, the weather up to as_of {days}")
    reach_c = REACH_SD * prior.base_sd_c + 1.0
    return running_sums(
        np.asarray(weather.mean_c, dtype=float)[None, :days],
        share,
        prior.base_c - reach_c,
        prior.base_c + reach_c,
    )


def year_kg(prior: Prior, sums: Sums) -> float:
    """Return about a year's use by the prior. [kg]"""
    index = sums.index_of_base(np.array(prior.base_c))
    heating = sums.degree_days[0, index, -1] / ((sums.days.shape[1] - 1) / 2) * prior.kg_per_degree_day
    return float(365.25 * (heating + prior.kg_per_day))


def posterior_of(cells: Cells, record: Record, assumptions: Assumptions) -> Posterior:
    """Return the only site of a batch of one."""
    s, b = cells.weight.shape[1:]
    levels = sum(o.is_level for o in record.observations)
    counts = sum(o.is_count for o in record.observations)
    capacity_kg = record.capacity_kg
    # a dense batch well blown in can exceed the nominal capacity
    most_kg = np.inf if capacity_kg is None else capacity_kg * (1 + 3 * assumptions.volume_rel_sd)
    runs = counts - sum(record.restarted)
    notes = []
    if levels == 0:
        notes.append("No reading tells what lies in the store: the level is a guess within its capacity.")
    posterior = Posterior(
        as_of=record.as_of,
        weight=cells.weight[0].ravel(),
        base_c=np.broadcast_to(cells.base_c[0], (s, b)).ravel(),
        day_noise=np.repeat(cells.noise, b),
        mean=cells.mean[0].reshape(s * b, 3),
        cov=cells.cov[0].reshape(s * b, 3, 3),
        capacity_kg=capacity_kg,
        most_kg=float(most_kg),
        volume_error=float(cells.bias[0]),
        scale_error=tuple(zip(record.meters, map(float, cells.scale[0]), strict=True)),
        readings=levels + counts,
        intervals=max(0, levels - 1) + max(0, runs),
        log_evidence=float(cells.log_evidence[0]),
    )
    if posterior.level_contradicts:
        notes.append(
            "By the reckoning the store would be "
            + ("empty by now" if float(posterior.moments()[0][3]) < 0 else "fuller than it can be")
            + ": look for a delivery that is missing or counted twice, or a reading with a wrong date."
        )
    from dataclasses import replace

    return replace(posterior, notes=tuple(notes))
