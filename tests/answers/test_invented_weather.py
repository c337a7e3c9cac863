"""Invented weather is said wherever its answers go: sentence, headline, calendar, report, JSON."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import weather_of_site
from fuelplan.answers.weather_of_site import INVENTED
from fuelplan.answers.when_to_order import headline
from fuelplan.answers.when_to_order.events import order_events
from fuelplan.cli import main
from fuelplan.messages import render
from fuelplan.pages.size import words as size_words
from fuelplan.pages.texts import runs_plan
from fuelplan.papers import run_sheets, runs_calendar
from fuelplan.papers.calendars import order_calendar
from fuelplan.papers.document import document_of
from fuelplan.weather import Origin, Source
from fuelplan.weather.sources import FileRequest, load
from tests.plan_checker.texts import texts
from tests.round_folders import make_round
from tests.site_folders import make_site, wave_c

INVENTED_SAID = render(INVENTED)
SITES = Path(__file__).parents[2] / "demo_sites"
DAY = date(2026, 1, 15)


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Standard output of one call."""
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert not left.value.code
    return capsys.readouterr().out


def test_every_face_of_an_order_says_it() -> None:
    """The demo house: sentence, headline, every title and text of its calendar, and the JSON."""
    site = answers.open_site(SITES / "family_house")
    found = answers.order(site, answers.weather_for(site, DAY), DAY)
    assert str(found.sentence).startswith(INVENTED_SAID)
    assert str(headline(found)).startswith("Invented weather, so only a try. ")
    assert found.to_json()["weather"]["invented"] is True
    events = order_events(found)
    assert events and all(str(e.title).startswith("Invented weather: ") for e in events)
    assert all(str(e.text).startswith(INVENTED_SAID) for e in events)
    assert order_calendar(found).count(b"SUMMARY:Invented weather") == len(events)


def test_real_weather_is_not_called_invented(tmp_path: Path) -> None:
    """The same answer from a file that does not say it is made up has none of these words."""
    first = date(2000, 1, 15)
    site = answers.open_site(make_site(tmp_path / "house", first=first, mean_c=list(wave_c(21 * 365))))
    found = answers.order(site, answers.weather_for(site, date(2020, 12, 1)), date(2020, 12, 1))
    assert found.to_json()["weather"]["invented"] is False
    said = [found.sentence, headline(found)]
    said += [part for e in order_events(found) for part in (e.title, e.text)]
    assert "nvented" not in "\n".join(map(str, said))


def test_sizes_and_the_report_say_it() -> None:
    """The demo school: sentence, headline, JSON, and the first lines of the printed report."""
    site = answers.open_for_sizing(SITES / "village_school")
    found = answers.size(site, answers.weather_for(site, DAY), DAY)
    assert str(found.sentence).startswith(INVENTED_SAID)
    assert str(size_words.headline(found)).startswith("Invented weather, so only a try. ")
    assert found.to_json()["weather"]["invented"] is True
    assert document_of(found)["answer"].startswith(INVENTED_SAID)


def test_learning_says_it(capsys: pytest.CaptureFixture[str]) -> None:
    """`learn` prints it and has it in its JSON."""
    house = str(SITES / "family_house")
    assert INVENTED_SAID in printed(capsys, "learn", house)
    assert INVENTED_SAID in texts(json.loads(printed(capsys, "learn", house, "--json"))["sentences"])


def test_every_face_of_a_round_says_it_first(capsys: pytest.CaptureFixture[str]) -> None:
    """`outlook` and `runs`: first sentence, headline, JSON, every driver's sheet and title of the calendar;
    once each, not again among the notes.
    """
    round_ = str(SITES / "round_quellmark")
    asked = {
        "outlook": ["outlook", round_, "--json"],
        "runs": ["runs", round_, "--days", "2", "--moves", "1000", "--json"],
    }
    for verb, words in asked.items():
        found = json.loads(printed(capsys, *words))
        assert texts(found["sentences"])[0] == INVENTED_SAID, verb
        assert INVENTED_SAID not in texts(found["notes"]), verb
        assert found["weather"]["invented"] is True, verb
    opened = answers.open_round(round_)
    plan = answers.runs(opened, answers.weather_for_round(opened, DAY), DAY, days=2, moves=1000)
    assert str(runs_plan.headline(plan)).startswith("Invented weather, so only a try. ")
    sheets = run_sheets.sheets_of(plan)["sheets"]
    assert sheets and all(sheet["invented"] == INVENTED_SAID for sheet in sheets)
    calendar = runs_calendar(plan)
    assert calendar.count(b"SUMMARY:Invented weather: ") == len(plan.runs) > 0
    real = replace(plan, invented=False)
    assert "nvented" not in str(runs_plan.headline(real))
    assert [sheet["invented"] for sheet in run_sheets.sheets_of(real)["sheets"]] == [""] * len(sheets)
    assert b"nvented" not in runs_calendar(real)
    apart = answers.runs_by_depot(opened, answers.weather_for_round(opened, DAY), DAY, days=2, moves=300)
    assert apart.invented and render(apart.sentences[0]) == INVENTED_SAID


@pytest.mark.parametrize("made_up", [False, True])
def test_a_round_says_it_once_and_only_where_it_is_so(tmp_path: Path, made_up: bool) -> None:
    """In the whole document of `outlook` and of `runs`."""
    invented = ("round.toml", 'file = "weather.csv"', 'file = "weather.csv"\ninvented = true')
    changes = [invented] if made_up else []
    opened = answers.open_round(make_round(tmp_path / "r", changes=changes))
    weather, day = answers.weather_for_round(opened), date(2026, 1, 12)
    found = [
        answers.outlook(opened, weather, day, days=30).to_json(),
        answers.runs(opened, weather, day, days=2, moves=100).to_json(),
    ]
    for document in found:
        assert (texts(document["sentences"])[0] == INVENTED_SAID) is made_up
        said = texts(document["sentences"] + document["notes"])
        assert sum("nvented" in text for text in said) == made_up
        assert document["weather"]["invented"] is made_up


def test_measured_days_beside_an_invented_fall_back_stay_measured(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A station server has the days, the made-up file of the folder only fills: those alone are invented."""
    folder = make_site(
        tmp_path / "house", first=date(2000, 1, 15), mean_c=list(wave_c(21 * 365)),
        changes=[('source = "file"', 'source = "meteostat"\nfallback = "file"\ninvented = true'),
                 ('country = "DE"', 'country = "DE"\nlatitude = 48.0\nlongitude = 11.0')],
    )  # fmt: skip
    site = answers.open_site(folder)
    stations = load(FileRequest(path=folder / "weather.csv"), weather_of_site.place_of(site.table.place))
    known = stations.weather.dates < np.datetime64("2015-01-01")
    measured = replace(
        stations.weather,
        mean_c=np.where(known, stations.weather.mean_c, np.nan),
        origin=np.where(known, Origin.OBSERVED, Origin.MISSING).astype(np.uint8),
        sources=(Source("weather stations", "", ""),),
    )

    def loaded(request: object, *args: object, **more: object) -> object:
        if isinstance(request, FileRequest):
            return load(request, *args, **more)  # type: ignore[arg-type]
        return replace(stations, weather=measured)

    monkeypatch.setattr("fuelplan.weather.sources.loading.load", loaded)
    found = answers.weather_for(site, date(2020, 12, 1))
    assert found.invented
    dates, origin = found.record.dates, found.record.origin
    assert (origin[dates < np.datetime64("2015-01-01")] == Origin.OBSERVED).all()
    filled = (dates >= np.datetime64("2015-01-01")) & (dates <= np.datetime64("2020-12-01"))
    assert (origin[filled] == Origin.INVENTED).all()
