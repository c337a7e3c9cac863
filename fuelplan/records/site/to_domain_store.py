"""Hopper, conveying, buffer, delivery and cellar of a folder as the objects the rooms work with, and their
faults.
"""

from __future__ import annotations

from fuelplan.messages import Listed, Own, Quantity, message, said_by
from fuelplan.records.schema import SITE_FILE, SiteTable
from fuelplan.records.tables import Fault
from fuelplan.store import access, hopper
from fuelplan.store import bulk as bulk_store

SLOPED = ("two slopes", "one slope")


def conveying_of(table: SiteTable) -> hopper.Conveying | None:
    """Return how the hopper is filled; None where the folder does not say.

    Raises
    ------
    HopperError
        Where it cannot work, such as a suction line that is too long.
    """
    given = table.conveying
    if given is None:
        return None
    return hopper.Conveying(
        how=given.how,
        while_burning=given.while_burning,
        rate_kg_per_h=given.rate_kg_per_h,
        line_m=given.line_m,
        rise_m=given.rise_m,
        line_limit_m=given.line_limit_m,
        rise_limit_m=given.rise_limit_m,
        burn_out_h=given.burn_out_h,
        ignite_h=given.ignite_h,
        quiet_from_h=given.quiet_from_h,
        quiet_to_h=given.quiet_to_h,
        refill_share=given.refill_at,
        visits_h=given.visits_h,
        bag_kg=given.bag_kg,
    )


def place_seen(table: SiteTable) -> access.DeliveryPlace:
    """Return what has been seen at the place; what the folder leaves out stays unseen."""
    seen = table.access
    conveying = table.conveying
    suction = conveying is not None and conveying.how == "suction"
    suction_m = conveying.line_m if suction and conveying is not None and conveying.line_m > 0 else None
    if seen is None:
        return access.DeliveryPlace(
            hose_m=table.supply.hose_m or None, slope_deg=_slope_deg(table), suction_m=suction_m
        )
    return access.DeliveryPlace(
        hose_m=seen.hose_m if seen.hose_m is not None else table.supply.hose_m or None,
        road_width_m=seen.road_width_m,
        road_height_m=seen.road_height_m,
        weight_limit_t=_tonnes(seen.weight_limit_kg),
        axle_limit_t=_tonnes(seen.axle_limit_kg),
        tanker_t=_tonnes(seen.tanker_kg),
        tanker_axle_t=_tonnes(seen.tanker_axle_kg),
        trailer_comes=seen.trailer_comes,
        trailer_can_pass=seen.trailer_can_pass,
        coupling_type=seen.coupling_type,
        supplier_coupling=seen.supplier_coupling,
        fill_height_m=seen.fill_height_m,
        exhaust_height_m=seen.exhaust_height_m,
        fill_outdoors=seen.fill_outdoors,
        exhaust_outdoors=seen.exhaust_outdoors,
        metal_pipes=seen.metal_pipes,
        pipes_earthed=seen.pipes_earthed,
        gentle_bends=seen.gentle_bends,
        mat=seen.mat,
        inlet_below_ceiling_m=seen.inlet_below_ceiling_m,
        door_boards=seen.door_boards,
        slope_deg=_slope_deg(table),
        walls_checked=seen.walls_checked,
        electrics_inside=seen.electrics_inside,
        socket=seen.socket,
        suction_m=suction_m,
        suction_floors=seen.suction_floors,
    )


def couplings_outdoors(table: SiteTable) -> bool | None:
    """Return whether both couplings end outdoors; None where that has not been seen."""
    seen = table.access
    if seen is None or (seen.fill_outdoors is None and seen.exhaust_outdoors is None):
        return None
    if seen.fill_outdoors is False or seen.exhaust_outdoors is False:
        return False
    return True if seen.fill_outdoors and seen.exhaust_outdoors else None


def fire_threshold_of(table: SiteTable) -> access.FireThreshold | None:
    """Return the amount above which the fire code of the land asks for more, where the folder names it."""
    given = table.ventilation
    if given is None or given.fire_threshold is None:
        return None
    return access.FireThreshold(given.fire_threshold, "kg", given.fire_source)


def installer_faults(table: SiteTable) -> list[Fault]:
    """Return what is wrong with the tables about hopper, conveying, access, cellar and store costs."""
    faults = []
    for key, action in (("conveying", conveying_of), ("access", place_seen)):
        try:
            action(table)
        except ValueError as error:
            faults.append(Fault(SITE_FILE, None, key, said_by(error)))
    return [*faults, *_hopper_faults(table), *_sizing_faults(table)]


def _hopper_faults(table: SiteTable) -> list[Fault]:
    if table.hopper is None:
        return []
    faults = []
    bag_kg = table.conveying.bag_kg if table.conveying is not None and table.conveying.how == "hand" else 0.0
    for key, kg in (("size", table.hopper.size_kg), *(("compare", kg) for kg in table.hopper.compare_kg)):
        if kg is not None and kg <= 0:
            faults.append(
                Fault(
                    SITE_FILE, None, f"hopper.{key}",
                    message("site.hopper_of_nothing", 'a hopper holds more than nothing; write e.g. "60 kg"'),
                )
            )  # fmt: skip
        elif kg is not None and kg < bag_kg:
            faults.append(
                Fault(
                    SITE_FILE, None, f"hopper.{key}",
                    message(
                        "site.hopper_below_bag",
                        "a hopper of {hopper} does not take one bag of {bag}; write a larger one",
                        hopper=Quantity.written(kg, "kg", "g"), bag=Quantity.written(bag_kg, "kg", "g"),
                    ),
                )
            )  # fmt: skip
    return faults


def _sizing_faults(table: SiteTable) -> list[Fault]:
    given = table.sizing
    faults = []
    if given.largest_drop_kg < table.supply.smallest_drop_kg:
        faults.append(
            Fault(
                SITE_FILE, None, "sizing.largest_drop",
                message(
                    "site.largest_drop",
                    "the largest drop of {largest} is less than the smallest of {smallest}; write "
                    'what one tanker brings, e.g. "15 t"',
                    largest=Quantity.written(given.largest_drop_kg, "kg", "g"),
                    smallest=Quantity.written(table.supply.smallest_drop_kg, "kg", "g"),
                ),
            )
        )  # fmt: skip
    if any(room <= 0 for room in given.rooms_m3):
        faults.append(
            Fault(
                SITE_FILE, None, "sizing.rooms",
                message("site.rooms", 'rooms are volumes above zero, e.g. "12 m3"'),
            )
        )  # fmt: skip
    money = {m[1] for m in (given.store_per_m3, given.store_fixed, table.supply.price) if m is not None}
    if len(money) > 1:
        faults.append(
            Fault(
                SITE_FILE, None, "sizing",
                message(
                    "site.costs_in", "costs in {money} cannot be added; write them in one money",
                    money=Listed(tuple(map(Own, sorted(money)))),
                ),
            )
        )  # fmt: skip
    if given.cellar is not None:
        try:
            bulk_store.FlatRoom(given.cellar.length_m, given.cellar.width_m, given.cellar.height_m)
        except ValueError as error:
            faults.append(Fault(SITE_FILE, None, "sizing.cellar", said_by(error)))
    return faults


def _slope_deg(table: SiteTable) -> float | None:
    """Return the slope of the floor: 0 for a flat one; None for bags, tanks and where no shape is given."""
    if table.store.shape == "flat floor":
        return 0.0
    if table.store.shape not in SLOPED:
        return None
    return 40.0 if table.store.slope_deg is None else table.store.slope_deg


def _tonnes(kg: float | None) -> float | None:
    return None if kg is None else kg / 1000.0
