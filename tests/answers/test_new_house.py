"""A newcomer's form becomes a folder that answers; what cannot be meant is refused at its field."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import FieldFaults, NewHouse, WeatherFile
from fuelplan.messages import as_text
from fuelplan.records.folder.new_folder import FolderError, folder_word, new_folder
from fuelplan.records.site.towns import UnknownTown, country_names, find_town, time_zone_of
from tests.site_folders import wave_c, write_weather

DAY = date(2020, 12, 1)
SOUND = NewHouse(use="5 t", store="6 t", level="40 %", weather="file")
WRONG = {
    "letters": "a lot",
    "negative": "-3 t",
    "huge": "99999999 t",
    "another unit": "20 m2",
    "no unit": "1500 apples",
    "decimal comma": "1,5 t",
    "html": "<script>alert(1)</script>",
    "formula": "=1+1",
    "emoji": "🔥🔥",
    "long": "9" * 10_000,
}


@pytest.fixture(scope="module")
def weather(tmp_path_factory: pytest.TempPathFactory) -> WeatherFile:
    """A weather file as a person hands it in."""
    path = tmp_path_factory.mktemp("weather") / "weather.csv"
    write_weather(path, date(2000, 1, 15), wave_c(365 * 21))
    return WeatherFile("my weather.csv", path.read_bytes())


def test_three_entries_and_a_weather_are_enough_for_an_answer(tmp_path: Path, weather: WeatherFile) -> None:
    """Use, store and level, with a weather file, make a folder without faults, and the folder answers."""
    folder = answers.draft_house(SOUND, tmp_path, DAY, weather)
    site = answers.open_site(folder)
    assert site.table.store.capacity_kg == 6000
    # Ten January days: January takes 170 of 1,000 parts of a heating year (VDI 2067 sheet 1, 1983).
    assert site.table.store.reserve_kg == pytest.approx(5000 * 0.170 * 10 / 31, abs=5)
    answer = answers.order(site, answers.weather_for(site, DAY), DAY)
    assert answer.stocks[0].kg == pytest.approx(0.4 * 6000, rel=0.1)
    assert answer.order is not None


def test_every_entry_reaches_the_folder(tmp_path: Path, weather: WeatherFile) -> None:
    """What was written stands in the folder, in the person's own units."""
    house = NewHouse(
        name='The "old" mill', country="AT", town="innsbruck", use="11000 lb", store="400 bags",
        level="160 bags", delivered_on=date(2020, 9, 1), delivered="2480 kg", filled_full=True,
        reserve="5 bags".replace("5 bags", "250 kg"), lead_time="4 to 10", smallest_drop="2 t",
        price="310 EUR/t", indoor="68 degF", people="4", rated="50 kBTU/h", installed="2014", risk="1 in 20",
        weather="file",
    )  # fmt: skip
    site = answers.open_site(answers.draft_house(house, tmp_path, DAY, weather))
    table = site.table
    assert table.name == 'The "old" mill'
    assert (table.place.country, table.place.time_zone) == ("AT", "Europe/Vienna")
    assert table.place.latitude == pytest.approx(47.26, abs=0.05)
    assert table.building.pellets_a_year_kg == pytest.approx(11000 * 0.45359237)
    assert table.store.capacity_kg == 6000
    assert table.supply.lead_time == (4, 10)
    assert table.supply.price == (pytest.approx(0.31), "EUR")
    assert table.building.indoor_c == pytest.approx(20)
    assert (table.building.people, table.boiler.installed) == (4, 2014)
    assert table.risk.per_order == 0.05
    assert site.deliveries[0].filled_full
    assert len(site.readings) == 1


@pytest.mark.parametrize(
    ("burns", "use", "pellets_kg"),
    [
        ("oil", "2400 litres", 2400 * 10 * 0.84),
        ("gas", "2600 m3", 26000 * 0.85),
        ("gas", "28857 kWh", 26000 * 0.85),
    ],
)
def test_oil_and_gas_become_heat(
    tmp_path: Path, weather: WeatherFile, burns: str, use: str, pellets_kg: float
) -> None:
    """Litres and cubic metres at 10 kWh net (value from memory), times the old boiler's efficiency, are the
    heat that is planned with."""
    from fuelplan.answers.one_fire import setting_of

    house = replace(SOUND, burns=burns, use=use)  # type: ignore[arg-type]
    site = answers.open_site(answers.draft_house(house, tmp_path, DAY, weather))
    record = answers.weather_for(site, DAY).weather
    need = setting_of(site, record, DAY).need
    months = [d.month for d in record.dates.tolist()]
    import numpy as np

    heat = need.daily_kwh(record.mean_c, np.array(months)).sum() / (len(months) / 365.25)
    assert heat == pytest.approx(pellets_kg, rel=0.02)


@pytest.mark.parametrize(
    "field", ["use", "store", "level", "reserve", "lead_time", "smallest_drop", "price", "indoor", "people",
              "rated", "installed", "risk", "latitude", "longitude", "town", "country"]
)  # fmt: skip
@pytest.mark.parametrize("wrong", list(WRONG))
def test_wrong_entries_are_refused_at_their_field(
    tmp_path: Path, weather: WeatherFile, field: str, wrong: str
) -> None:
    """Whatever is written: a sentence at that very field, no error of the program, nothing on disk."""
    house = replace(SOUND, **{"country": "AT", field: WRONG[wrong]})  # type: ignore[arg-type]
    with pytest.raises(FieldFaults) as problem:
        answers.draft_house(house, tmp_path, DAY, weather)
    assert field in problem.value.faults
    assert 10 < len(as_text(problem.value.faults[field])) < 400
    assert not list(tmp_path.iterdir())


def test_what_is_missing_is_said_at_its_field(tmp_path: Path) -> None:
    """An empty form names each of the things that cannot be left out."""
    with pytest.raises(FieldFaults) as problem:
        answers.draft_house(NewHouse(), tmp_path, DAY)
    assert set(problem.value.faults) == {"use", "store", "level", "town"}
    with pytest.raises(FieldFaults) as problem:
        answers.draft_house(replace(SOUND, weather="file"), tmp_path, DAY)
    assert set(problem.value.faults) == {"weather_file"}
    with pytest.raises(FieldFaults) as problem:
        answers.draft_house(replace(SOUND, weather="monthly"), tmp_path, DAY)
    assert set(problem.value.faults) == {"monthly_means"}


def test_what_does_not_fit_together_is_said(tmp_path: Path, weather: WeatherFile) -> None:
    """More in the store than it holds, a delivery of tomorrow, a delivery without its amount."""
    cases = [
        (replace(SOUND, level="9 t"), "level"),
        (replace(SOUND, level="", delivered_on=date(2020, 12, 2), delivered="2 t"), "delivered_on"),
        (replace(SOUND, level="", delivered_on=date(2020, 11, 2)), "delivered"),
        (replace(SOUND, level="", delivered="2 t"), "delivered_on"),
        (replace(SOUND, store="2 t", level="1 t"), "store"),
        (replace(SOUND, reserve="6 t"), "reserve"),
        (replace(SOUND, latitude="47.1"), "longitude"),
        (replace(SOUND, weather="monthly", monthly_means="1 2 3"), "monthly_means"),
        (replace(SOUND, weather="monthly", monthly_means="1 2 3 4 5 6 7 8 9 10 11 99"), "monthly_means"),
    ]
    for house, field in cases:
        with pytest.raises(FieldFaults) as problem:
            answers.draft_house(house, tmp_path, DAY, weather)
        assert set(problem.value.faults) == {field}, house


def test_a_weather_file_that_cannot_be_used_is_said(tmp_path: Path) -> None:
    """A file without temperatures is refused at the field of the file."""
    with pytest.raises(FieldFaults) as problem:
        answers.draft_house(
            replace(SOUND, weather="file"), tmp_path, DAY, WeatherFile("a.csv", b"x,y\n1,2\n")
        )
    assert "date" in as_text(problem.value.faults["weather_file"])
    with pytest.raises(FieldFaults):
        answers.draft_house(replace(SOUND, weather="file"), tmp_path, DAY, WeatherFile("a.csv", b"\x00\x01"))


def test_monthly_means_answer_without_any_file(tmp_path: Path) -> None:
    """Twelve numbers, however parted, are a weather."""
    for means in ("-2 0 4 9 13 17 19 18 14 9 3 -1", "-2; 0; 4; 9; 13; 17; 19; 18; 14; 9; 3; -1",
                  "-2.5,0.1,4,9,13,17,19,18,14,9,3,-1", "-2,5 0,1 4 9 13 17 19 18 14 9 3 -1"):  # fmt: skip
        house = replace(SOUND, weather="monthly", monthly_means=means)
        site = answers.open_site(answers.draft_house(house, tmp_path, DAY))
        assert site.table.weather.monthly_means_c is not None
        assert site.table.weather.monthly_means_c[:3] == pytest.approx((-2, 0, 4), abs=0.51)


def test_keeping_never_writes_over_another_house(tmp_path: Path, weather: WeatherFile) -> None:
    """Two houses of one name become two folders; both are whole."""
    draft = answers.draft_house(replace(SOUND, name="Haus am Hügel"), tmp_path / "drafts", DAY, weather)
    (tmp_path / "houses" / "haus_am_hugel_2").mkdir(parents=True)  # somebody's, still empty
    first = answers.keep_house(draft, tmp_path / "houses")
    second = answers.keep_house(draft, tmp_path / "houses")
    assert (first.name, second.name) == ("haus_am_hugel", "haus_am_hugel_3")
    assert answers.open_site(first).name == answers.open_site(second).name == "Haus am Hügel"
    assert sorted(f.name for f in first.iterdir()) == [
        "deliveries.csv",
        "readings.csv",
        "site.toml",
        "weather.csv",
    ]


def test_folder_names_lead_nowhere() -> None:
    """Whatever a place is called, its folder has a plain name."""
    for name in ("../../etc/passwd", "/root", "a\x00b", "", "🔥", "con", ".hidden", "x" * 300):
        word = folder_word(name)
        assert word
        assert len(word) <= 40
        assert set(word) <= set("abcdefghijklmnopqrstuvwxyz0123456789_")
    assert folder_word("Überblick 7") == "uberblick_7"


def test_a_file_name_that_leads_elsewhere_is_refused(tmp_path: Path) -> None:
    """No file of a new folder is written outside it, and nothing stays behind."""
    for name in ("../a", "/tmp/a", ".hidden", "a/b"):
        with pytest.raises(FolderError):
            new_folder(tmp_path / "x", "a", {name: b"1"})
    assert not (tmp_path / "x").exists()


def test_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    """Where a file stands in the way the sentence says so."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(FolderError, match="nothing can be written"):
        new_folder(tmp_path / "file" / "houses", "a", {"a": b"1"})


def test_towns_are_found_without_a_network() -> None:
    """Accents, case and further names do not matter; a slip is answered with the nearest name."""
    assert find_town("MUNCHEN", "DE").name == find_town("Munich", "DE").name
    assert find_town("wien", "AT").time_zone == "Europe/Vienna"
    assert find_town("Zürich", "CH").latitude == pytest.approx(47.37, abs=0.05)
    with pytest.raises(UnknownTown, match="did you mean Innsbruck"):
        find_town("Insbruck", "AT")
    with pytest.raises(UnknownTown, match="next larger town"):
        find_town("x" * 10_000, "AT")


def test_time_zones_follow_the_country_and_the_place() -> None:
    """A land of one zone has that; in a land of many the nearest city's counts."""
    assert time_zone_of("CH") == "Europe/Zurich"
    assert time_zone_of("US", 47.6, -122.3) == "America/Los_Angeles"
    assert time_zone_of("") == "UTC"
    assert country_names()["AT"] == "Austria"
