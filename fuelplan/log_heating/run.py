"""Logs, pellets, buffer and house, step by step for many winters at once.

In every step and winter (all in kWh):

- fuel of logs and pellets = useful heat + losses of the boiler,
- useful heat = heat delivered + rise of the buffer + loss of the buffer + heat dumped,
- load = heat delivered + rise of the house's lack + loss the cooler house does not have.

The house's lack is heat it should hold and does not: it cools a little when the boiler cannot follow,
loses less by its time constant, and is warmed up again. Dumped is heat beyond a full buffer, which a
boiler must give off through its safety heat exchanger: a load is only lit where it fits, so it stays at
zero unless the house takes less than was expected.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.log_heating.plant import Bools, Floats, LogHeatingError, LogPelletBoiler

EXPECTED_TAKE = 0.8  # of the present load, counted on while logs burn; a modelling choice on the careful side


@dataclass(frozen=True)
class Ledger:
    """Every step, arrays of shape (steps, paths): heat in kWh, fuel in kg; see the module for the three
    balances.
    """

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
    log_heat_kwh: Floats
    pellet_heat_kwh: Floats
    dumped_kwh: Floats
    lack_kwh: Floats
    pellet_starts: Floats
    pellet_h: Floats
    ledger: Ledger | None = None


_DAILY = (
    "logs_kg",
    "pellets_kg",
    "loads",
    "log_heat_kwh",
    "pellet_heat_kwh",
    "dumped_kwh",
    "pellet_starts",
    "pellet_h",
)


def run(
    plant: LogPelletBoiler,
    load_kw: ArrayLike,
    may_load: Bools,
    *,
    steps_per_day: int = 24,
    most_loads_a_day: int = 4,
    half_loads: bool = True,
    buffer_share: float = 0.5,
    logs_kg: ArrayLike = np.inf,
    pellets_kg: ArrayLike = np.inf,
    house_h: float = 80.0,
    keep_steps: bool = False,
) -> LogPelletRun:
    """Play boiler, buffer and house through every step of every winter.

    Parameters
    ----------
    plant
        The boiler, its load of logs and its buffer.
    load_kw
        Heat the house asks for, hot water included, shape (paths, steps); see `spread_over_day`. [kW]
    may_load
        Whether somebody would load logs, shape (paths, steps); see `LoadingRule.may_load`.
    steps_per_day
        24 for hours, 96 for quarters.
    most_loads_a_day, half_loads
        As in `LoadingRule`.
    buffer_share
        Usable heat at the start, share of the buffer's capacity.
    logs_kg, pellets_kg
        Stock at the start, scalar or (paths,); nothing comes in. [kg]
    house_h
        Time constant of the house. [h]
    keep_steps
        Keep the ledger of every step.

    Raises
    ------
    LogHeatingError
        Shapes that do not match, gaps or negative loads.
    """
    load = np.atleast_2d(np.asarray(load_kw, dtype=np.float64))
    may = np.atleast_2d(may_load)
    if may.shape != load.shape:
        raise LogHeatingError(f"load has the shape {load.shape}, may_load {may.shape}; they must be the same")
    if load.shape[1] % steps_per_day:
        raise LogHeatingError(f"{load.shape[1]} steps are no whole days of {steps_per_day}")
    if np.isnan(load).any() or (load < 0).any():
        raise LogHeatingError("the load must be zero or more kW in every step, without gaps")
    state = _State.start(plant, load.shape[0], buffer_share, logs_kg, pellets_kg)
    step = _Stepper(plant, 24.0 / steps_per_day, house_h, most_loads_a_day, half_loads)
    names = [f.name for f in fields(Ledger)]
    steps = np.empty((len(names), load.shape[1], load.shape[0]))
    by_step, may_by_step = np.ascontiguousarray(load.T), np.ascontiguousarray(may.T)
    for i in range(load.shape[1]):
        if i % steps_per_day == 0:
            state.loads_today[:] = 0.0
        step(state, by_step[i], may_by_step[i], steps[:, i])
    ledger = Ledger(*steps)
    return _by_day(ledger, steps_per_day, keep_steps)


def _by_day(ledger: Ledger, steps_per_day: int, keep_steps: bool) -> LogPelletRun:
    def days(values: Floats) -> Floats:
        return np.ascontiguousarray(values.reshape(-1, steps_per_day, values.shape[1]).sum(axis=1).T)

    sums = {name: days(getattr(ledger, name)) for name in _DAILY}
    lack = np.ascontiguousarray(ledger.lack_kwh[steps_per_day - 1 :: steps_per_day].T)
    return LogPelletRun(**sums, lack_kwh=lack, ledger=ledger if keep_steps else None)


@dataclass
class _State:
    """What carries over from step to step, arrays (paths,)."""

    buffer_kwh: Floats
    lack_kwh: Floats
    fire_kwh: Floats  # useful heat still to come from the logs that burn
    pellets_on: NDArray[np.bool_]
    loads_today: Floats
    logs_left_kg: Floats
    pellets_left_kg: Floats

    @classmethod
    def start(
        cls, plant: LogPelletBoiler, paths: int, share: float, logs_kg: ArrayLike, pellets_kg: ArrayLike
    ) -> _State:
        if not 0 <= share <= 1:
            raise LogHeatingError(f"a buffer filled to {share:g} cannot be; write a share from 0 to 1")

        def stock(kg: ArrayLike) -> Floats:
            values = np.array(np.broadcast_to(np.asarray(kg, dtype=np.float64), paths))
            if np.isnan(values).any() or (values < 0).any():
                raise LogHeatingError("a stock at the start must be zero or more kg")
            return values

        zero = np.zeros(paths)
        return cls(
            buffer_kwh=np.full(paths, share * plant.buffer.capacity_kwh),
            lack_kwh=zero.copy(),
            fire_kwh=zero.copy(),
            pellets_on=np.zeros(paths, dtype=np.bool_),
            loads_today=zero.copy(),
            logs_left_kg=stock(logs_kg),
            pellets_left_kg=stock(pellets_kg),
        )


class _Stepper:
    """One step of all winters; holds what does not change."""

    def __init__(
        self, plant: LogPelletBoiler, step_h: float, house_h: float, most_loads: int, half_loads: bool
    ) -> None:
        if not house_h > 0:
            raise LogHeatingError(f"a time constant of {house_h:g} h cannot be; write e.g. 80 h")
        b = plant.buffer
        self.plant, self.h = plant, step_h
        self.full = b.capacity_kwh
        self.loss_per_h = b.loss_coefficient_w_per_k / 1000.0 * (b.full_c - b.useful_from_c) / self.full
        self.loss_at_empty = b.loss_coefficient_w_per_k / 1000.0 * (b.useful_from_c - b.room_c)
        self.house_keeps = float(np.exp(-step_h / house_h))
        self.batch, self.log_kw = plant.load_useful_kwh, plant.log_kw
        self.batch_h = plant.load.burn_h if plant.load else 1.0
        self.batch_kg = plant.load.kg if plant.load else 0.0
        self.most_loads, self.sizes = float(most_loads), (1.0, 0.5) if half_loads else (1.0,)
        self.on, self.off = plant.pellets_on_share * self.full, plant.pellets_off_share * self.full

    def __call__(self, s: _State, load_kw: Floats, may: Bools, out: Floats) -> None:
        h = self.h
        load = load_kw * h
        lit = self._light(s, load_kw, may)
        log_heat = np.minimum(s.fire_kwh, self.log_kw * h)
        s.fire_kwh = s.fire_kwh - log_heat
        s.fire_kwh[s.fire_kwh < 1e-9 * self.batch] = 0.0
        wanted = load + s.lack_kwh
        standing = (self.loss_at_empty + self.loss_per_h * s.buffer_kwh) * h
        pellet_heat, pellet_h, starts, boiler_loss, pellets = self._pellets(s, wanted, standing, log_heat)
        useful = log_heat + pellet_heat
        delivered = np.minimum(wanted, useful + np.maximum(s.buffer_kwh - standing, 0.0))
        buffer = s.buffer_kwh + useful - delivered - standing
        dumped = np.maximum(buffer - self.full, 0.0)
        s.buffer_kwh = buffer - dumped
        lack = wanted - delivered
        s.lack_kwh = lack * self.house_keeps
        logs = log_heat * (self.batch_kg / self.batch) if self.batch else np.zeros_like(load)
        if self.plant.load is not None:
            boiler_loss = boiler_loss + logs * self.plant.load.kwh_per_kg - log_heat
        row = (
            load, delivered, log_heat, pellet_heat, boiler_loss, standing, dumped, s.buffer_kwh, s.lack_kwh,
            lack - s.lack_kwh, logs, pellets, lit, starts, pellet_h,
        )  # fmt: skip
        for i, values in enumerate(row):
            out[i] = values

    def _light(self, s: _State, load_kw: Floats, may: Bools) -> Floats:
        """Load logs where somebody would, the chamber is burned out and the buffer takes a whole or half
        load.
        """
        lit = np.zeros_like(load_kw)
        if self.plant.load is None or not may.any():
            return lit
        ready = may & (s.fire_kwh <= 0.0) & (load_kw > 0.0)
        free = self.full - s.buffer_kwh
        for size in self.sizes:
            room = free + EXPECTED_TAKE * load_kw * self.batch_h * size
            fits = (
                ready
                & (lit == 0.0)
                & (size * self.batch <= room)
                & (size * self.batch_kg <= s.logs_left_kg)
                & (s.loads_today + size <= self.most_loads)
            )
            lit[fits] = size
        s.fire_kwh = s.fire_kwh + lit * self.batch
        s.logs_left_kg = s.logs_left_kg - lit * self.batch_kg
        s.loads_today += lit
        s.pellets_on &= lit == 0.0
        return lit

    def _pellets(
        self, s: _State, wanted: Floats, standing: Floats, log_heat: Floats
    ) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Return heat, hours of fire, starts, loss and kg of the pellets in this step."""
        boiler, h = self.plant.pellet_side, self.h
        if boiler is None:
            nothing = np.zeros_like(wanted)
            return nothing, nothing, nothing, nothing, nothing
        rest = (s.fire_kwh <= 0.0) & (log_heat <= 0.0) & (s.pellets_left_kg > 0.0)
        # Looks ahead over the step: a quiet hour must not empty the buffer before the pellets come on.
        begin = rest & ~s.pellets_on & (s.buffer_kwh - wanted - standing < self.on)
        s.pellets_on = (s.pellets_on & rest) | begin
        to_off = np.maximum(wanted + standing + self.off - s.buffer_kwh, 0.0)
        power = np.clip(wanted / h + (to_off - wanted), boiler.least_kw, boiler.rated_kw)
        heat = np.where(s.pellets_on, np.minimum(power * h, to_off), 0.0)
        hours = heat / power
        loss = np.where(heat > 0.0, boiler.loss_kw(power), 0.0) * hours + begin * boiler.start_kwh
        kg = (heat + loss) / self.plant.pellet_kwh_per_kg
        short = kg > s.pellets_left_kg
        if short.any():  # the last pellets: what is left burns at the same efficiency
            part = np.where(short, s.pellets_left_kg / np.where(short, kg, 1.0), 1.0)
            heat, hours, loss, kg = heat * part, hours * part, loss * part, kg * part
        s.pellets_left_kg = s.pellets_left_kg - kg
        s.pellets_on &= to_off - heat > 1e-9
        return heat, hours, begin.astype(np.float64), loss, kg
