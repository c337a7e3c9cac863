"""`--refetch` on the verbs that fetch weather, a server that sent too little, and weather on a page."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import streamlit as st

from fuelplan import answers
from fuelplan.cli.main import fuelplan, main
from fuelplan.units import show_date
from fuelplan.weather.sources.meteostat_source import ATTRIBUTION
from fuelplan.weather.sources.store import VARIABLE
from tests.round_folders import make_round
from tests.site_folders import make_site
from tests.ui_pages import heading, opened, words
from tests.weather_bulk_files import BulkHost, pointed_at

LAST = date(2026, 1, 20)
STATIONS = ('source = "file"\nfile = "weather.csv"', 'source = "meteostat"\nstations = 2\nfirst_year = 2018')
PLACE = (
    'time_zone = "Europe/Berlin"',
    'time_zone = "Europe/Berlin"\nlatitude = "47.01"\nlongitude = "9.01"\nelevation = "600 m"',
)
DAY = ("format = 1", "format = 1\nexample_date = 2026-01-15")
READINGS = "date,reading,how\n2025-11-01,4 t,measured\n2026-01-10,2.6 t,measured\n"


@pytest.fixture
def host(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[BulkHost]:
    """A host with three stations, and a store of the test's own."""
    monkeypatch.setenv(VARIABLE, str(tmp_path / "weather.sqlite"))
    bulk = BulkHost()
    bulk.serve(tmp_path, range(2018, 2027), LAST, lambda _: "isd_lite")
    with pointed_at(bulk):
        yield bulk
    bulk.close()


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A house with open station data."""
    return make_site(tmp_path / "house", readings=READINGS, changes=[STATIONS, PLACE, DAY])


def called(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, Any]]:
    """Run a verb with --json; return its status and its document."""
    with pytest.raises(SystemExit) as left:
        main([*arguments, "--json"])
    return int(left.value.code or 0), json.loads(capsys.readouterr().out)


def test_refetch_asks_for_everything_anew(
    host: BulkHost, site: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is settled is not asked for twice, with --refetch it is, and the answer is the same."""
    given = ("order", str(site), "--as-of", "2026-01-15")
    _, first = called(capsys, *given)
    assert "error" not in first
    host.count.clear()
    called(capsys, *given)
    assert not [path for path in host.count if "/2019/" in path or "stations" in path]
    _, anew = called(capsys, *given, "--refetch")
    assert {"/stations.db", "/daily/2019/T0001.csv.gz", "/daily/2025/T0002.csv.gz"} <= set(host.count)
    assert anew == first


def test_every_verb_that_fetches_weather_can_do_it_anew() -> None:
    """The verbs that read a folder's weather have the option; those that fetch none have not."""
    verbs = fuelplan.commands.items()
    having = {name for name, verb in verbs if any(p.name == "refetch" for p in verb.params)}
    assert having == {"order", "learn", "size", "report", "outlook", "runs", "replay"}


@pytest.mark.parametrize("verb", ["order", "learn", "size", "outlook", "runs", "replay"])
def test_refetch_where_nothing_is_fetched_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], verb: str
) -> None:
    """A folder whose weather is a file: the option would be without effect, so it is refused."""
    house = verb in {"order", "learn", "size"}
    folder = make_site(tmp_path / "it") if house else make_round(tmp_path / "it")
    status, found = called(capsys, verb, str(folder), "--refetch")
    assert status == 2 and "nothing is fetched" in found["error"]["message"]


def test_a_record_too_thin_says_what_the_server_did(
    host: BulkHost, site: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Years that came as nothing are named, with what happens next; no word of a neighbouring station."""
    for path in [p for p in host.files if p.startswith("/daily/") and not p.startswith("/daily/202")]:
        del host.files[path]
    for path in [p for p in host.files if p.startswith(("/daily/2020", "/daily/2021", "/daily/2022"))]:
        del host.files[path]
    status, found = called(capsys, "order", str(site), "--as-of", "2026-01-15")
    said = found["error"]["message"]
    assert status == 3 and "2018, 2019, 2020, 2021, 2022" in said and "asked for them again" in said
    assert "neighbour" not in said
    host.status = dict.fromkeys([p for p in host.files if p.startswith("/daily")], 403)
    status, found = called(capsys, "order", str(site), "--as-of", "2026-01-15", "--refetch")
    assert status == 3 and "refuses the question (403)" in found["error"]["message"]


def test_weather_is_fetched_from_a_page(host: BulkHost, site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page of a house with station data fetches it and answers; a server's no is told in words."""
    st.cache_resource.clear()
    st.cache_data.clear()
    host.status = dict.fromkeys([p for p in host.files if p.startswith("/daily")], 403)
    page = opened("when_to_order", site, monkeypatch)
    assert "refuses the question (403)" in words(page) and "Traceback" not in words(page)
    host.status = {}
    page.run()
    weather = answers.weather_for(answers.open_site(site), date(2026, 1, 15))
    expected = answers.order(answers.open_site(site), weather, date(2026, 1, 15))
    assert expected.order is not None and f"by {show_date(expected.order.order_by)}" in heading(page)
    assert ATTRIBUTION in words(page)
