"""What of the weather library is used beyond its documented names: listed, and noticed when it moves."""

from __future__ import annotations

import ast
import inspect
import re
import sys
from dataclasses import fields
from datetime import date
from pathlib import Path

import numpy as np
import pytest

import fuelplan
from fuelplan.weather import Place
from fuelplan.weather.sources import MeteostatRequest, meteostat_fetch, meteostat_tables
from fuelplan.weather.sources.meteostat_source import load_meteostat
from tests.weather_bulk_files import BulkHost, pointed_at

ROOM = Path(meteostat_tables.__file__).parent
PAGE = Path(fuelplan.__file__).parent / "docs" / "weather.md"
TODAY = date(2026, 1, 15)
HERE = Place(47.01, 9.01, 600.0, "Europe/Zurich")
MOVED = "this release of meteostat has moved it: see “The library and its inside” in weather.md"


def imported() -> set[str]:
    """Every name taken from below the library's own front, such as `meteostat.typing.ProviderSpec`."""
    found = set()
    for file in ROOM.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("meteostat."):
                found |= {f"{node.module}.{alias.name}" for alias in node.names}
            if isinstance(node, ast.Import):
                assert not [a.name for a in node.names if a.name.startswith("meteostat.")], file
    return found


def names_of_the_library() -> dict[str, int]:
    """What every name in the library's modules, loaded by now, stands for."""
    return {
        f"{module}.{name}": id(value)
        for module, held in list(sys.modules.items())
        if module.split(".")[0] == "meteostat"
        for name, value in list(vars(held).items())
    }


def test_the_page_lists_every_name_of_the_inside() -> None:
    """The table in weather.md holds the names imported from the library's inside, no more and no fewer."""
    listed = re.findall(r"^\| `(meteostat\.[\w.]+)`", PAGE.read_text("utf-8"), flags=re.M)
    assert set(listed) == imported() and len(listed) == len(set(listed))


def test_the_documented_names_and_settings_are_there() -> None:
    """The front of the library and its settings as its documentation names them."""
    import meteostat

    front = {"config", "daily", "hourly", "Granularity", "Parameter", "Point", "Station", "stations"}
    assert front <= set(meteostat.__all__), MOVED
    settings = {
        "daily_endpoint", "hourly_endpoint", "stations_db_endpoints", "stations_db_file", "stations_db_ttl",
    }  # fmt: skip
    assert all(hasattr(meteostat.config, name) for name in settings), MOVED
    for ask in (meteostat.daily, meteostat.hourly):
        assert {"start", "end", "parameters", "providers"} <= set(inspect.signature(ask).parameters), MOVED


def test_a_provider_can_be_registered_as_before() -> None:
    """The fields of a provider and the calls of the service that holds them."""
    from meteostat.core.providers import provider_service
    from meteostat.enumerations import Grade
    from meteostat.typing import ProviderSpec

    names = "id name granularity priority grade license parameters start end countries module"
    assert [field.name for field in fields(ProviderSpec)] == names.split(), MOVED
    assert list(inspect.signature(provider_service.register).parameters) == ["provider"], MOVED
    assert {"FORECAST", "ANALYSIS"} <= set(Grade.__members__), MOVED
    for step in ("daily", "hourly"):
        name = meteostat_tables.registered(step)
        assert meteostat_tables.registered(step) == name
        assert sum(provider.id == name for provider in provider_service.providers) == 1, MOVED
    assert {"dwd_mosmix", "metno_forecast"} <= meteostat_fetch.forecast_providers(), MOVED


@pytest.mark.parametrize("resolution", ["daily", "hourly"])
def test_the_library_reads_what_was_downloaded_and_downloads_nothing(tmp_path: Path, resolution: str) -> None:
    """Each table, and the list of stations, is asked for once: a library that went to the network by itself
    would ask for it again. And no name in any of its modules is another one afterwards.
    """
    for step in ("daily", "hourly"):
        meteostat_tables.registered(step)
    before = names_of_the_library()
    host = BulkHost()
    host.serve(tmp_path, range(2024, 2027), date(2026, 1, 25), lambda _: "isd_lite", hourly=True)
    request = MeteostatRequest(
        first_day=date(2025, 6, 1), stations=2, store_path=tmp_path / "weather.sqlite", timeout_s=5.0,
        resolution=resolution,  # type: ignore[arg-type]
    )  # fmt: skip
    with pointed_at(host):
        loaded = load_meteostat(request, HERE, None, None, TODAY)
    host.close()
    assert np.isfinite(loaded.weather.mean_c).all(), MOVED
    assert set(host.count.values()) == {1}, MOVED
    asked = {f"/{resolution}/{year}/{key}.csv.gz" for year in (2025, 2026) for key in ("T0001", "T0002")}
    assert set(host.count) == {"/stations.db", *asked}, MOVED
    assert loaded.weather.sources[0].attribution.startswith("Meteostat"), MOVED
    after = names_of_the_library()
    assert {name: after[name] for name in before} == before


def test_a_table_is_read_in_the_thread_that_holds_it_alone() -> None:
    """Without a table at hand our provider has nothing, and an error in one is kept, not swallowed."""
    assert meteostat_tables.fetch(None) is None
    with meteostat_tables.at_hand(b"a,b,c,d\n1,2,3,4\n", "daily") as held:
        assert meteostat_tables.fetch(None) is None
    assert held.error is not None
    assert meteostat_tables.fetch(None) is None
