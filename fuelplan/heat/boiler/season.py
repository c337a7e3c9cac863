"""From the test stand to a year: part load, stand-by, starts, electricity, and what they cost."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.heat.boiler.boiler import Boiler, BoilerError
from fuelplan.messages import Listed, Message, Number, Percent, Quantity, message

Floats = NDArray[np.float64]

# Share of the season at each load, x = .05 … .95 of the rated output. French 3CL-DPE 2021, §13.2.
LOADS = np.arange(0.05, 1.0, 0.1)
LOAD_WEIGHTS = np.array([0.10, 0.25, 0.20, 0.15, 0.10, 0.10, 0.05, 0.025, 0.025, 0.0])

SYSTEM_WATER_L_PER_KW = 10.0  # boiler and heating system without a buffer, common practice
SWITCHING_K = 10.0  # between switching on and off, common practice
WATER_KWH_PER_L_K = 1.163e-3


@dataclass(frozen=True)
class BoilerSeason:
    """A boiler through a run of days: heat, fuel and where the rest went.

    Attributes
    ----------
    useful_kwh, fuel_kwh
        Heat given and net energy of the fuel burned. [kWh]
    rated_loss_kwh
        Loss there would be at full-load efficiency. [kWh]
    part_load_loss_kwh
        More (or less) of it because the boiler rarely runs at full load. [kWh]
    standby_loss_kwh, start_loss_kwh
        Of the warm boiler between burns, and of the starts. [kWh]
    unmet_kwh
        Heat asked for beyond the rated output. [kWh]
    starts, burning_h, days
        How often it lit, how long it burned, and over how many days.
    electricity_kwh
        Fan, auger, controls and ignition. [kWh]
    laboratory_efficiency
        At full load on the test stand, 0..1.
    tested, doubt
        Whether that is a test figure of this boiler, and how far `efficiency` may be off, as a share.
    mean_load_share
        Mean output while heat is asked for, over the rated.
    """

    useful_kwh: float
    fuel_kwh: float
    rated_loss_kwh: float
    part_load_loss_kwh: float
    standby_loss_kwh: float
    start_loss_kwh: float
    unmet_kwh: float
    starts: float
    burning_h: float
    days: float
    electricity_kwh: float
    laboratory_efficiency: float
    mean_load_share: float
    tested: bool
    doubt: float

    @property
    def efficiency(self) -> float:
        """Seasonal efficiency: heat given over fuel burned, 0..1."""
        return self.useful_kwh / self.fuel_kwh

    @property
    def starts_per_day(self) -> float:
        """Mean over all days."""
        return self.starts / self.days

    @property
    def why(self) -> Message:
        """Why the year lies below the laboratory, in a sentence with figures."""
        stand, year = Percent(self.laboratory_efficiency), Percent(self.efficiency)
        asked, losses = Percent(self.mean_load_share), Listed(tuple(self._losses()), ", ")
        if self.tested:
            return message(
                "boiler.why_tested",
                "On the test stand this boiler turns {stand} of the fuel into heat, over the year {year}: on "
                "average the house asks for only {asked} of its rated output; {losses}.",
                stand=stand,
                year=year,
                asked=asked,
                losses=losses,
            )
        return message(
            "boiler.why_assumed",
            "Its test figure is not known: it is assumed that it turns {stand} of the fuel into heat on the "
            "test "
            "stand, over the year {year} (give or take {points} points): on average the house asks for only "
            "{asked} of its rated output; {losses}.",
            stand=stand,
            year=year,
            points=Number(100 * self.efficiency * self.doubt),
            asked=asked,
            losses=losses,
        )

    def _losses(self) -> list[Message]:
        """Return what costs fuel between the laboratory and the year."""
        losses = [
            message(
                "boiler.starts_cost",
                "starting about {starts} times a year costs {share} of the fuel",
                starts=about(self.starts * 365.25 / self.days),
                share=Percent(self.start_loss_kwh / self.fuel_kwh, 1),
            ),
            message(
                "boiler.standby_costs",
                "staying warm between burns {share}",
                share=Percent(self.standby_loss_kwh / self.fuel_kwh, 1),
            ),
        ]
        if self.part_load_loss_kwh > 0:
            losses.append(
                message(
                    "boiler.part_load_costs",
                    "burning below full load {share}",
                    share=Percent(self.part_load_loss_kwh / self.fuel_kwh, 1),
                )
            )
        return losses

    @property
    def answer_on_size(self) -> Message:
        """Whether the boiler covers the load."""
        if self.unmet_kwh <= 1e-9:
            return message("boiler.covers", "The boiler covers the load on every day looked at.")
        return message(
            "boiler.smaller_than_load",
            "The boiler is smaller than the load: over the days looked at {missing} are missing ({share} of "
            "the "
            "heat). A larger boiler, a second source of heat or a smaller load is needed; a heating engineer "
            "should check the heat load.",
            missing=Quantity.written(self.unmet_kwh, "kWh"),
            share=Percent(self.unmet_kwh / (self.unmet_kwh + self.useful_kwh), 1),
        )


def about(value: float) -> Number:
    """Return a number to two digits, as much as such figures are good for."""
    if value == 0:
        return Number(0)
    digits = 1 - floor(log10(abs(value)))
    return Number(round(value, digits), max(digits, 0))


def seasonal_efficiency(boiler: Boiler, load_kw: ArrayLike | None = None, *, buffer_l: float = 0.0) -> float:
    """Return useful heat over fuel through a season, 0..1: never the laboratory figure.

    Source: French 3CL-DPE 2021, §13.2, for the loads without weather: Rg = ΣP / (Σ(P + Qx) + 0.45 Q0).

    Parameters
    ----------
    boiler
        The boiler.
    load_kw
        Mean load of each day (or hour), any shape; None: the season of the standard's load weights. [kW]
    buffer_l
        Buffer that spreads the burns. [l]

    Returns
    -------
    float
        Of net energy. [0..1]

    Raises
    ------
    BoilerError
        A load as `season` refuses it.
    """
    if load_kw is not None:
        return season(boiler, load_kw, buffer_l=buffer_l).efficiency
    output = LOADS * boiler.rated_kw
    useful = float((LOAD_WEIGHTS * output).sum())
    spent = float((LOAD_WEIGHTS * (output + boiler.loss_kw(output))).sum()) + 0.45 * boiler.standby_kw
    return useful / spent


def starts_per_hour(load_kw: ArrayLike, least_kw: float, swing_kwh: float) -> Floats:
    """Return starts an hour of a boiler that gives at least `least_kw` into water that holds `swing_kwh`.

    Burning fills the water with least - load, then the load empties it: one cycle takes swing / (least -
    load) + swing / load hours. At or above the least output it burns on without stopping.

    Parameters
    ----------
    load_kw
        Mean load, any shape. [kW]
    least_kw
        Lowest output of the boiler. [kW]
    swing_kwh
        Heat that the water takes between switching on and off. [kWh]

    Returns
    -------
    array
        Shape of `load_kw`; 0 at no load and from the least output on. [1/h]
    """
    load = np.clip(np.asarray(load_kw, dtype=np.float64), 0.0, least_kw)
    return load * (least_kw - load) / (swing_kwh * least_kw)


def season(
    boiler: Boiler,
    load_kw: ArrayLike,
    *,
    interval_h: float = 24.0,
    buffer_l: float = 0.0,
    buffer_swing_k: float = 30.0,
) -> BoilerSeason:
    """Run a boiler that lights by itself through mean loads, and say where its fuel went.

    At or above its least output it modulates; below, it burns at the least output for the share of the
    time it takes, is warm in between (stand-by loss, while there is any load on the day), and pays for
    every start.

    Parameters
    ----------
    boiler
        The boiler.
    load_kw
        Mean load of each interval, any shape, zero or more. [kW]
    interval_h
        Length of an interval; days hide the peaks within them, hours do not. [h]
    buffer_l, buffer_swing_k
        Water of the buffer, and kelvin between its switching points. Without a buffer 10 l per kW swing by
        10 K (common practice). [l, K]

    Returns
    -------
    BoilerSeason
        Sums over all intervals: heat given, fuel, each loss, starts, what could not be given. [kWh]

    Raises
    ------
    BoilerError
        A load that is empty, has gaps, lies below zero or is zero throughout.
    """
    load = np.asarray(load_kw, dtype=np.float64)
    if load.size == 0 or np.isnan(load).any() or (load < 0).any():
        raise BoilerError("the load must be zero or more kW on every day, without gaps")
    given = np.minimum(load, boiler.rated_kw)
    if not (given > 0).any():
        raise BoilerError(
            message(
                "boiler.no_heat", "there is no heat to give on any day, so there is no seasonal efficiency"
            )
        )
    swing_kwh = WATER_KWH_PER_L_K * (
        SYSTEM_WATER_L_PER_KW * boiler.rated_kw * SWITCHING_K + buffer_l * buffer_swing_k
    )
    running_kw = np.maximum(given, boiler.least_kw)
    burning = given / running_kw  # share of the interval with a fire
    starts = starts_per_hour(given, boiler.least_kw, swing_kwh) * interval_h
    asked = given > 0
    lost = boiler.loss_kw(running_kw) * burning
    # Every loss at full-load efficiency, so that the rest can be told apart from it.
    rated = given * (1.0 / boiler.full_load_efficiency - 1.0)
    standby = boiler.standby_kw * (1.0 - burning) * asked
    hours = interval_h
    watts = boiler.running_w * burning + boiler.idle_w
    useful_kwh = float(given.sum()) * hours
    start_kwh = float(starts.sum()) * boiler.start_kwh
    return BoilerSeason(
        useful_kwh=useful_kwh,
        fuel_kwh=useful_kwh + float((lost + standby).sum()) * hours + start_kwh,
        rated_loss_kwh=float(rated.sum()) * hours,
        part_load_loss_kwh=float((lost - rated).sum()) * hours,
        standby_loss_kwh=float(standby.sum()) * hours,
        start_loss_kwh=start_kwh,
        unmet_kwh=float((load - given).sum()) * hours,
        starts=float(starts.sum()),
        burning_h=float(burning.sum()) * hours,
        days=load.size * hours / 24.0,
        electricity_kwh=float(watts.sum()) * hours / 1000.0 + float(starts.sum()) * boiler.ignition_kwh,
        laboratory_efficiency=boiler.full_load_efficiency,
        mean_load_share=float(given[asked].mean()) / boiler.rated_kw,
        tested=boiler.measured,
        doubt=boiler.doubt,
    )
