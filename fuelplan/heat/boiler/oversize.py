"""What a too-large boiler costs, against one that fits the same load."""

from __future__ import annotations

from dataclasses import dataclass, replace

from numpy.typing import ArrayLike

from fuelplan.heat.boiler.boiler import Boiler, BoilerError, standby_loss_kw
from fuelplan.heat.boiler.season import BoilerSeason, season
from fuelplan.messages import Message, Number, Percent, Quantity, message

DAYS_PER_YEAR = 365.25


@dataclass(frozen=True)
class OversizeCost:
    """A boiler beside one of the right size, per year of the load given.

    Attributes
    ----------
    as_is, right
        Both seasons.
    right_kw
        Rated output of the boiler compared with. [kW]
    fuel_more_kwh, electricity_more_kwh, starts_more
        What the larger one takes more in a year; negative where it takes less.
    money_more
        The same at the prices given, in their money.
    """

    as_is: BoilerSeason
    right: BoilerSeason
    right_kw: float
    fuel_more_kwh: float
    electricity_more_kwh: float
    starts_more: float
    money_more: float

    @property
    def sentence(self) -> Message:
        """What the larger boiler takes more, for people; money left to the caller's currency."""
        right = Quantity.written(self.right_kw, "kW", "g")
        if self.right.unmet_kwh > 1e-9:
            return message(
                "boiler.no_fair_comparison",
                "A boiler of {right} would be smaller than the load: no comparison is fair.",
                right=right,
            )
        starts, fewer = Number(self.as_is.starts_per_day, 1), Number(self.right.starts_per_day, 1)
        amount = Quantity(abs(self.fuel_more_kwh), "energy")
        share = Percent(abs(self.fuel_more_kwh) / (self.right.fuel_kwh / self.right_years))
        if self.fuel_more_kwh >= 0:
            return message(
                "boiler.too_large_more_fuel",
                "Against a boiler of {right} this one starts {starts} instead of {fewer} times a day and "
                "takes about {amount} more fuel a year ({share}).",
                right=right,
                starts=starts,
                fewer=fewer,
                amount=amount,
                share=share,
            )
        return message(
            "boiler.too_large_less_fuel",
            "Against a boiler of {right} this one starts {starts} instead of {fewer} times a day and takes "
            "about {amount} less fuel a year ({share}).",
            right=right,
            starts=starts,
            fewer=fewer,
            amount=amount,
            share=share,
        )

    @property
    def right_years(self) -> float:
        """Years the seasons cover."""
        return self.right.days / DAYS_PER_YEAR


def cost_of_too_large(
    boiler: Boiler,
    right_kw: float,
    load_kw: ArrayLike,
    *,
    fuel_price_per_kwh: float = 0.0,
    electricity_price_per_kwh: float = 0.0,
    buffer_l: float = 0.0,
    interval_h: float = 24.0,
) -> OversizeCost:
    """Run the same load through the boiler and one of `right_kw` of the same test-stand figures.

    Only the size differs, so that the difference is the price of the size alone; stand-by, starts and
    electricity follow it.

    Parameters
    ----------
    boiler
        The boiler that is there.
    right_kw
        Output that would fit. [kW]
    load_kw
        Mean load of each interval, any shape. [kW]
    fuel_price_per_kwh, electricity_price_per_kwh
        In one money. [money/kWh]
    buffer_l, interval_h
        As in `season`. [l, h]

    Returns
    -------
    OversizeCost
        Differences for a year of the load. [kWh, starts, money]

    Raises
    ------
    BoilerError
        `right_kw` is not above zero.
    """
    if not right_kw > 0:
        raise BoilerError(
            message(
                "boiler.right_output",
                "a boiler of {power} cannot be; write the output that fits, e.g. 12 kW",
                power=Quantity.written(right_kw, "kW", "g"),
            )
        )
    scale = right_kw / boiler.rated_kw
    standby = boiler.standby_kw * standby_loss_kw(right_kw) / standby_loss_kw(boiler.rated_kw)
    right = replace(
        boiler,
        rated_kw=right_kw,
        standby_kw=standby,
        start_kwh=boiler.start_kwh * scale,
        running_w=boiler.running_w * scale,
    )
    now = season(boiler, load_kw, interval_h=interval_h, buffer_l=buffer_l)
    fits = season(right, load_kw, interval_h=interval_h, buffer_l=buffer_l)
    years = now.days / DAYS_PER_YEAR
    fuel_more = (now.fuel_kwh - fits.fuel_kwh) / years
    electricity_more = (now.electricity_kwh - fits.electricity_kwh) / years
    return OversizeCost(
        as_is=now,
        right=fits,
        right_kw=right_kw,
        fuel_more_kwh=fuel_more,
        electricity_more_kwh=electricity_more,
        starts_more=(now.starts - fits.starts) / years,
        money_more=fuel_more * fuel_price_per_kwh + electricity_more * electricity_price_per_kwh,
    )
