"""Whether `round.toml` fits together: names, classes, money, files, loads."""

from __future__ import annotations

from pathlib import Path

from fuelplan.messages import Own, Quantity, message
from fuelplan.records.schema import ROUND_FILE, RoundTable, areas_of
from fuelplan.records.site import named_file_faults, place_faults
from fuelplan.records.tables import Fault, in_quotes


def table_faults(path: Path, table: RoundTable) -> list[Fault]:
    """Return what does not fit together within `round.toml`, and the files it names."""
    return [
        *place_faults(ROUND_FILE, table.place, table.weather),
        *_area_faults(table),
        *_file_faults(path, table),
        *_class_faults(table),
        *_money_faults(table),
        *_fleet_faults(table),
    ]


def _area_faults(table: RoundTable) -> list[Fault]:
    if "meteostat" not in {table.weather.source, table.weather.fallback}:
        return []
    said = message("round.no_place", "station weather needs latitude and longitude here or under [place]")
    return [
        Fault(ROUND_FILE, None, f"area.{i}.latitude", said)
        for i, area in enumerate(areas_of(table) if table.areas else ())
        if area.place.latitude is None or area.place.longitude is None
    ]


def _file_faults(path: Path, table: RoundTable) -> list[Fault]:
    faults = []
    if "file" in {table.weather.source, table.weather.fallback}:
        if not table.areas or any(area.file is None for area in table.areas):
            faults += named_file_faults(path, ROUND_FILE, "weather.file", table.weather.file)
        for i, area in enumerate(table.areas):
            faults += named_file_faults(path, ROUND_FILE, f"area.{i}.file", area.file)
    if table.distances.kind == "file":
        faults += named_file_faults(path, ROUND_FILE, "distances.file", table.distances.file)
    return faults


def _class_faults(table: RoundTable) -> list[Fault]:
    """Return the classes named anywhere that the round does not sell."""
    named = [(f"prices.{k}", k) for k in table.prices]
    for i, depot in enumerate(table.depots):
        named += [(f"depot.{i}.stock.{k}", k) for k in depot.stock_kg or {}]
        named += [(f"depot.{i}.arriving.{j}.class", a.grade) for j, a in enumerate(depot.arriving)]
    for i, tanker in enumerate(table.tankers):
        named += [(f"tanker.{i}.classes", k) for k in tanker.classes]
        named += [(f"tanker.{i}.aboard.{k}", k) for k in tanker.aboard_kg]
    return [
        Fault(
            ROUND_FILE, None, key,
            message(
                "round.class_not_sold", '"{grade}" is not one of the classes you sell; classes = [{classes}]',
                grade=Own(k), classes=in_quotes(table.classes),
            ),
        )
        for key, k in named
        if k not in table.classes
    ]  # fmt: skip


def _money_faults(table: RoundTable) -> list[Fault]:
    money = table.money
    return [
        Fault(
            ROUND_FILE, None, key,
            message(
                "round.another_money", "in {money}, but the round's currency is {own}; write one money",
                money=Own(found), own=Own(str(money)),
            ),
        )
        for key, (_, found) in table.moneys()
        if found != money
    ]  # fmt: skip


def _fleet_faults(table: RoundTable) -> list[Fault]:
    faults = []
    depots = [depot.name for depot in table.depots]
    for i, depot in enumerate(table.depots):
        if depot.latitude == 0 and depot.longitude == 0:
            said = message("round.depot_in_the_ocean", "0, 0 lies in the ocean; write where the depot is")
            faults.append(Fault(ROUND_FILE, None, f"depot.{i}.latitude", said))
    for i, tanker in enumerate(table.tankers):
        if tanker.depot not in depots:
            said = message(
                "round.no_depot", 'there is no depot "{depot}"; write one of {depots}',
                depot=Own(tanker.depot), depots=Own(", ".join(depots)),
            )  # fmt: skip
            faults.append(Fault(ROUND_FILE, None, f"tanker.{i}.depot", said))
        if sum(tanker.aboard_kg.values()) > tanker.carries_kg:
            said = message(
                "round.too_much_aboard", "more is aboard than the tanker carries ({most})",
                most=Quantity.written(tanker.carries_kg / 1000, "t", "g"),
            )  # fmt: skip
            faults.append(Fault(ROUND_FILE, None, f"tanker.{i}.aboard", said))
        if len([kg for kg in tanker.aboard_kg.values() if kg > 0]) > len(tanker.chambers_kg):
            said = message(
                "round.too_many_classes_aboard", "more classes are aboard than the tanker has chambers"
            )
            faults.append(Fault(ROUND_FILE, None, f"tanker.{i}.aboard", said))
    return faults
