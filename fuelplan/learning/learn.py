"""Learn one building's heat signature and level from its readings and deliveries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from fuelplan.learning import words
from fuelplan.learning.case import Case
from fuelplan.learning.changes import UseChange, find_changes
from fuelplan.learning.doubt import OpenDoubt, weigh_recent
from fuelplan.learning.evidence import Record, put_in_order, thinned
from fuelplan.learning.filling import filling_of
from fuelplan.learning.fit import fit_of
from fuelplan.learning.posterior import Posterior
from fuelplan.learning.prior import Assumptions, Prior, SignatureError
from fuelplan.learning.readings import Delivery, Observation
from fuelplan.learning.screening import Flag, name_what_was_said, screen
from fuelplan.learning.state import QUANTITIES, PosteriorCells, Priors
from fuelplan.learning.sums import REACH_SD, DegreeDaySums, Floats, running_sums
from fuelplan.messages import Message
from fuelplan.weather import DailyWeather


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
    screening: bool = True,
    changes: bool = True,
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
    screening
        Find, name and set aside readings and spells that do not fit.
    changes
        Find lasting changes; the signature returned is the one after the last.

    Returns
    -------
    Posterior
        Of the two ways to read a doubtful record, that with less in store; the other one is its `fuller`.

    Raises
    ------
    LevelUnknown
        Where there is no reading of the level, no delivery that filled the store, and no capacity.
    SignatureError
        Where the weather does not reach over all readings and deliveries, `activity` has another length, or a
        store of unknown capacity was filled.
    """
    del seed
    assumptions = assumptions or Assumptions()
    whole = put_in_order(weather, observations, deliveries, as_of, capacity_kg)
    record = thinned(whole)
    sums = site_sums(weather, record, prior, activity)
    size_kg = capacity_kg or year_kg(prior, sums)
    if capacity_kg is None and not any(o.is_level for o in record.observations):
        raise LevelUnknown(words.level_unknown())
    none = np.zeros(len(record.observations))
    case = Case(record, priors_of(prior), sums, assumptions, size_kg, none, none)
    case, flags = name_what_was_said(case) if screening else (case, ())
    cells = case.solve()
    if not screening:
        return _finished(case, cells, flags, screening=False, changes=changes)
    weighed = weigh_recent(case, cells)
    flags += weighed.flags
    cells = cells if weighed.case is case else weighed.case.solve()
    found = _finished(weighed.case, cells, flags, screening=True, changes=changes)
    found = replace(found, thinned_lines=_lines(whole) - _lines(record))
    if weighed.open is None or weighed.if_right is None:
        return found
    right = _finished(weighed.if_right, weighed.if_right.solve(), flags, screening=True, changes=changes)
    return _emptier_first(weighed.open, found, right)


def _lines(record: Record) -> frozenset[int]:
    return frozenset(o.line for o in record.observations if o.kind != "room")


def _finished(
    case: Case, cells: PosteriorCells, flags: tuple[Flag, ...], *, screening: bool, changes: bool
) -> Posterior:
    """Return the posterior of a case after screening and a look for lasting changes."""
    found: tuple[UseChange, ...] = ()
    early: tuple[Message, ...] = ()
    if screening:
        case, cells, more = _screened(case, cells)
        flags += more
    if changes:
        case, cells, found, early = find_changes(case, cells)
    posterior = posterior_of(case, cells, flags, found)
    return replace(posterior, notes=(*early, *posterior.notes)) if early else posterior


def _emptier_first(doubt: OpenDoubt, if_wrong: Posterior, if_right: Posterior) -> Posterior:
    """Return the posterior with less in store, with the doubt and the other one in it."""
    wrong_kg, right_kg = (float(p.quantile((0.5,))["level_kg"][0]) for p in (if_wrong, if_right))
    low, high = (if_wrong, if_right) if wrong_kg <= right_kg else (if_right, if_wrong)
    return replace(low, doubt=doubt, fuller=high, doubted_believed=low is if_right)


def _screened(case: Case, cells: PosteriorCells) -> tuple[Case, PosteriorCells, tuple[Flag, ...]]:
    """Screen until nothing more is found; a bad reading can hide another one."""
    flags: tuple[Flag, ...] = ()
    for _ in range(3):
        case, more = screen(case, cells)
        if not more:
            break
        flags += more
        cells = case.solve()
    return case, cells, flags


def priors_of(prior: Prior) -> Priors:
    """Return a prior as arrays of one site."""
    return Priors(
        slope=np.array([prior.kg_per_degree_day]),
        slope_sd=np.array([prior.sd_slope]),
        day_kg=np.array([prior.kg_per_day]),
        day_sd_kg=np.array([prior.sd_day_kg]),
        base_c=np.array([prior.base_c]),
        base_sd_c=np.array([prior.base_sd_c]),
        year_rel_sd=np.array([np.inf if prior.year_rel_sd is None else prior.year_rel_sd]),
    )


def site_sums(weather: DailyWeather, record: Record, prior: Prior, activity: Floats | None) -> DegreeDaySums:
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
        weather.first_day,
    )


def year_kg(prior: Prior, sums: DegreeDaySums) -> float:
    """Return about a year's use by the prior. [kg]"""
    index = sums.index_of_base(np.array(prior.base_c))
    heating = sums.degree_days[0, index, -1] / ((sums.days.shape[1] - 1) / 2) * prior.kg_per_degree_day
    return float(365.25 * (heating + prior.kg_per_day))


def posterior_of(
    case: Case, cells: PosteriorCells, flags: tuple[Flag, ...], changes: tuple[UseChange, ...]
) -> Posterior:
    """Return the only site of a batch of one."""
    record, assumptions = case.record, case.assumptions
    s, b = cells.weight.shape[1:]
    levels = sum(o.is_level for o in record.observations)
    counts = sum(o.is_count for o in record.observations)
    capacity_kg = record.capacity_kg
    # a dense batch well blown in can exceed the nominal capacity
    most_kg = np.inf if capacity_kg is None else capacity_kg * (1 + 3 * assumptions.volume_rel_sd)
    runs = counts - sum(record.restarted)
    notes = [c.sentence for c in changes] + [f.sentence for f in flags]
    if levels == 0:
        notes.append(words.level_guessed())
    posterior = Posterior(
        as_of=record.as_of,
        weight=cells.weight[0].ravel(),
        base_c=np.broadcast_to(cells.base_c[0], (s, b)).ravel(),
        noise=np.repeat(cells.noise, b, axis=0),
        mean=cells.mean[0].reshape(s * b, QUANTITIES),
        cov=cells.cov[0].reshape(s * b, QUANTITIES, QUANTITIES),
        floor_kg=float(cells.floor_kg[0]),
        capacity_kg=capacity_kg,
        most_kg=float(most_kg),
        volume_error=float(cells.bias[0]),
        scale_error=tuple(zip(record.meters, map(float, cells.scale[0]), strict=True)),
        readings=levels + counts,
        intervals=max(0, levels - 1) + max(0, runs),
        log_evidence=float(cells.log_evidence[0]),
        flags=flags,
        changes=changes,
        fit=fit_of(case, cells, flags),
        filling=filling_of(record, case.filling),
    )
    if posterior.level_contradicts:
        notes.append(words.level_impossible(below=float(posterior.moments()[0][3]) < 0))
    return replace(posterior, notes=tuple(notes))
