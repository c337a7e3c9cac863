"""All faults of a site folder at once: what each file says, and whether the files fit together."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fuelplan import files
from fuelplan.heat.building import doubts_of
from fuelplan.messages import Message, Own, Quantity, message, said_by
from fuelplan.records.schema import DELIVERIES_FILE, READINGS_FILE, SITE_FILE, PlaceTable, WeatherTable
from fuelplan.records.site.check_money import history_faults, other_currency, price_faults
from fuelplan.records.site.check_stack import stack_faults
from fuelplan.records.site.folder import Site, read_folder, with_lines_of
from fuelplan.records.site.rows import DeliveryRow
from fuelplan.records.site.to_domain import amount_kg, observation_of, reading_faults, store_fault, store_of
from fuelplan.records.site.to_domain_heat import stated_of
from fuelplan.records.site.to_domain_logs import load_faults
from fuelplan.records.site.to_domain_store import installer_faults
from fuelplan.records.tables import Fault, SiteFaults
from fuelplan.store.bulk import Store
from fuelplan.units import WorkingDays

Floats = NDArray[np.float64]

NOT_SORTED = message("site.not_sorted", "the rows are not sorted by date")
ABOVE_CAPACITY = 1.05  # a reading this far above the capacity is a mistake, not a tight fill


def check_folder(
    path: Path | str,
    today: date | Callable[[Site], date] | None = None,
    settings: str | None = None,
    *,
    with_prices: bool = True,
) -> tuple[Site | None, list[Fault]]:
    """Return the site of a folder, or None where it cannot be used at all, and every fault found.

    Parameters
    ----------
    today
        A day or what tells a site's: rows dated after it are faults as well; without, the clock plays no
        part.
    settings
        What `site.toml` is to hold, where that is to be tried; None: what it holds.
    with_prices
        Look at offers and prices, too: they hinder an order, but not learning.
    """
    site, faults = read_folder(path, settings)
    if site is None:
        return None, faults
    faults = list(faults)
    faults += _place_faults(site)
    faults += other_currency(site)
    if with_prices:
        faults += price_faults(site)
        faults += [] if any(f.key == "supply.price_history" for f in faults) else history_faults(site)
    store_wrong = store_fault(site.table)
    if store_wrong is not None:
        faults.append(store_wrong)
    else:
        store = store_of(site.table)
        faults += _store_faults(site, store)
        faults += [fault for fault in plausible_faults(site) if not fault.warning]
        faults += amounts_against_store(site)
    faults += _order_of_rows(site)
    faults += same_rows(site)
    if today is not None:
        day = today(site) if callable(today) else today
        faults += [*future_rows(site, day), *_upkeep_to_come(site, day)]
    faults += _away_faults(site)
    faults += installer_faults(site.table)
    faults += load_faults(site.table)
    if not site.deliveries and not site.readings and not faults:
        faults.append(
            Fault(
                READINGS_FILE, None, "",
                message(
                    "site.nothing_in_store",
                    "neither a reading nor a delivery says what is in store; add a line such as "
                    '"2026-01-04,60 %"',
                ),
            )
        )  # fmt: skip
    return site, with_lines_of(site.path, faults, settings)


def faults_with(folder: Path, settings: str) -> list[Fault]:
    """Return the faults that the folder would have with this `site.toml` and does not have now.

    Parameters
    ----------
    settings
        The whole text of `site.toml` as it is to be; nothing is written anywhere to try it.
    """
    _, before = check_folder(folder)
    known = {(f.file, f.key, f.said) for f in before}
    _, faults = check_folder(folder, settings=settings)
    return [f for f in faults if (f.file, f.key, f.said) not in known]


def open_sound(path: Path | str) -> Site:
    """Return the site of a folder without faults, except of prices.

    Raises
    ------
    SiteFaults
        With every fault, sorted by file and line.
    """
    site, faults = check_folder(path, with_prices=False)
    if site is None or faults:
        raise SiteFaults(faults)
    return site


def amounts_against_store(site: Site) -> list[Fault]:
    """Return the faults of readings and deliveries that the site's store cannot have held."""
    if store_fault(site.table) is not None:
        return []
    store = store_of(site.table)
    unsound = reading_faults(site, store)
    return [*unsound, *_amount_faults(site, store, {fault.line for fault in unsound}), *stack_faults(site)]


def plausible_faults(site: Site, mean_c: Floats | None = None) -> list[Fault]:
    """Return the figures that do not belong together; those that are only unlikely are warnings.

    Parameters
    ----------
    mean_c
        Daily means of the weather record, where it is at hand, shape (days,). [degC]
    """
    stated = stated_of(site.table, mean_c)
    return [
        Fault(SITE_FILE, None, doubt.key, doubt.text, warning=not doubt.impossible)
        for doubt in doubts_of(stated)
    ]


def _place_faults(site: Site) -> list[Fault]:
    table = site.table
    return [
        *place_faults(SITE_FILE, table.place, table.weather),
        *named_file_faults(site.beside, SITE_FILE, "weather.file", table.weather.file),
        *named_file_faults(site.beside, SITE_FILE, "supply.price_history", table.supply.price_history),
    ]


def place_faults(file: str, place: PlaceTable, weather: WeatherTable) -> list[Fault]:
    """Return what is wrong with [place], and with what [weather] needs of it.

    Parameters
    ----------
    file
        Where both stand, for the faults.
    """
    faults = []
    try:
        WorkingDays(place.country, place.subdivision)
    except ValueError as error:
        faults.append(Fault(file, None, "place.country", said_by(error)))
    if not _known_zone(place.time_zone):
        said = message(
            "site.time_zone", '"{zone}" is not a valid time zone; write one such as "Europe/Vienna"',
            zone=Own(place.time_zone),
        )  # fmt: skip
        faults.append(Fault(file, None, "place.time_zone", said))
    if "meteostat" in {weather.source, weather.fallback} and (
        place.latitude is None or place.longitude is None
    ):
        said = message("site.no_place", "station weather needs latitude and longitude, e.g. latitude = 47.2")
        faults.append(Fault(file, None, "place.latitude", said))
    return faults


def named_file_faults(folder: Path, file: str, key: str, name: str | None) -> list[Fault]:
    """Return what is wrong with a file that the folder names: it must lie in the folder and be there.

    Parameters
    ----------
    file, key
        Where the name stands, for the fault.
    name
        None: nothing is named.
    """
    if name is None:
        return []
    try:
        if not name.isprintable():
            raise files.NotAFile(folder, files.OUTSIDE)
        files.open_file(folder / name, folder=folder).close()
        return []
    except FileNotFoundError:
        wrong = message("site.no_file", 'there is no file "{file}" in this folder', file=Own(name))
    except files.NotAFile as error:
        why = message("site.is_not_a_file", "is not a file") if error.said == files.NO_FILE else files.OUTSIDE
        wrong = message("site.named_file", '"{file}" {why}', file=Own(name), why=why)
    except OSError as error:
        wrong = message(
            "site.file_unreadable", '"{file}" cannot be read: {why}', file=Own(name), why=files.why_not(error)
        )
    return [Fault(file, None, key, wrong)]


def _known_zone(name: str) -> bool:
    from zoneinfo import ZoneInfo

    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return False
    return True


def _store_faults(site: Site, store: Store) -> Iterator[Fault]:
    table = site.table
    if table.store.reserve_kg >= store.usable_kg():
        said = message(
            "site.reserve", "the reserve of {reserve} is no less than what the store can give ({gives})",
            reserve=_kg(table.store.reserve_kg), gives=_kg(store.usable_kg()),
        )  # fmt: skip
        yield Fault(SITE_FILE, None, "store.reserve", said)
    elif table.supply.smallest_drop_kg > store.capacity_kg() - table.store.reserve_kg:
        said = message(
            "site.drop_never_fits",
            "a drop of {drop} never fits above the reserve into a store of {store}; a smaller "
            "drop, a smaller reserve or bags are needed", drop=_kg(table.supply.smallest_drop_kg),
            store=_kg(store.capacity_kg()),
        )  # fmt: skip
        yield Fault(SITE_FILE, None, "supply.smallest_drop", said)
    if table.supply.step_kg > store.capacity_kg():
        said = message(
            "site.large_steps", "steps of {step} are more than the store holds; write e.g. 100 kg",
            step=_kg(table.supply.step_kg),
        )  # fmt: skip
        yield Fault(SITE_FILE, None, "supply.step", said)


def _amount_faults(site: Site, store: Store, unsound: Collection[int | None]) -> Iterator[Fault]:
    capacity, bulk = store.capacity_kg(store.bulk_high_kg_per_m3), site.table.boiler.bulk.name
    for reading in site.readings:
        if reading.fuel != bulk or reading.line in unsound:
            continue
        seen = observation_of(reading, site.table, store, 4.0)
        if not seen.is_count and seen.kg > capacity * ABOVE_CAPACITY:
            said = message(
                "site.more_than_holds", "{level} is more than the store holds ({store})",
                level=_kg(seen.kg), store=_kg(store.capacity_kg()),
            )  # fmt: skip
            yield Fault(READINGS_FILE, reading.line, "reading", said)
    for row in site.deliveries:
        for column in ("ordered", "delivered"):
            amount = getattr(row, column)
            if row.fuel != bulk or amount is None:
                continue
            try:
                kg = amount_kg(amount, site.table)
            except ValueError as error:
                yield Fault(DELIVERIES_FILE, row.line, column, said_by(error))
                continue
            if kg > capacity * ABOVE_CAPACITY:
                said = message(
                    "site.cannot_fit", "{amount} cannot fit into a store of {store}", amount=_kg(kg),
                    store=_kg(store.capacity_kg()),
                )  # fmt: skip
                yield Fault(DELIVERIES_FILE, row.line, column, said)


def today_of(site: Site) -> date:
    """Return today where the house stands, or an example folder's own day where that is later."""
    from zoneinfo import ZoneInfo

    now = datetime.now(ZoneInfo(site.table.place.time_zone)).date()
    return max(now, site.table.example_date or now)


def future_rows(site: Site, today: date) -> list[Fault]:
    """Return the readings, deliveries and orders that are dated after today: nobody can know them yet."""
    faults = []
    for reading in site.readings:
        if reading.day > today:
            day = Own(str(reading.day))
            said = message(
                "site.reading_to_come", "{day} has not come yet; write the day you looked", day=day
            )
            faults.append(Fault(READINGS_FILE, reading.line, "date", said))
    for row in site.deliveries:
        if row.delivered_on is not None and row.delivered_on > today:
            said = message(
                "site.delivery_to_come",
                "{day} has not come yet; a delivery that is still to come is an order: write "
                "ordered_on, ordered and due_from instead", day=Own(str(row.delivered_on)),
            )  # fmt: skip
            faults.append(Fault(DELIVERIES_FILE, row.line, "delivered_on", said))
        if row.ordered_on is not None and row.ordered_on > today:
            said = message(
                "site.order_to_come", "{day} has not come yet; note the order on the day it is placed",
                day=Own(str(row.ordered_on)),
            )  # fmt: skip
            faults.append(Fault(DELIVERIES_FILE, row.line, "ordered_on", said))
    return faults


def _upkeep_to_come(site: Site, today: date) -> Iterator[Fault]:
    """Yield what was done or read on a day that has not come yet."""
    table = site.table
    keys = ("ash_emptied", "last_swept", "store_cleaned")
    done = {f"upkeep.{key}": getattr(table.upkeep, key) for key in keys}
    for key, day in (done | {"buffer.now_on": table.buffer.now_on}).items():
        if day is not None and day > today:
            said = message(
                "site.upkeep_to_come", "{day} has not come yet; write the day on which it was done",
                day=Own(str(day)),
            )  # fmt: skip
            yield Fault(SITE_FILE, None, key, said)


def _day_of(row: DeliveryRow) -> date:
    """Day by which rows are sorted: that of the order, so that a row keeps its place when it is delivered."""
    return row.ordered_on or row.delivered_on or date.min


def _not_sorted(day: date | None, before: date | None) -> Message:
    return message(
        "site.rows_not_sorted", "{day} comes after {before} in the file; sort the rows by date",
        day=Own(str(day)), before=Own(str(before)),
    )  # fmt: skip


def _order_of_rows(site: Site) -> list[Fault]:
    readings = [(row.day, row.line) for row in site.readings]
    deliveries = [(_day_of(row), row.line) for row in site.deliveries]
    return [
        Fault(file, line, column, _not_sorted(day, before), rule=NOT_SORTED)
        for file, column, rows in (
            (READINGS_FILE, "date", readings), (DELIVERIES_FILE, "ordered_on", deliveries),
        )
        for (before, _), (day, line) in pairwise(rows)
        if day < before
    ]  # fmt: skip


def same_rows(site: Site) -> list[Fault]:
    """Return the rows that stand in the folder twice."""
    rows: list[tuple[str, int, tuple[object, ...]]] = [
        (
            DELIVERIES_FILE,
            r.line,
            (r.fuel, r.ordered_on, r.delivered_on, r.ordered, r.delivered, r.stack, r.wood),
        )
        for r in site.deliveries
    ]
    rows += [
        (READINGS_FILE, r.line, (r.fuel, r.day, r.reading, r.word, r.how, r.stack)) for r in site.readings
    ]
    faults, seen = list[Fault](), dict[tuple[object, ...], Own]()
    for file, number, key in rows:
        if first := seen.get((file, *key)):
            said = (
                message(
                    "site.same_delivery", "the same delivery stands in line {line}; remove one", line=first
                )
                if file == DELIVERIES_FILE
                else message(
                    "site.same_reading", "the same reading stands in line {line}; remove one", line=first
                )
            )
            faults.append(Fault(file, number, "", said))
        seen.setdefault((file, *key), Own(str(number)))
    return faults


def _away_faults(site: Site) -> list[Fault]:
    faults = []
    for i, away in enumerate(site.table.away):
        if away.indoor_c is not None and away.indoor_c > site.table.building.indoor_c:
            faults.append(
                Fault(SITE_FILE, None, f"away.{i}.indoor",
                      message(
"site.warmer_away", "{kept} is warmer than the usual {usual}; write what is kept meanwhile",
kept=Quantity.written(away.indoor_c, "degC", "g"),
usual=Quantity.written(site.table.building.indoor_c, "degC", "g")))
            )  # fmt: skip
    return faults


def _kg(kg: float) -> Quantity:
    return Quantity(kg, "mass", digits=3)
