"""How much longer the road is than the crow flies: published, or learned from the lorries' odometers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.roads.great_circle import checked_places, great_circle_km
from fuelplan.messages import Message, Number, Own, Quantity, Value, counted_message, message

Floats = NDArray[np.float64]

DETOUR = 1.343
DETOUR_SOURCE = message(
    "roads.mean_detour",
    "great circle × 1.343, the mean of 300 European cities (Environment and Planning B 2023, doi "
    "10.1177/23998083231168870)",
)

# Road / great circle by country (Ballou et al. 2002; values from memory).
NATIONAL_DETOURS = {"DE": 1.32, "PL": 1.21, "IT": 1.18, "FR": 1.65, "GB": 1.40}

# How far one region's factor may lie from the mean: about the spread of the national factors above.
_PRIOR_SD = 0.15
# How far one day's tour may lie from its region's factor while too few tours tell (our assumption).
_TOUR_SD = 0.12
_LEAST_TOUR_SD = 0.02
_Z90 = 1.2815515655446004
# A tour's median is less sure than its mean by sqrt(pi / 2) for normal errors.
_MEDIAN_LOSS = float(np.sqrt(np.pi / 2.0))
# Roads are never shorter than the great circle (1 % for the sphere and the odometer), and a tour of more than
# three times its length holds more than the stops that were written down.
_LEAST, _MOST = 0.99, 3.0
_LEAST_KM = 5.0


@dataclass(frozen=True)
class Tour:
    """One lorry's day or leg: the places in the order they were driven to, and the odometer's kilometres.

    `lat`, `lon` have the shape (places,), the depot at the beginning and at the end included. `name` is for
    messages, such as "2025-01-14, tanker 2".
    """

    lat: Sequence[float]
    lon: Sequence[float]
    odometer_km: float
    name: str = ""


@dataclass(frozen=True)
class Detour:
    """A detour factor with its doubt.

    Attributes
    ----------
    factor, p10, p90
        Road / great circle; the region's factor lies between p10 and p90 in 8 of 10 cases.
    tours
        How many tours it was learned from; 0 = the published figure.
    left_out
        The tours that could not be used, each with the reason.
    source
        Where the factor comes from, for the table of distances.
    """

    factor: float
    p10: float
    p90: float
    tours: int
    left_out: tuple[Message, ...]
    source: Message


def weighted_median(values: Floats, weights: Floats) -> float:
    """Return the value with half of the weight on either side."""
    order = np.argsort(values, kind="stable")
    v, w = values[order], weights[order]
    cumulated = np.cumsum(w) - 0.5 * w
    return float(np.interp(0.5 * w.sum(), cumulated, v))


def by_detour(factor: float) -> Message:
    """Return that distances are great circles × a factor."""
    return message("roads.by_detour", "great circle × {factor}", factor=Own(f"{factor:g}"))


def _ratio(tour: Tour, name: Value) -> tuple[float, float] | Message:
    """Return (road / great circle, great circle km) of a tour, or why it cannot be used."""
    lat, lon = checked_places(tour.lat, tour.lon)
    if len(lat) < 2:
        return message("roads.tour_places", "{tour} has fewer than two places", tour=name)
    if not (np.isfinite(tour.odometer_km) and tour.odometer_km > 0):
        return message(
            "roads.tour_odometer", "{tour} has an odometer distance of {road}",
            tour=name, road=Quantity(tour.odometer_km, "distance", 3),
        )  # fmt: skip
    straight = float(great_circle_km(lat[:-1], lon[:-1], lat[1:], lon[1:]).sum())
    if straight < _LEAST_KM:
        return message(
            "roads.tour_short",
            "{tour} is only {road} long as the crow flies; at least {least} tell anything",
            tour=name, road=Quantity(straight, "distance"), least=Quantity(_LEAST_KM, "distance"),
        )  # fmt: skip
    ratio = tour.odometer_km / straight
    if ratio < _LEAST:
        return message(
            "roads.tour_below_crow",
            "{tour} is {road} long as the crow flies, the odometer says {odometer}: a stop was not driven "
            "to, or the reading is wrong",
            tour=name, road=_whole(straight), odometer=_whole(tour.odometer_km),
        )  # fmt: skip
    if ratio > _MOST:
        return message(
            "roads.tour_too_long",
            "{tour} is {road} long as the crow flies, the odometer says {odometer}: places are missing from "
            "the tour, or the reading is wrong",
            tour=name, road=_whole(straight), odometer=_whole(tour.odometer_km),
        )  # fmt: skip
    return ratio, straight


def _whole(km: float) -> Quantity:
    return Quantity(km, "distance", 3, decimals=0)


def learn_detour(tours: Sequence[Tour], prior: float = DETOUR) -> Detour:
    """Return the detour factor that odometer readings show.

    Parameters
    ----------
    tours
        Days or legs, each with its places in order and the kilometres driven.
    prior
        The factor believed before any tour was seen: the published mean, or a national one.

    Returns
    -------
    Detour
        The median of the tours' factors weighted by their length, so that a forgotten stop or a mistyped
        odometer does little; joined with `prior` by their precisions, so that three tours do not overrule 300
        cities and thirty do. Tours that cannot be are left out and named.

    Raises
    ------
    ValueError
        When a place is no place on earth.
    """
    ratios, lengths, left_out = [], [], []
    for i, tour in enumerate(tours):
        number = message("roads.tour", "tour {number}", number=i + 1)
        found = _ratio(tour, Own(tour.name) if tour.name else number)
        if isinstance(found, Message):
            left_out.append(found)
        else:
            ratios.append(found[0])
            lengths.append(found[1])
    if not ratios:
        source = DETOUR_SOURCE if prior == DETOUR else by_detour(prior)
        half = _Z90 * _PRIOR_SD
        return Detour(prior, max(1.0, prior - half), prior + half, 0, tuple(left_out), source)
    r, w = np.array(ratios), np.array(lengths)
    centre = weighted_median(r, w)
    # The spread seen, mixed with the spread assumed while there are few tours.
    seen = 1.4826 * weighted_median(np.abs(r - centre), w)
    sd = float(np.sqrt((4.0 * _TOUR_SD**2 + len(r) * seen**2) / (4.0 + len(r))))
    effective = float(w.sum() ** 2 / (w**2).sum())
    error = max(sd, _LEAST_TOUR_SD) * _MEDIAN_LOSS / np.sqrt(effective)
    trust = 1.0 / error**2
    believed = 1.0 / _PRIOR_SD**2
    factor = float((trust * centre + believed * prior) / (trust + believed))
    half = _Z90 / float(np.sqrt(trust + believed))
    source = counted_message(
        "roads.learned_detour",
        "great circle × {factor}, learned from {n} tour", "great circle × {factor}, learned from {n} tours",
        len(r), factor=Number(factor, 3),
    )  # fmt: skip
    return Detour(max(1.0, factor), max(1.0, factor - half), factor + half, len(r), tuple(left_out), source)
