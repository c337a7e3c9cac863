"""What a folder says about heating with logs, as the rooms take it, and what of it cannot be."""

from __future__ import annotations

from collections.abc import Iterator

from fuelplan.heat import fuels
from fuelplan.messages import Message, Percent, Quantity, message, said_by
from fuelplan.records.schema import SITE_FILE, SiteTable
from fuelplan.records.site.folder import Site
from fuelplan.records.site.to_domain import boiler_of
from fuelplan.records.tables import Fault
from fuelplan.store.buffer import Buffer, BufferError
from fuelplan.store.log_heating import LoadingRule, LogHeatingError, LogLoad, LogPelletBoiler
from fuelplan.store.log_pile import DRY_ENOUGH


def plant_of(table: SiteTable, pellet_kwh_per_kg: float) -> LogPelletBoiler:
    """Return boiler, buffer and a load of logs of a folder that has them."""
    assert table.logs is not None and table.boiler.rated_kw is not None  # the model of the file makes sure
    return LogPelletBoiler(
        log_side=boiler_of(table, table.boiler.stacked),
        pellet_side=boiler_of(table),
        buffer=Buffer(table.buffer.volume_m3 * 1000.0, table.buffer.useful_from_c, table.buffer.full_c),
        load=LogLoad(
            table.logs.load_kg, fuels.logs(table.logs.wood, table.logs.water).kwh_per_kg, table.logs.burn_h
        ),
        pellet_kwh_per_kg=pellet_kwh_per_kg,
    )


def loading_rule(site: Site) -> LoadingRule:
    """Return when somebody loads logs."""
    given = site.table.loading
    return LoadingRule(
        weekday_hours=given.weekdays,
        weekend_hours=given.weekends,
        cold_below_c=given.cold_below_c,
        cold_hours=given.cold_hours,
        not_above_c=given.not_above_c,
        months=given.months,
        away=tuple((a.first, a.last) for a in site.table.away),
        most_loads_a_day=given.most_loads_a_day,
    )


def load_faults(table: SiteTable) -> list[Fault]:
    """Return why the load of logs cannot be burned in this boiler, or not lie in its chamber."""
    if table.logs is None or table.boiler.rated_kw is None:
        return []
    found = list[Fault]()
    try:
        plant = plant_of(table, fuels.usual().usual_kwh_per_kg)
        found += _read_faults(plant.buffer, table)
    except BufferError as error:
        return [Fault(SITE_FILE, None, "buffer", said_by(error))]
    except LogHeatingError as error:
        found.append(Fault(SITE_FILE, None, "logs.load", said_by(error)))
    chamber_m3 = table.logs.chamber_m3
    load = fuels.logs(table.logs.wood, table.logs.water).amount(table.logs.load_kg, "kg")
    if chamber_m3 is not None and load.solid_m3 > chamber_m3:
        said = message(
            "logs.load_above_chamber",
            "{load} of these logs are {wood} of wood without any gap, more than the chamber of {chamber}; "
            "write a smaller load, or what the chamber holds by the maker's data",
            load=_kg(table.logs.load_kg),
            wood=_litre(load.solid_m3),
            chamber=_litre(chamber_m3),
        )
        found.append(Fault(SITE_FILE, None, "logs.load", said))
    return found


def _read_faults(buffer: Buffer, table: SiteTable) -> list[Fault]:
    """Return why the temperatures read cannot be those of a buffer."""
    try:
        buffer.held_kwh(table.buffer.now_c or (buffer.full_c,))
    except BufferError as error:
        return [Fault(SITE_FILE, None, "buffer.now", said_by(error))]
    return []


def load_doubts(table: SiteTable) -> Iterator[Fault]:
    """Yield, as warnings, what is odd about the logs burned, their load and the buffer for it."""
    if table.logs is None or load_faults(table):
        return
    wet = wet_logs_burned(table)
    if wet is not None:
        yield Fault(SITE_FILE, None, "logs.water", wet, warning=True)
    load = fuels.logs(table.logs.wood, table.logs.water).amount(table.logs.load_kg, "kg")
    chamber_m3 = table.logs.chamber_m3
    if chamber_m3 is not None and load.stacked_m3 > chamber_m3:
        said = message(
            "logs.load_tight_in_chamber",
            "{load} of these logs fill about {stacked} when stacked, more than the chamber of {chamber}: is "
            "the load right? Weigh one and write what went in",
            load=_kg(table.logs.load_kg),
            stacked=_litre(load.stacked_m3),
            chamber=_litre(chamber_m3),
        )
        yield Fault(SITE_FILE, None, "logs.load", said, warning=True)
    small = buffer_too_small(table)
    if small is not None:
        yield Fault(SITE_FILE, None, "buffer.volume", small, warning=True)
    if table.buffer.now_c and table.buffer.now_on is None:
        said = message(
            "logs.buffer_read_when",
            "nobody knows when these temperatures were read, so they are taken as those of every day; write "
            "now_on, e.g. now_on = 2026-01-15",
        )
        yield Fault(SITE_FILE, None, "buffer.now", said, warning=True)


def wet_logs_burned(table: SiteTable) -> Message | None:
    """Return what is to be said where the settings burn wet logs."""
    if table.logs is None or table.logs.water.wet.share <= DRY_ENOUGH.share:
        return None
    return message(
        "logs.wet_burned",
        "Logs of {water} water of the wet mass are burned here. Wet logs leave tar that can end in a chimney "
        "fire, they smoke, and in many places the law forbids it: burn logs of {dry} or less. If these are "
        "drier, measure a freshly split face and write that water under [logs].",
        water=Percent(table.logs.water.wet.share),
        dry=Percent(DRY_ENOUGH.share),
    )


def buffer_too_small(table: SiteTable) -> Message | None:
    """Return why the buffer takes not even half a load, None where it does."""
    plant = plant_of(table, fuels.usual().usual_kwh_per_kg)
    holds = plant.buffer.capacity_kwh
    if holds >= plant.load_useful_kwh / 2.0:
        return None
    return message(
        "logs.buffer_too_small",
        "The buffer of {volume} takes {holds} of heat, and a load of logs gives {load}: not even half a load "
        "fits, and a fire that the buffer cannot take overheats the boiler. Write the volume of the whole "
        "buffer, or ask a heating engineer for a larger one.",
        volume=_litre(table.buffer.volume_m3),
        holds=Quantity.written(holds, "kWh", ".0f"),
        load=Quantity.written(plant.load_useful_kwh, "kWh", ".0f"),
    )


def _kg(kg: float) -> Quantity:
    return Quantity.written(kg, "kg", "g")


def _litre(m3: float) -> Quantity:
    return Quantity.written(1000.0 * m3, "l", ".0f")
