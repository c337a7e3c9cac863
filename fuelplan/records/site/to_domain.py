"""Tables of a folder as the objects the rooms work with: places, fuels, stores, readings, deliveries,
absences.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import cast

from fuelplan.heat import boiler
from fuelplan.heat import fuels as fuel
from fuelplan.heat.building import Absence, HeatPump, Solar, Stove
from fuelplan.learning import readings
from fuelplan.messages import Own, Refusal, message, said_by
from fuelplan.records.schema import (
    READINGS_FILE,
    SITE_FILE,
    AwayTable,
    PlaceTable,
    SecondSourceTable,
    SiteTable,
    StoreTable,
)
from fuelplan.records.site.folder import Site
from fuelplan.records.site.rows import DeliveryRow, ReadingRow
from fuelplan.records.tables import Fault
from fuelplan.store import bulk as bulk_store
from fuelplan.store.bulk import Store, StoreError
from fuelplan.units import BAG_KG, Amount
from fuelplan.weather import Place

RATED_KW = 15.0  # taken where nobody says the boiler's size (our assumption)
METERS = frozenset({"boiler counter", "heat meter"})
"""Ways of reading that see a meter, not the store."""


def place_of(table: PlaceTable) -> Place:
    """Return the place of the weather records."""
    return Place(table.latitude, table.longitude, table.elevation_m, table.time_zone)


def material_of(table: SiteTable, burned: fuel.Fuel) -> fuel.BulkMaterial:
    """Return a fuel as it lies in the store: its usual figures, replaced by what the folder says."""
    given = getattr(table, burned.name)
    said = {name: getattr(given, name) for name in type(given).model_fields}
    return cast(fuel.BulkMaterial, burned.material(**said))


def stored_of(table: SiteTable) -> tuple[fuel.Fuel, fuel.BulkMaterial]:
    """Return the fuel of the bulk store, and how it lies there."""
    return table.boiler.bulk, material_of(table, table.boiler.bulk)


def boiler_of(
    table: SiteTable, burning: fuel.Fuel | None = None, *, least_kw: float = RATED_KW
) -> boiler.Boiler:
    """Return the boiler as it burns one of its fuels; the maker's test figures are for the bulk store's.

    Parameters
    ----------
    burning
        None for the fuel of the bulk store.
    least_kw
        Taken where its rated output is not said. [kW]
    """
    given = table.boiler
    tested = burning is None or burning == given.bulk
    return boiler.Boiler.typical(
        least_kw if given.rated_kw is None else given.rated_kw,
        (burning or given.bulk).name,
        installed=given.installed,
        full_load_efficiency=given.full_load_efficiency if tested else None,
        half_load_efficiency=given.part_load_efficiency if tested else None,
    )


def store_of(table: SiteTable) -> Store:
    """Return the bulk store.

    Raises
    ------
    StoreError
        Where measures are missing or cannot be.
    """
    given = table.store
    _, material = stored_of(table)
    density = {
        "bulk_kg_per_m3": material.bulk_kg_per_m3,
        "bulk_low_kg_per_m3": material.bulk_low_kg_per_m3,
        "bulk_high_kg_per_m3": material.bulk_high_kg_per_m3,
    }
    if given.shape is None:
        if given.capacity_kg is None:
            raise StoreError(
                message(
                    "site.store_size",
                    'say how big the store is: capacity = "5 t", or shape with its measures',
                )
            )
        return Store.of_capacity(given.capacity_kg, given.residue_kg, **density)
    more = {"dead_height_m": given.ullage_m, "inlet_clearance_m": given.inlet_clearance_m}
    inlet_m = None if table.access is None else table.access.inlet_below_ceiling_m
    if inlet_m is not None:  # fuel never lies above the inlet, wherever nothing else is said
        usual = {"dead_height_m": Store.dead_height_m, "inlet_clearance_m": Store.inlet_clearance_m}
        more = {name: max(usual[name], inlet_m) if value is None else value for name, value in more.items()}
    known = {name: value for name, value in more.items() if value is not None}
    return Store(
        shape=_shape_of(given),
        residue_kg=given.residue_kg,
        suction_points=given.suction_points,
        inlets=given.inlets,
        inlets_at=given.inlets_at,
        **density,
        **known,
    )


def _shape_of(given: StoreTable) -> bulk_store.Shape:
    def measure(name: str) -> float:
        value = getattr(given, f"{name}_m")
        if value is None:
            raise StoreError(
                message(
                    "site.store_measure",
                    'a store of the shape "{shape}" needs {measure}, e.g. {measure} = "2.4 m"',
                    shape=Own(str(given.shape)), measure=Own(name),
                )
            )  # fmt: skip
        return float(value)

    slope = 40.0 if given.slope_deg is None else given.slope_deg
    channel = given.channel_m or 0.0
    if given.shape == "buried tank":
        if given.length_m is None:
            return bulk_store.SphereTank(measure("diameter"))
        return bulk_store.HorizontalTank(diameter_m=measure("diameter"), length_m=measure("length"))
    if given.shape == "upright tank":
        return bulk_store.UprightTank(
            diameter_m=measure("diameter"), height_m=measure("height"), funnel_m=given.funnel_m or 0.0
        )
    width, length, height = measure("width"), measure("length"), measure("height")
    if given.shape == "flat floor":
        return bulk_store.FlatRoom(length_m=length, width_m=width, height_m=height)
    if given.shape in {"two slopes", "one slope"}:
        return bulk_store.SlopedRoom(
            length_m=length, width_m=width, height_m=height, slope_deg=slope, channel_m=channel,
            slopes=2 if given.shape == "two slopes" else 1,
        )  # fmt: skip
    kind = bulk_store.FabricBag if given.shape == "fabric bag" else bulk_store.PyramidBottom
    return kind(
        length_m=length,
        width_m=width,
        height_m=height,
        funnel_m=measure("funnel"),
        outlet_m=given.outlet_m or 0.0,
    )


def absences_of(away: Sequence[AwayTable], indoor_c: float) -> list[Absence]:
    """Return the times away, as kelvin below the usual room temperature.

    Parameters
    ----------
    indoor_c
        The usual room temperature. [degC]
    """
    return [
        Absence(
            first=a.first,
            last=a.last,
            boiler_off=a.boiler_off,
            set_back_k=0.0 if a.indoor_c is None else max(0.0, indoor_c - a.indoor_c),
        )
        for a in away
    ]


def amount_kg(amount: Amount, table: SiteTable) -> float:
    """Return a delivered or ordered amount of the fuel of the bulk store. [kg]"""
    burned, material = stored_of(table)
    return burned.amount_kg(amount, material)


def _volume_sd_kg(amount: Amount, kg: float, table: SiteTable) -> float:
    """Return what measuring by volume adds to the doubt of an amount. [kg]"""
    return table.boiler.bulk.rel_sd(amount) * kg


def second_sources_of(
    rows: Sequence[SecondSourceTable], here: Callable[[Sequence[float]], tuple[float, ...]]
) -> tuple[Stove | HeatPump | Solar, ...]:
    """Return the other sources of heat, in the order in which they are used.

    `here` moves twelve figures of the north to the months of the place, for what the folder leaves out.
    """
    found: list[Stove | HeatPump | Solar] = []
    for row in rows:
        if row.kind == "stove":
            found.append(Stove(row.power_kw or 0.0, row.hours_a_day, row.days_a_week, row.below_c))
        elif row.kind == "heat pump":
            found.append(HeatPump(row.power_kw or 0.0, row.down_to_c, row.hot_water))
        else:
            found.append(Solar(row.share_by_month or here(Solar().share_by_month)))
    return tuple(found)


def delivery_of(row: DeliveryRow, table: SiteTable) -> readings.Delivery:
    """Return a delivery that came, with the error of its amount."""
    assert row.delivered_on is not None and row.delivered is not None
    ordered = None if row.ordered is None else amount_kg(row.ordered, table)
    found = readings.delivery(
        row.delivered_on,
        amount_kg(row.delivered, table),
        weighed_ticket=row.weighed and table.boiler.bulk.rel_sd(row.delivered) == 0,
        filled_full=row.filled_full,
        ordered_kg=ordered,
    )
    return replace(found, line=row.line)


def observation_of(
    row: ReadingRow, table: SiteTable, store: Store, useful_kwh_per_kg: float
) -> readings.Observation:
    """Return a reading of any kind with its error, which belongs to how it was read, not to its unit.

    Parameters
    ----------
    useful_kwh_per_kg
        Useful heat of the fuel, by which a heat meter is read. [kWh/kg]

    Raises
    ------
    ValueError
        Where it cannot be understood for this store.
    """
    found = _level_or_count(row, table, store, useful_kwh_per_kg)
    found = replace(found, confirmed=row.checked == "right", line=row.line)
    return readings.guessed(found) if row.how == "estimated" else found


def _level_or_count(
    row: ReadingRow, table: SiteTable, store: Store, useful_kwh_per_kg: float
) -> readings.Observation:
    if row.how in METERS:
        return _count(row, useful_kwh_per_kg)
    if row.word == "empty":
        return readings.ran_empty(row.day, store.capacity_kg())
    if row.word == "full":
        return readings.full(row.day, store.capacity_kg())
    assert row.reading is not None
    value, measure = row.reading.value, row.reading.measure
    if measure == "kwh":
        return _count(row, useful_kwh_per_kg)
    eye_kg = readings.PERCENT_SD * store.capacity_kg()
    if measure == "percent":
        sd = readings.MEASURED_SHARE_SD if row.how == "measured" else readings.PERCENT_SD
        return readings.percent(row.day, value / 100.0, store.capacity_kg(), sd)
    if measure == "cm":
        level = store.kg_from_mark(value, row.side)
        sd_kg = max(level.sd_kg, eye_kg if row.how == "by eye" else 10.0)
        return readings.Observation(row.day, level.kg, sd_kg, "mark")
    if measure in {"bag", "pallet"} and row.how != "by eye":
        each_kg = row.reading.each_kg or BAG_KG
        return readings.bags(row.day, value, each_kg)
    kg = amount_kg(row.reading, table)
    if row.how != "measured":
        return readings.weighed(row.day, kg, max(eye_kg, 10.0))
    by_volume_kg = _volume_sd_kg(row.reading, kg, table)
    return readings.weighed(row.day, kg, by_volume_kg or None)


def _count(row: ReadingRow, useful_kwh_per_kg: float) -> readings.Observation:
    """Return a reading of a meter, which shows its own unit and no level."""
    amount = row.reading
    if row.how != "boiler counter" and amount is not None and amount.measure == "kwh":
        return readings.heat_meter(row.day, amount.value, useful_kwh_per_kg)
    if row.how == "boiler counter" and amount is not None and amount.kg is not None:
        return readings.counter(row.day, amount.kg)
    shows = (
        message(
            "site.counter_shows",
            'a boiler\'s counter shows kilograms burned since it was new; write e.g. "12345 kg"',
        )
        if row.how == "boiler counter"
        else message("site.meter_shows", 'a heat meter shows kilowatt-hours; write e.g. "8200 kWh"')
    )
    raise Refusal.because(
        "site.not_of_the_meter", '"{written}" is not a valid number of that meter: {shows}',
        written=Own(row.said), shows=shows,
    )  # fmt: skip


def reading_faults(site: Site, store: Store) -> list[Fault]:
    """Return the readings of the folder that cannot be understood for its store."""
    return [
        Fault(READINGS_FILE, row.line, "reading", said_by(error))
        for row in site.readings
        if row.fuel == site.table.boiler.bulk.name
        and (error := _error(lambda row=row: observation_of(row, site.table, store, 4.0))) is not None  # type: ignore[misc]
    ]


def store_fault(table: SiteTable) -> Fault | None:
    """Return what is wrong with the store's measures, if anything."""
    error = _error(lambda: store_of(table))
    return None if error is None else Fault(SITE_FILE, None, "store", said_by(error))


def _error(action: Callable[[], object]) -> ValueError | None:
    try:
        action()
    except ValueError as error:
        return error
    return None
