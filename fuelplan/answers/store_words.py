"""What was taken about the store where the folder leaves it open, and what to ask about it."""

from __future__ import annotations

from dataclasses import replace

from fuelplan.messages import Message, Quantity, message, paragraph
from fuelplan.records.schema import SiteTable
from fuelplan.store.bulk import FlatRoom, SlopedRoom, Store

OTHER_DEAD_HEIGHT_M = 0.53
"""Another published free height over a full store, beside 0.3 m. [m]"""


def ask_inlet() -> Message:
    """Return the question for the inlet pipe."""
    return message("store.ask_inlet", "How far below the ceiling is the middle of the inlet pipe?")


def free_height(table: SiteTable, store: Store) -> Message | None:
    """Return which free height over a full room was taken, and what another published one would cost, as a
    phrase; None where the store is no room.
    """
    if not isinstance(store.shape, FlatRoom | SlopedRoom):
        return None
    end = Quantity(store.dead_height_m, "length")
    if table.store.ullage_m is not None:
        return message(
            "store.free_height_of_folder",
            "A full store is taken to end {end} below the ceiling, as the folder says",
            end=end,
        )
    if table.access is not None and table.access.inlet_below_ceiling_m is not None:
        if table.access.inlet_below_ceiling_m >= store.dead_height_m:
            return message(
                "store.free_height_under_inlet",
                "A full store is taken to end {end} below the ceiling, no higher than the inlet pipe",
                end=end,
            )
        return message(
            "store.free_height_below_inlet",
            "A full store is taken to end {end} below the ceiling, on average, below the inlet pipe",
            end=end,
        )
    if store.shape.top_m <= OTHER_DEAD_HEIGHT_M:
        return message(
            "store.free_height_assumed",
            "A full store is taken to end {end} below the ceiling (assumed)",
            end=end,
        )
    less = store.capacity_kg() - replace(store, dead_height_m=OTHER_DEAD_HEIGHT_M).capacity_kg()
    return message(
        "store.free_height_assumed_of_two",
        "A full store is taken to end {end} below the ceiling (assumed); with {other}, which is published, "
        "too, it would hold {less} less",
        end=end,
        other=Quantity(OTHER_DEAD_HEIGHT_M, "length"),
        less=Quantity(less, "mass"),
    )


def free_height_asked(table: SiteTable, store: Store) -> tuple[Message, ...]:
    """Return which free height was taken, with the question for the inlet where it was assumed."""
    said = free_height(table, store)
    if said is None:
        return ()
    sentence = message("store.free_height", "{said}.", said=said)
    return (paragraph([sentence, *asked_of_store(table, store)]),)


def free_height_source() -> Message:
    """Return where the free height over a full store comes from."""
    return message(
        "store.free_height_source",
        "{height}: room rule of the Austrian and German pellet associations; the folder",
        height=Quantity(0.3, "length", unit="m", decimals=1),
    )


def asked_of_store(table: SiteTable, store: Store) -> tuple[Message, ...]:
    """Return what to ask about the store: for the inlet, where the free height under it is assumed."""
    known = table.store.ullage_m is not None or (
        table.access is not None and table.access.inlet_below_ceiling_m is not None
    )
    room = isinstance(store.shape, FlatRoom | SlopedRoom)
    return (ask_inlet(),) if room and not known else ()
