"""What was taken about the store where the folder leaves it open, and what to ask about it."""

from __future__ import annotations

from dataclasses import replace

from fuelplan import units
from fuelplan.records.schema import SiteTable
from fuelplan.store.bulk import FlatRoom, SlopedRoom, Store

OTHER_DEAD_HEIGHT_M = 0.53
"""Another published free height over a full store, beside 0.3 m. [m]"""

ASK_INLET = "How far below the ceiling is the middle of the inlet pipe?"


def free_height_said(table: SiteTable, store: Store) -> str:
    """Return which free height over a full room was taken, and what another published one would cost; empty
    where the store is no room.
    """
    if not isinstance(store.shape, FlatRoom | SlopedRoom):
        return ""
    ends = f"A full store is taken to end {_metres(store.dead_height_m)} below the ceiling"
    if table.store.ullage_m is not None:
        return f"{ends}, as the folder says."
    if table.access is not None and table.access.inlet_below_ceiling_m is not None:
        low = table.access.inlet_below_ceiling_m >= store.dead_height_m
        return f"{ends}, {'no higher than the inlet pipe' if low else 'on average, below the inlet pipe'}."
    if store.shape.top_m <= OTHER_DEAD_HEIGHT_M:
        return f"{ends} (assumed). {ASK_INLET}"
    less = store.capacity_kg() - replace(store, dead_height_m=OTHER_DEAD_HEIGHT_M).capacity_kg()
    return (
        f"{ends} (assumed); with {_metres(OTHER_DEAD_HEIGHT_M)}, which is published, too, it would hold "
        f"{units.show(less, 'mass')} less. {ASK_INLET}"
    )


def free_height_source() -> str:
    """Return where the free height over a full store comes from."""
    height = units.show_as(0.3, "m", "g")
    return f"{height}: room rule of the Austrian and German pellet associations; the folder"


def asked_of_store(table: SiteTable, store: Store) -> tuple[str, ...]:
    """Return what to ask about the store."""
    return (ASK_INLET,) if ASK_INLET in free_height_said(table, store) else ()


def _metres(value: float) -> str:
    return units.show(value, "length")
