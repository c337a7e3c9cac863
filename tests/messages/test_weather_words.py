"""What weather says: notes and faults made where no message may become a text, in words of any reader."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from fuelplan import answers
from fuelplan.messages import Message, Refusal, codes, render, strict
from fuelplan.units import Reader
from fuelplan.weather import DailyWeather, Origin, Place, WeatherTooThin, fill_gaps, possible_winters
from fuelplan.weather.degree_days import METHODS
from fuelplan.weather.sources import FileRequest, MonthlyRequest, WeatherFault, WeatherUnavailable, load
from fuelplan.weather.sources.store import VARIABLE, WeatherStore
from tests.pseudo_language import outside, speak_pseudo
from tests.site_folders import make_site
from tests.weather_truths import record

Floats = NDArray[np.float64]

US = Reader("us", "month first")
HOT = "date,mean_c\n2026-01-01,3\n2026-01-02,77\n"


def faults_of(folder: Path, text: str, **options: object) -> list[Message]:
    """What is said of the faults of a file."""
    path = folder / "weather.csv"
    path.write_text(text, encoding="utf-8")
    with strict(), pytest.raises(WeatherFault) as caught:
        load(FileRequest(path, **options), Place())  # type: ignore[arg-type]
    return [fault.said for fault in caught.value.faults if isinstance(fault.said, Message)]


def years_with(change: Callable[[Floats], None]) -> DailyWeather:
    """Three years of weather with something done to their temperatures."""
    mean_c = 8.0 + 9.0 * np.sin(2 * np.pi * (np.arange(3 * 365) - 110) / 365.25)
    change(mean_c)
    return record(mean_c, date(2021, 1, 1))


def test_a_fault_of_a_file_reads_in_the_units_of_its_reader(tmp_path: Path) -> None:
    """A temperature that cannot be is told with its bounds, in °C or °F; the cell stays as written."""
    (said,) = faults_of(tmp_path, HOT)
    assert codes(said) == ("weather_file.impossible_temperature",)
    assert render(said).startswith("77 degC is 77.0 °C, which cannot be")
    assert "between -60 and 55 °C" in render(said)
    assert render(said, US).startswith("77 degC is 171 °F") and "between -76 and 131 °F" in render(said, US)


def test_notes_of_gaps_and_winters_read_in_us_units() -> None:
    """Days that cannot be, the warming that past years are corrected for: made in strict mode, read in °F."""

    def hot(mean_c: Floats) -> None:
        mean_c[40] = 70.0

    with strict():
        filled, report = fill_gaps(years_with(hot))
        winters = possible_winters(filled, date(2023, 10, 1), 30, seed=1)
    assert [codes(note)[0] for note in report.notes] == ["weather.days_out_of_range"]
    assert render(report.notes[0]) == "1 day outside of -60 to 55 °C was taken as unknown."
    assert render(report.notes[0], US) == "1 day outside of -76 to 131 °F was taken as unknown."
    warming = winters.notes[0]
    assert codes(warming) == ("winters.warming",)
    assert " K per decade" in render(warming) and "adjusted towards 0.3 K" in render(warming)
    assert " °F per decade" in render(warming, US) and "adjusted towards 0.54 °F" in render(warming, US)


def test_refusals_of_weather_keep_their_message_across_processes(tmp_path: Path) -> None:
    """Each comes back from another process with what it carries."""

    def thin(mean_c: Floats) -> None:
        mean_c[100:800] = np.nan

    with strict(), pytest.raises(WeatherTooThin) as caught:
        fill_gaps(years_with(thin))
    again = pickle.loads(pickle.dumps(caught.value))
    assert again.said == caught.value.said and again.missing_share == pytest.approx(700 / 1095)
    (tmp_path / "w.csv").write_text(HOT)
    with pytest.raises(WeatherFault) as file:
        load(FileRequest(tmp_path / "w.csv"), Place())
    back = pickle.loads(pickle.dumps(file.value))
    assert back.faults == file.value.faults and back.path == file.value.path and str(back) == str(file.value)


def test_a_store_of_a_newer_program_is_not_called_damaged(tmp_path: Path) -> None:
    """What is wrong with the store is said as it is: a newer program wrote it."""
    path = tmp_path / "weather.sqlite"
    with WeatherStore(path) as store:
        store._db.execute("PRAGMA user_version=99")
    with strict(), pytest.raises(WeatherUnavailable) as caught:
        WeatherStore(path)
    assert codes(caught.value.said) == ("weather_store.newer",)
    assert VARIABLE in render(caught.value.said)


def test_a_monthly_mean_that_cannot_be_is_refused(tmp_path: Path) -> None:
    """It is named, with the bounds."""
    means = (-2.0, 0.0, 4.0, 9.0, 13.0, 170.0, 19.0, 18.0, 14.0, 9.0, 3.0, -1.0)
    with strict(), pytest.raises(Refusal) as caught:
        load(MonthlyRequest(means), Place())
    assert render(caught.value.said).startswith("a monthly mean of 170 cannot be")


def test_weather_speaks_any_language(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Methods of degree-days, a folder's weather and its faults: no word that did not come through the
    catalogue.
    """
    monthly = "monthly_means = [-2, 0, 4, 9, 13, 17, 19, 18, 14, 9, 3, -1]"
    house = make_site(
        tmp_path / "a", changes=[('source = "file"\nfile = "weather.csv"', f'source = "monthly"\n{monthly}')]
    )
    day = date(2020, 12, 1)
    with strict():
        site = answers.open_site(house)
        weather = answers.weather_for(site, day)
    assert bool((weather.record.origin == Origin.GENERATED).all())
    said = [*weather.notes, *(m.says for m in METHODS.values()), *(m.source for m in METHODS.values())]
    said += faults_of(tmp_path, "date,mean_c\n2026-01-01,3,4\nfoo,1\n1.1.2026,2\n2026-01-02,x\n")
    said += faults_of(tmp_path, "date,mean_c\n2026-01-01,3\n2026-01-01,4\n", columns=None)
    said += faults_of(tmp_path, "day,t\n2026-01-01,3\n")
    assert len(said) >= 31
    pseudo = speak_pseudo(monkeypatch, tmp_path / "xx")
    with strict():
        assert not [render(one, pseudo) for one in said if outside(render(one, pseudo))]
