"""Fit for delivery and safety of the store: each line met, not met or ask; open questions; cautions."""

from __future__ import annotations

from fuelplan.answers.how_big.answer import HopperPart
from fuelplan.answers.how_big.basis import Basis, bagged
from fuelplan.answers.when_to_order.words import STORE_KIND
from fuelplan.messages import Message, cautions, message
from fuelplan.messages.cautions import Caution
from fuelplan.records.site import couplings_outdoors, fire_threshold_of, place_seen
from fuelplan.store import access
from fuelplan.store.access import AccessLine

NOT_OF_BLOWING = frozenset({"road-width", "road-height", "weight", "axle", "trailer", "wall-load", "fire"})
ROOMS_ONLY = frozenset({"slope", "mat", "door-boards", "electrics"})  # of no meaning in tanks and bags


def fit_lines(basis: Basis) -> tuple[AccessLine, ...]:
    """Return what delivery, venting and fire code ask of the place, and what has been seen."""
    table, store = basis.site.table, basis.setting.store
    most_kg = store.capacity_kg(store.bulk_high_kg_per_m3)
    pile_m = None if store.shape is None else store.shape.top_m - store.dead_height_m
    lines = access.fit_for_delivery(place_seen(table), stock_kg=most_kg, pile_m=pile_m)
    if store.shape is not None and not store.shape.walk_in:
        lines = tuple(line for line in lines if line.id not in ROOMS_ONLY)
    vent_line = None if table.ventilation is None else table.ventilation.vent_line_m
    stock_t = round(store.capacity_kg() / 1000.0, 1) or 0.1
    vented = access.ventilation(
        stock_t, both_couplings_outdoors=couplings_outdoors(table), vent_line_m=vent_line
    )
    fire = access.fire_line(store.capacity_kg(), store.full_m3, fire_threshold_of(table))
    found = (*lines, *vented.lines, fire, access.cleaning_line(None, None))
    blown = not bagged(table) and basis.setting.fuel.comes == "blown in"
    return tuple(line for line in found if blown or line.id in NOT_OF_BLOWING)


def open_questions(
    basis: Basis, lines: tuple[AccessLine, ...], hopper: HopperPart | None
) -> tuple[Message, ...]:
    """Return what is still to be asked or looked at, what moves the answer most first."""
    asked = list(basis.questions)
    if hopper is not None and hopper.assumed:
        asked.append(
            message(
                "size.ask_conveying",
                "How does fuel get from the store to the boiler: suction, auger or by hand; how long is the "
                "line; which hours are quiet?",
            )
        )
    return (*asked, *access.open_questions(lines))


def shown_cautions(basis: Basis, hopper: HopperPart | None) -> tuple[Caution, ...]:
    """Return the cautions that belong to building, filling and cleaning this store."""
    table, store = basis.site.table, basis.setting.store
    by_hand = hopper is not None and hopper.how == "hand" and table.conveying is not None
    kind = STORE_KIND.get(table.store.shape or "", "room")
    found = cautions.for_situation(
        fuels=[basis.setting.fuel.cautions],
        store_kind=kind,
        stock_kg=store.capacity_kg(),
        couplings_outdoors=couplings_outdoors(table),
        filling=not bagged(table),
        couplings=basis.setting.fuel.comes == "blown in",
        bag_kg=table.conveying.bag_kg if by_hand and table.conveying is not None else None,
        boiler_smaller_than_load=table.boiler.rated_kw is not None and table.boiler.rated_kw < basis.load_kw,
    )
    if kind == "room" and not bagged(table):
        found.append(
            cautions.caution(
                "store-entry",
                message(
                    "size.why_store_cleaned", "A store like this is emptied and cleaned from time to time."
                ),
            )
        )
    rank = list(cautions.TEXTS)
    return tuple(sorted(found, key=lambda c: rank.index(c.id)))
