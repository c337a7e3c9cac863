"""A boiler and its losses over load; efficiencies by age or class where a person has no own figures."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.heat import fuels
from fuelplan.messages import Listed, Message, Own, Quantity, Refusal, as_message, message

Floats = NDArray[np.float64]

# How far a season worked out from a test figure, from a usual figure of the years, or from the least that a
# class allows may be off, as a share of itself. The step from the least of one year to the usual of the next
# is 12 points, that between the boilers themselves hardly any. Our assumption.
MEASURED_DOUBT, USUAL_DOUBT, LEAST_DOUBT = 0.03, 0.05, 0.08
LAST_LEAST_YEAR = 2019


class BoilerError(Refusal):
    """Something said about a boiler cannot be; the sentence says what to write instead."""


OWN_FIGURES = message("boiler.own_figures", "own figures")


@dataclass(frozen=True)
class Boiler:
    """A wood boiler.

    Attributes
    ----------
    rated_kw
        Heat output at full load. [kW]
    fuel
        Name of a fuel in the registry.
    installed
        Year, None where not known.
    full_load_efficiency, half_load_efficiency
        Test-stand figures on net energy, 0..1.
    standby_kw
        Heat lost by the warm boiler while it does not burn. [kW]
    least_share
        Lowest output it can hold, as a share of the rated: 0.3 for fuel from a bulk store (the test's part
        load), common practice.
    start_kwh
        Fuel spent on a start and the burn-out after it that never becomes heat. A modelling choice: the
        energy of two minutes at full load. [kWh]
    running_w, idle_w
        Electricity of fan, auger and controls while burning, and of the controls alone. Common practice: 4
        W per kW, and 6 W. [W]
    ignition_kwh
        Electricity of one ignition: 300 W for 10 minutes, common practice. [kWh]
    how
        Where the efficiencies come from, for people.
    measured
        Whether the efficiencies are test figures of this boiler and no defaults.
    doubt
        How far the season's efficiency may be off, as a share (one standard deviation).
    """

    rated_kw: float
    fuel: str = fuels.usual().name
    installed: int | None = None
    full_load_efficiency: float = 0.90
    half_load_efficiency: float = 0.90
    standby_kw: float = 0.4
    least_share: float = 0.3
    start_kwh: float = 0.5
    running_w: float = 60.0
    idle_w: float = 6.0
    ignition_kwh: float = 0.05
    how: Message = OWN_FIGURES
    measured: bool = True
    doubt: float = MEASURED_DOUBT

    def __post_init__(self) -> None:
        """Refuse what no boiler can be."""
        if not 0 < self.rated_kw < 100_000:
            raise _no_output(self.rated_kw)
        if self.fuel not in fuels.names():
            raise BoilerError(
                message(
                    "boiler.fuel",
                    '"{fuel}" is not a valid fuel of a boiler here; write one of {names}',
                    fuel=Own(self.fuel),
                    names=Listed(tuple(map(Own, fuels.names())), ", "),
                )
            )
        # on net energy a condensing boiler may pass 1
        if not 0.3 <= self.full_load_efficiency <= 1.09:
            raise BoilerError(
                message(
                    "boiler.full_load_efficiency",
                    "an efficiency of {share} at full load cannot be; write a share, e.g. 0.92",
                    share=Own(f"{self.full_load_efficiency:g}"),
                )
            )
        if not 0.3 <= self.half_load_efficiency <= 1.09:
            raise BoilerError(
                message(
                    "boiler.half_load_efficiency",
                    "an efficiency of {share} at half load cannot be; write a share, e.g. 0.92",
                    share=Own(f"{self.half_load_efficiency:g}"),
                )
            )
        if not 0 < self.least_share <= 1:
            raise BoilerError(
                message(
                    "boiler.least_share",
                    "a least output of {share} cannot be; write a share, e.g. 0.3",
                    share=Own(f"{self.least_share:g}"),
                )
            )
        if min(self.standby_kw, self.start_kwh, self.running_w, self.idle_w, self.ignition_kwh) < 0:
            raise BoilerError(
                message(
                    "boiler.negative_losses",
                    "losses and electricity of a boiler cannot be negative; write zero or more",
                )
            )

    @classmethod
    def typical(
        cls,
        rated_kw: float,
        fuel: str = fuels.usual().name,
        *,
        installed: int | None = None,
        boiler_class: int | None = None,
        full_load_efficiency: float | None = None,
        half_load_efficiency: float | None = None,
        standby_kw: float | None = None,
        least_share: float | None = None,
    ) -> Boiler:
        """Return a boiler from what a person knows: own figures, its year, its class, or 2015.

        Parameters
        ----------
        rated_kw, fuel
            As in `Boiler`. [kW, -]
        installed, boiler_class
            Year, and class of EN 303-5; the year goes first.
        full_load_efficiency, half_load_efficiency
            Own test figures, which go before both. [0..1]
        standby_kw, least_share
            None for the usual. [kW, 0..1]

        Returns
        -------
        Boiler
            With where its figures come from in `how` and their doubt in `doubt`.

        Raises
        ------
        BoilerError
            A size, fuel, year, class or share that cannot be.
        """
        cls(rated_kw, fuel)  # refuses size and fuel before logarithms are taken
        if installed is None and boiler_class is not None:
            full = half = class_minimum_efficiency(rated_kw, boiler_class)
            doubt = LEAST_DOUBT
            how = message(
                "boiler.least_of_class",
                "the least that EN 303-5 class {boiler_class} allows",
                boiler_class=boiler_class,
            )
        else:
            full, half = efficiencies_by_age(rated_kw, fuel, installed or UNKNOWN_YEAR)
            how, doubt = _told_by_age(fuel, installed)
        measured = full_load_efficiency is not None or half_load_efficiency is not None
        if measured:
            full = full_load_efficiency or half_load_efficiency or full
            half = half_load_efficiency or full
            how, doubt = OWN_FIGURES, MEASURED_DOUBT
        return cls(
            rated_kw=rated_kw,
            fuel=fuel,
            installed=installed,
            full_load_efficiency=full,
            half_load_efficiency=half,
            standby_kw=standby_loss_kw(rated_kw) if standby_kw is None else standby_kw,
            least_share=fuels.fuel(fuel).least_share if least_share is None else least_share,
            start_kwh=rated_kw * 2.0 / 60.0,
            running_w=4.0 * rated_kw,
            how=how,
            measured=measured,
            doubt=doubt,
        )

    @property
    def least_kw(self) -> float:
        """Lowest output it can hold. [kW]"""
        return self.least_share * self.rated_kw

    def loss_kw(self, output_kw: ArrayLike) -> Floats:
        """Return the loss while giving `output_kw` (0..rated): two straight lines meeting at half load. [kW]

        Below half load the line starts at 0.15 of the stand-by loss. Source: French 3CL-DPE 2021, §13.2.

        Parameters
        ----------
        output_kw
            Heat given, any shape. [kW]

        Returns
        -------
        array
            Shape of `output_kw`. [kW]
        """
        x = np.asarray(output_kw, dtype=np.float64) / self.rated_kw
        half = 0.5 * self.rated_kw * (1.0 / self.half_load_efficiency - 1.0)
        full = self.rated_kw * (1.0 / self.full_load_efficiency - 1.0)
        low = 0.15 * self.standby_kw
        return np.where(x < 0.5, low + (half - low) * x / 0.5, 2.0 * half - full + (full - half) * x / 0.5)

    def efficiency(self, output_kw: ArrayLike) -> Floats:
        """Return useful heat over fuel while burning at `output_kw`, without starts; zero at zero output.

        Parameters
        ----------
        output_kw
            Heat given, any shape. [kW]

        Returns
        -------
        array
            Shape of `output_kw`. [0..1]
        """
        output = np.asarray(output_kw, dtype=np.float64)
        return np.asarray(output / np.maximum(output + self.loss_kw(output), 1e-12))


def standby_loss_kw(rated_kw: float) -> float:
    """Return the stand-by loss of a wood boiler of 1995 or later: 0.085 P^0.6. [kW]

    Source: French 3CL-DPE 2021, §13.2.

    Parameters
    ----------
    rated_kw
        Heat output at full load. [kW]

    Returns
    -------
    float
        Heat lost while warm without a fire. [kW]
    """
    return 0.085 * float(rated_kw**0.6)


UNKNOWN_YEAR = 2015  # taken where nobody knows the year (our assumption)


def _no_output(rated_kw: float) -> BoilerError:
    return BoilerError(
        message(
            "boiler.output",
            "a boiler of {power} cannot be; write its rated output, e.g. 15 kW",
            power=Quantity.written(rated_kw, "kW", "g"),
        )
    )


def _told_by_age(fuel: str, installed: int | None) -> tuple[Message, float]:
    """Return where an efficiency by age comes from, and its doubt as a share."""
    burned = fuels.fuel(fuel)
    kind, source = as_message(burned.one), as_message(burned.lines_source)
    if burned.inferred_until is not None and (installed or UNKNOWN_YEAR) <= burned.inferred_until:
        source = message(
            "boiler.inferred",
            "{source}, inferred for {kind} boilers of these years",
            source=source,
            kind=kind,
        )
    if installed is None:
        return message(
            "boiler.year_unknown",
            "the least that a {kind} boiler of about {year} has to reach ({source}); say its year for a "
            "better figure",
            kind=kind,
            year=Own(str(UNKNOWN_YEAR)),
            source=source,
        ), LEAST_DOUBT
    year = Own(str(installed))
    if installed <= LAST_LEAST_YEAR:
        return message(
            "boiler.least_of_year",
            "the least that a {kind} boiler of {year} has to reach ({source})",
            kind=kind,
            year=year,
            source=source,
        ), LEAST_DOUBT
    return message(
        "boiler.usual_of_year",
        "usual for a {kind} boiler of {year} ({source})",
        kind=kind,
        year=year,
        source=source,
    ), USUAL_DOUBT


def efficiencies_by_age(rated_kw: float, fuel: str, installed: int) -> tuple[float, float]:
    """Return test-stand efficiencies at full and half load for a boiler of that year, 0..1.

    Source: French 3CL-DPE 2021, §13.2; each fuel's module says which lines are printed and which inferred.

    Parameters
    ----------
    rated_kw
        Heat output at full load. [kW]
    fuel
        Name of a fuel in the registry.
    installed
        Year, 1900 to 2100.

    Returns
    -------
    tuple of float
        At full and at half load, of net energy. [0..1]

    Raises
    ------
    BoilerError
        Another year.
    """
    if not 1900 <= installed <= 2100:
        raise BoilerError(
            message(
                "boiler.year",
                "installed in {year} cannot be; write the year in four digits, e.g. 2016",
                year=Own(str(installed)),
            )
        )
    return fuels.fuel(fuel).efficiencies(rated_kw, installed)


def class_minimum_efficiency(rated_kw: float, boiler_class: int) -> float:
    """Return the least full-load efficiency of EN 303-5:2012 class 3, 4 or 5, 0..1.

    Class 5 is a value from memory.

    Above 100 kW classes 4 and 5 stay at their value for 100 kW; class 3 does so above 300 kW (values from
    memory).

    Parameters
    ----------
    rated_kw
        Heat output at full load. [kW]
    boiler_class
        3, 4 or 5.

    Returns
    -------
    float
        Of net energy. [0..1]

    Raises
    ------
    BoilerError
        No output, or another class.
    """
    if not rated_kw > 0:
        raise _no_output(rated_kw)
    if boiler_class == 3:
        return (67.0 + 6.0 * log10(min(rated_kw, 300.0))) / 100.0
    lg = log10(min(rated_kw, 100.0))
    if boiler_class == 4:
        return (80.0 + 2.0 * lg) / 100.0
    if boiler_class == 5:
        return (87.0 + lg) / 100.0
    raise BoilerError(
        message(
            "boiler.no_class",
            "EN 303-5 has the classes 3, 4 and 5, not {boiler_class}; write one of them",
            boiler_class=boiler_class,
        )
    )
