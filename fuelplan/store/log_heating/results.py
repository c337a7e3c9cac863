"""What a run of log heating tells: every step, and every day."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.messages import Message, Percent, message
from fuelplan.store.log_heating.plant import Floats

COLD_KWH = 1.0  # less is not felt: a house holds 10 to 40 kWh for every kelvin, common practice


@dataclass(frozen=True)
class HeatLedger:
    """Every step, arrays of shape (steps, paths): heat in kWh, fuel in kg."""

    load_kwh: Floats
    delivered_kwh: Floats
    log_heat_kwh: Floats
    pellet_heat_kwh: Floats
    boiler_loss_kwh: Floats
    buffer_loss_kwh: Floats
    dumped_kwh: Floats
    buffer_kwh: Floats
    lack_kwh: Floats
    spared_kwh: Floats
    logs_kg: Floats
    pellets_kg: Floats
    loads: Floats
    fires: Floats
    pellet_starts: Floats
    pellet_h: Floats


@dataclass(frozen=True)
class LogPelletRun:
    """What was burned on every day of every winter; all arrays have the shape (paths, days).

    Attributes
    ----------
    logs_kg, pellets_kg
        Burned. Logs count on the day they burn. [kg]
    loads
        Full loads lit; a half load counts 0.5.
    fires
        Times somebody loaded, whole or half.
    log_heat_kwh, pellet_heat_kwh
        Useful heat from each. [kWh]
    dumped_kwh
        Heat the buffer could not take. [kWh]
    lack_kwh
        Heat the house lacks at the end of the day: above zero the house is cooler than asked. [kWh]
    pellet_starts, pellet_h
        Ignitions, and hours of fire.
    ledger
        Every step, where it was asked for.
    """

    logs_kg: Floats
    pellets_kg: Floats
    loads: Floats
    fires: Floats
    log_heat_kwh: Floats
    pellet_heat_kwh: Floats
    dumped_kwh: Floats
    lack_kwh: Floats
    pellet_starts: Floats
    pellet_h: Floats
    ledger: HeatLedger | None = None

    @property
    def answer_on_size(self) -> Message:
        """Whether logs and pellets keep the house as warm as asked."""
        cold = self.lack_kwh > COLD_KWH
        if not cold.any():
            return message(
                "logs.warm_as_asked",
                "Logs and pellets keep the house as warm as asked on every day looked at.",
            )
        return message(
            "logs.colder_than_asked",
            "On {days} of the days looked at the boiler cannot follow and the house is colder than asked (in "
            "{winters} of the winters). Loading at other hours, pellets for the rest or a larger boiler "
            "would help; a heating engineer should check the heat load.",
            days=Percent(float(cold.mean()), 1),
            winters=Percent(float(cold.any(axis=1).mean())),
        )
