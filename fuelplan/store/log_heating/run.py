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

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.heat.boiler import Boiler
from fuelplan.messages import Own, message
from fuelplan.store.log_heating.plant import Bools, Floats, LogHeatingError, LogPelletBoiler
from fuelplan.store.log_heating.results import HeatLedger, LogPelletRun

# Modelling choices: pellets modulate so as to fill the buffer to their aim in about this time [h]; of the
# present load so much is counted on while logs burn, on the careful side.
FILL_H = 2.0
EXPECTED_TAKE = 0.8

_DAILY = (
    "logs_kg",
    "pellets_kg",
    "loads",
    "fires",
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
    if keep_steps:
        return _by_day(_play(step, state, load, may, steps_per_day), steps_per_day)
    # A week at a time, days kept only: thousands of winters in hours would not fit in memory at once.
    names, week = (*_DAILY, "lack_kwh"), 7 * steps_per_day
    parts: dict[str, list[Floats]] = {name: [] for name in names}
    for i in range(0, load.shape[1], week):
        days = _by_day(
            _play(step, state, load[:, i : i + week], may[:, i : i + week], steps_per_day), steps_per_day
        )
        for name in names:
            parts[name].append(getattr(days, name))
    whole = {name: np.concatenate(part, axis=1) for name, part in parts.items()}
    return LogPelletRun(**whole, ledger=None)


def _play(step: _Stepper, state: _State, load_kw: Floats, may: Bools, steps_per_day: int) -> HeatLedger:
    """Step through whole days, (paths, steps); `state` goes on from where it was left."""
    by_step, may_by_step = np.ascontiguousarray(load_kw.T), np.ascontiguousarray(may.T)
    columns = np.empty((len(by_step), len(_Stepper.COLUMNS), by_step.shape[1]))
    start_kwh = state.buffer_kwh
    for i in range(len(by_step)):
        if i % steps_per_day == 0:
            state.loads_today[:] = 0.0
        step(state, by_step[i], may_by_step[i], columns[i])
    return _ledger(step, by_step, start_kwh, dict(zip(_Stepper.COLUMNS, columns.swapaxes(0, 1), strict=True)))


def _ledger(step: _Stepper, load_kw: Floats, start_kwh: Floats, c: dict[str, Floats]) -> HeatLedger:
    """Work out of the steps what need not be known on the way: fuel, losses, what the cooler house spared."""
    plant = step.plant
    before = np.concatenate([start_kwh[None, :], c["buffer"][:-1]])
    nothing = np.zeros_like(load_kw)
    logs, boiler_loss, pellets, hours = nothing, nothing, nothing, nothing
    if plant.load is not None:
        logs = c["log_heat"] * (step.batch_kg / step.batch)
        boiler_loss = logs * plant.load.kwh_per_kg - c["log_heat"]
    if plant.pellet_side is not None:
        burned = c["pellet_heat"], c["pellet_kw"], c["starts"]
        boiler_loss = boiler_loss + pellet_loss_kwh(plant.pellet_side, *burned)
        pellets = pellet_kg(plant, plant.pellet_side, *burned)
        hours = c["pellet_heat"] / c["pellet_kw"]
    return HeatLedger(
        load_kwh=load_kw * step.h,
        delivered_kwh=c["delivered"],
        log_heat_kwh=c["log_heat"],
        pellet_heat_kwh=c["pellet_heat"],
        boiler_loss_kwh=boiler_loss,
        buffer_loss_kwh=step.standing_kwh(before),
        dumped_kwh=c["dumped"],
        buffer_kwh=c["buffer"],
        lack_kwh=c["lack"],
        spared_kwh=c["lack"] * (1.0 / step.house_keeps - 1.0),
        logs_kg=logs,
        pellets_kg=pellets,
        loads=c["loads"],
        fires=(c["loads"] > 0).astype(np.float64),
        pellet_starts=c["starts"],
        pellet_h=hours,
    )


def _by_day(ledger: HeatLedger, steps_per_day: int) -> LogPelletRun:
    def days(values: Floats) -> Floats:
        return np.ascontiguousarray(values.reshape(-1, steps_per_day, values.shape[1]).sum(axis=1).T)

    sums = {name: days(getattr(ledger, name)) for name in _DAILY}
    lack = np.ascontiguousarray(ledger.lack_kwh[steps_per_day - 1 :: steps_per_day].T)
    return LogPelletRun(**sums, lack_kwh=lack, ledger=ledger)


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
    pellets_limited: bool

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
            pellets_limited=bool(np.isfinite(stock(pellets_kg)).any()),
        )


class _Stepper:
    """One step of all winters; holds what does not change. It writes rows in the order of `COLUMNS`."""

    COLUMNS = (
        "log_heat",
        "pellet_heat",
        "pellet_kw",
        "starts",
        "loads",
        "delivered",
        "dumped",
        "buffer",
        "lack",
    )

    def __init__(
        self, plant: LogPelletBoiler, step_h: float, house_h: float, most_loads: int, half_loads: bool
    ) -> None:
        if not house_h > 0:
            raise LogHeatingError(
                message(
                    "logs.time_constant",
                    "a time constant of {hours} h cannot be; write e.g. 80 h",
                    hours=Own(f"{house_h:g}"),
                )
            )
        b = plant.buffer
        self.plant, self.h = plant, step_h
        self.full = b.capacity_kwh
        watts = b.loss_coefficient_w_per_k
        self.stand_slope = step_h * watts / 1000.0 * (b.full_c - b.useful_from_c) / self.full
        self.stand_empty = step_h * watts / 1000.0 * (b.useful_from_c - b.room_c)
        self.house_keeps = float(np.exp(-step_h / house_h))
        self.batch, self.log_kw = plant.load_useful_kwh, plant.log_kw
        self.batch_h = plant.load.burn_h if plant.load else 1.0
        self.batch_kg = plant.load.kg if plant.load else 0.0
        self.most_loads, self.sizes = float(most_loads), (1.0, 0.5) if half_loads else (1.0,)
        self.on, self.off = plant.pellets_on_share * self.full, plant.pellets_off_share * self.full
        self.aim = self.off + 0.1 * self.full

    def standing_kwh(self, buffer_kwh: Floats) -> Floats:
        """Return the buffer's loss in a step; below its useful heat it loses on, down to its room."""
        return self.stand_empty + self.stand_slope * buffer_kwh

    def __call__(self, s: _State, load_kw: Floats, may: Bools, out: Floats) -> None:
        log_heat, pellet_heat, pellet_kw, starts, loads, delivered, dumped, buffer, lack = out
        self._light(s, load_kw, may, loads)
        np.minimum(s.fire_kwh, self.log_kw * self.h, out=log_heat)
        s.fire_kwh -= log_heat
        s.fire_kwh *= s.fire_kwh > 1e-9 * self.batch  # a rest of rounding is no fire
        wanted = load_kw * self.h + s.lack_kwh
        standing = self.standing_kwh(s.buffer_kwh)
        if self.plant.pellet_side is None:
            pellet_heat[:], pellet_kw[:], starts[:] = 0.0, 1.0, 0.0
        else:
            self._pellets(
                s, self.plant.pellet_side, wanted, standing, log_heat, pellet_heat, pellet_kw, starts
            )
        useful = log_heat + pellet_heat
        np.minimum(wanted, useful + np.maximum(s.buffer_kwh - standing, 0.0), out=delivered)
        filled = s.buffer_kwh + useful - delivered - standing
        np.minimum(filled, self.full, out=buffer)
        np.subtract(filled, buffer, out=dumped)
        np.multiply(wanted - delivered, self.house_keeps, out=lack)
        s.buffer_kwh, s.lack_kwh = buffer, lack

    def _light(self, s: _State, load_kw: Floats, may: Bools, lit: Floats) -> None:
        """Load where somebody would, the chamber is burned out and the buffer takes a whole or half load."""
        lit[:] = 0.0
        if self.plant.load is None:
            return
        ready = may & (s.fire_kwh <= 0.0) & (load_kw > 0.0)
        if not ready.any():
            return
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
        s.fire_kwh += lit * self.batch
        s.logs_left_kg -= lit * self.batch_kg
        s.loads_today += lit
        s.pellets_on &= lit == 0.0

    def _pellets(
        self,
        s: _State,
        boiler: Boiler,
        wanted: Floats,
        standing: Floats,
        log_heat: Floats,
        heat: Floats,
        power: Floats,
        starts: Floats,
    ) -> None:
        """Write heat, output while burning, and starts of the pellets in this step."""
        rest = log_heat <= 0.0
        if s.pellets_limited:
            rest &= s.pellets_left_kg > 0.0
        after = s.buffer_kwh - wanted - standing
        # Looks ahead over the step: a quiet hour must not empty the buffer before the pellets come on.
        begin = rest & ~s.pellets_on & (after < self.on)
        s.pellets_on &= rest
        s.pellets_on |= begin
        to_off = np.maximum(self.off - after, 0.0)
        # The aim lies a little beyond the stop, so that the stop is reached and not crept up to for ever.
        filling = (self.aim - s.buffer_kwh) / FILL_H
        np.maximum(wanted / self.h + filling, boiler.least_kw, out=power)
        np.minimum(power, boiler.rated_kw, out=power)
        np.minimum(power * self.h, to_off, out=heat)
        heat *= s.pellets_on
        starts[:] = begin
        if s.pellets_limited:
            self._last_pellets(s, boiler, heat, power, starts)
        s.pellets_on &= to_off - heat > 1e-9

    def _last_pellets(self, s: _State, boiler: Boiler, heat: Floats, power: Floats, starts: Floats) -> None:
        """Take the pellets from what is left; the very last burn for the part of the step they last."""
        kg = pellet_kg(self.plant, boiler, heat, power, starts)
        part = np.minimum(s.pellets_left_kg / np.maximum(kg, 1e-300), 1.0)
        heat *= part
        starts *= part
        s.pellets_left_kg = np.maximum(s.pellets_left_kg - kg * part, 0.0)


def pellet_loss_kwh(boiler: Boiler, heat: Floats, power: Floats, starts: Floats) -> Floats:
    """Return the boiler's loss while it gives `heat` at `power`, starts included. [kWh]"""
    return boiler.loss_kw(power) * (heat / power) + starts * boiler.start_kwh


def pellet_kg(plant: LogPelletBoiler, boiler: Boiler, heat: Floats, power: Floats, starts: Floats) -> Floats:
    """Return the pellets for so much heat at `power`. [kg]"""
    return (heat + pellet_loss_kwh(boiler, heat, power, starts)) / plant.pellet_kwh_per_kg
