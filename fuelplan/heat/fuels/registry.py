"""The fuels there are: the one place that knows their names."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from fuelplan.heat.fuels.chips import CHIPS
from fuelplan.heat.fuels.fuel import Fuel
from fuelplan.heat.fuels.logs import LOGS
from fuelplan.heat.fuels.moisture import FuelError
from fuelplan.heat.fuels.pellets import PELLETS
from fuelplan.messages import Listed, Own, message

_FUELS: dict[str, Fuel] = {fuel.name: fuel for fuel in (PELLETS, LOGS, CHIPS)}


def fuels() -> tuple[Fuel, ...]:
    """Return all fuels, those whose price alone can be compared among them.

    Returns
    -------
    tuple of Fuel
        In the order of the registry.
    """
    return tuple(_FUELS.values())


def names() -> tuple[str, ...]:
    """Return the names of all fuels.

    Returns
    -------
    tuple of str
        In the order of the registry.
    """
    return tuple(_FUELS)


def fuel(name: str) -> Fuel:
    """Return the fuel of a name.

    Parameters
    ----------
    name
        As files write it.

    Returns
    -------
    Fuel
        The registered one of that name.

    Raises
    ------
    FuelError
        There is none; the sentence lists those there are.
    """
    found = _FUELS.get(name)
    if found is None:
        raise FuelError(
            message(
                "fuel.unknown",
                '"{name}" is not a fuel here; write one of {names}',
                name=Own(name),
                names=Listed(tuple(map(Own, _FUELS)), ", "),
            )
        )
    return found


def planned() -> tuple[Fuel, ...]:
    """Return the fuels whose stock is followed.

    Returns
    -------
    tuple of Fuel
        In the order of the registry.
    """
    return tuple(f for f in _FUELS.values() if f.is_planned)


def usual() -> Fuel:
    """Return the fuel that is meant where nobody says one: the first that lies in a bulk store.

    Returns
    -------
    Fuel
        The first of the registry that is kept in a bulk store.
    """
    return next(f for f in _FUELS.values() if f.in_bulk)


def stacked() -> Fuel:
    """Return the fuel that lies in stacks.

    Returns
    -------
    Fuel
        The first of the registry that is kept in stacks.
    """
    return next(f for f in _FUELS.values() if f.is_stacked)


def boiler_kinds() -> dict[str, tuple[Fuel, Fuel | None]]:
    """Return the kinds of boiler: what each burns from the bulk store, and from a stack beside it.

    Returns
    -------
    dict
        From a kind's name to the bulk fuel and the stacked one, None where it burns no logs beside.
    """
    found: dict[str, tuple[Fuel, Fuel | None]] = {}
    for bulk in (f for f in _FUELS.values() if f.in_bulk):
        found[bulk.name] = (bulk, None)
        if bulk.beside_stacked:
            found |= {f"{f.name} and {bulk.name}": (bulk, f) for f in _FUELS.values() if f.is_stacked}
    return found


@contextmanager
def registered(*more: Fuel) -> Iterator[None]:
    """Hold further fuels in the registry for a while, each in place of one of its name.

    Parameters
    ----------
    more
        Fuels; one of a name that is there takes its place.

    Yields
    ------
    None
        The registry is as before when the block ends, also after an error.
    """
    before = dict(_FUELS)
    _FUELS.update({f.name: f for f in more})
    try:
        yield
    finally:
        _FUELS.clear()
        _FUELS.update(before)
