"""Invented customers for the tests of the outlook: winters, stores and draws of any size."""

from __future__ import annotations

import numpy as np

from fuelplan.dispatch.outlook import CustomerDraws, CustomerStores, Summary, WinterTables, winter_tables

Floats = np.ndarray


def winters_c(areas: int, winters: int, days: int, seed: int) -> Floats:
    """Daily means, (areas, winters, days), with spells that last, the second area always colder. [degC]"""
    rng = np.random.default_rng(seed)
    noise = rng.normal(0, 2.0, (winters, days))
    for t in range(1, days):
        noise[:, t] += 0.7 * noise[:, t - 1]
    season = 4 - 5 * np.sin(np.pi * np.arange(days) / max(days, 2))
    return np.stack([season + noise - 1.5 * a for a in range(areas)])


def tables_of(areas: int = 2, winters: int = 12, days: int = 60, seed: int = 1) -> WinterTables:
    """Tables with base temperatures from 11 to 19 °C in quarters of a kelvin."""
    return winter_tables(winters_c(areas, winters, days, seed), np.arange(11.0, 19.25, 0.25))


def stores_of(customers: int, seed: int = 2, areas: int = 2) -> CustomerStores:
    """Stores of 3 to 8 t, and a few so small that they are filled often, a tenth in reserve."""
    rng = np.random.default_rng(seed)
    fill = np.where(
        rng.random(customers) < 0.3, rng.uniform(20, 400, customers), rng.uniform(3000, 8000, customers)
    )
    return CustomerStores(rng.integers(0, areas, customers), 0.1 * fill, fill)


def draws_for(customers: int, draws: int, seed: int = 3) -> CustomerDraws:
    """Draws of any kind, some without use, some already empty."""
    rng = np.random.default_rng(seed)
    shape = (customers, draws)
    return CustomerDraws(
        np.where(rng.random(shape) < 0.05, 0.0, rng.uniform(0.5, 4, shape)),
        np.where(rng.random(shape) < 0.05, 0.0, rng.uniform(0.5, 6, shape)),
        0.25 * np.rint(4 * rng.normal(15, 1, shape)),
        np.where(rng.random(shape) < 0.05, 0.0, rng.uniform(0, 4000, shape)),
        rng.normal(0, 0.25, shape),
    )


def summary_for(customers: int, store: CustomerStores, seed: int = 4) -> Summary:
    """Beliefs whose slope and level go against each other, as after a long time without a reading."""
    rng = np.random.default_rng(seed)
    mean = np.stack(
        [
            rng.uniform(1, 3, customers),
            rng.uniform(0.5, 5, customers),
            rng.normal(15, 1, customers),
            store.fill_kg * rng.uniform(0.05, 0.95, customers),
        ],
        axis=1,
    )
    root = np.zeros((customers, 4, 4))
    root[:, 0, 0], root[:, 1, 1], root[:, 2, 2] = 0.15 * mean[:, 0], 0.5 * mean[:, 1], 0.7
    root[:, 2, 0], root[:, 3, 0], root[:, 3, 3] = -0.3, -0.05 * store.fill_kg, 0.12 * store.fill_kg
    return Summary(np.arange(customers), mean, root, rng.uniform(0.06, 0.5, customers), store.fill_kg)
