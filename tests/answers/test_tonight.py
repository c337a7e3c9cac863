"""Tonight: from the buffer's temperatures to the logs that may be loaded and the hour of the next fire."""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers.when_to_order import tonight_rows
from fuelplan.messages import as_text
from tests.answers.test_wood_yard import ask

FARM = Path(__file__).parents[2] / "demo_sites" / "farmhouse"
DAY = date(2026, 1, 15)  # a Thursday
LOAD_KWH = 24 * (5.0 * 0.82 - 0.6786 * 0.18) * 0.86


def read(folder: Path, shows: str, at: str, day: date = DAY, *changes: tuple[str, str]) -> Path:
    """The farmhouse with its buffer read, and other changes of its settings."""
    shutil.copytree(FARM, folder)
    text = (folder / "site.toml").read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (folder / "site.toml").write_text(text)
    answers.record_buffer(folder, day, at, shows, today=day)
    return folder


def usual_c(day: date) -> float:
    """Mean of a day of the year over the weather file, a week around it. [degC]"""
    rows = [line.split(",") for line in (FARM / "weather.csv").read_text().splitlines()[1:]]
    near = {(day + timedelta(days=d)).strftime("%m-%d") for d in range(-3, 4)}
    return sum(found := [float(r[1]) for r in rows if r[0][5:] in near]) / len(found)


def lived(shows: list[float], at: float, day: date) -> tuple[float | None, float | None]:
    """The hours of the next full load and of the end of the buffer's heat, quarter by quarter: a house of
    350 W/K below 16.8 °C that takes 9.5 kWh of hot water, its buffer of 2,000 l between 40 and 80 °C, and
    people at home as the folder says. [h from midnight]
    """
    kwh_a_k = 2000 * 1.163 / 1000
    held = kwh_a_k * sum(max(0.0, c - 40) for c in shows) / len(shows)
    free = kwh_a_k * (80 - sum(shows) / len(shows))
    whole = held + free

    def takes(hour: float) -> float:
        """The house. [kW]"""
        heating = 0.350 * max(0.0, 16.8 - usual_c(day + timedelta(days=int(hour // 24))))
        return heating + (9.5 / 5 if hour % 24 // 1 in (6, 7, 8, 18, 19) else 0.0) + 0.3

    fire, gone, hour, left = None, None, at, held
    while hour < 72 and (fire is None or gone is None):
        today = day + timedelta(days=int(hour // 24))
        begin = 8 if today.weekday() >= 5 else 17
        meanwhile = sum(takes(hour + q / 4) / 4 for q in range(20))
        if fire is None and (begin <= hour % 24 < 21 or hour == at) and whole - left + meanwhile >= LOAD_KWH:
            fire = hour
        if gone is None and left <= 0:
            gone = hour
        left = max(0.0, left - takes(hour) / 4)
        hour += 0.25
    return fire, gone


CASES = [
    ([79.0, 78.0, 76.0], "06:00", date(2026, 1, 17)),
    ([79.0, 78.0, 76.0], "08:00", date(2026, 1, 17)),
    ([75.0, 70.0, 60.0], "08:00", date(2026, 1, 17)),
    ([70.0, 66.0, 60.0], "09:30", date(2026, 1, 18)),
    ([80.0, 79.0, 78.0], "10:00", date(2026, 1, 18)),
    ([80.0, 80.0, 72.0], "05:00", date(2026, 2, 7)),
    ([72.0, 70.0, 64.0], "20:00", date(2026, 1, 16)),
    ([78.0, 70.0, 55.0], "19:00", date(2026, 1, 15)),
    ([55.0, 45.0, 42.0], "17:30", date(2026, 1, 15)),
    ([77.0, 74.0, 66.0], "17:00", date(2026, 2, 6)),
]


def test_the_next_fire_is_that_of_a_reckoning_of_its_own(tmp_path: Path) -> None:
    """Ten evenings and mornings of usual weather: the next full load fits within two hours of an own
    reckoning by quarters of an hour with the true house in at least 8 of 10, and so ends the heat where it
    is told.
    """
    fires, ends, told_ends = 0, 0, 0
    for number, (shows, at, day) in enumerate(CASES):
        folder = read(tmp_path / str(number), " ".join(map(str, shows)), at, day)
        found = ask(folder, day)
        assert found.logs is not None and found.logs.tonight is not None
        told = found.logs.tonight
        fire, gone = lived(shows, told.read_at_h, day)
        assert told.light_at_h is not None and fire is not None
        fires += abs(told.light_at_h - fire) <= 2.0
        if told.over_at_h is not None:
            told_ends += 1
            ends += gone is not None and abs(told.over_at_h - gone) <= 2.0
    assert fires >= 8
    assert told_ends >= 3 and ends >= 0.8 * told_ends


def test_what_is_told_on_a_screen(tmp_path: Path) -> None:
    """A nearly full buffer in the evening: a kilogram now, a whole load only the next evening when
    somebody is at home, and pellets from the morning on; rows of one screen.
    """
    rows = tonight_rows(ask(read(tmp_path / "a", "79 78 76", "20:00")))
    told = {as_text(row.name): as_text(row.value) for row in rows}
    assert told["Load now, at most"] == "1 kg"
    assert told["A full load of 24 kg"] == "16 January, 17:00"
    assert told["The buffer's heat lasts until"].startswith("16 January, 0")
    assert told["Loads this week"].endswith("a day")
    assert len(rows) == 4


def test_a_load_that_fits_is_told_so(tmp_path: Path) -> None:
    """A cold buffer takes all: the load is told as kilograms, and that it fits now; pellets are not named."""
    rows = tonight_rows(ask(read(tmp_path / "a", "45 42 40", "20:00")))
    told = {as_text(row.name): as_text(row.value) for row in rows}
    assert told["Load now, at most"] == "24 kg" and told["A full load of 24 kg"] == "fits now"
    assert len(rows) == 3


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ((('water = "18 % wet"\nload', 'water = "30 % wet"\nload'),), "Light no fire with wet logs"),
        (
            (("since = 2024-02-20", "since = 2025-10-01"), ("since = 2025-03-10", "since = 2025-10-01")),
            "Light no fire of logs: no dry ones",
        ),
    ],
)
def test_wet_logs_are_never_recommended(
    tmp_path: Path, changes: tuple[tuple[str, str], ...], says: str
) -> None:
    """With green stacks, or wet logs in the settings, nobody is told to load any."""
    folder = read(tmp_path / "a", "45 42 40", "20:00", DAY, *changes)
    rows = [r for r in (folder / "readings.csv").read_text().splitlines() if ",logs," not in r]
    (folder / "readings.csv").write_text("\n".join(rows) + "\n")
    found = ask(folder)
    assert found.logs is not None and found.logs.light_next is not None
    assert found.logs.tonight is None and tonight_rows(found) == ()
    assert says in as_text(found.logs.light_next)


def test_old_temperatures_tell_nothing(tmp_path: Path) -> None:
    """Read yesterday: read them again. Without a day `check` asks for it."""
    folder = read(tmp_path / "a", "45 42 40", "20:00", date(2026, 1, 14))
    found = ask(folder)
    assert found.logs is not None and found.logs.tonight is None
    assert "of 14 January 2026: read them again" in as_text(found.logs.light_next)  # type: ignore[arg-type]
    text = (folder / "site.toml").read_text()
    (folder / "site.toml").write_text(text.replace("now_on = 2026-01-14\n", ""))
    warned = answers.check_plausible(answers.open_site(folder))
    assert [(f.key, "write now_on" in f.message) for f in warned] == [("buffer.now", True)]


@pytest.mark.parametrize(
    ("shows", "at", "day", "says"),
    [
        ("50 58 66", "18:00", DAY, "put the hottest, the top, first"),
        ("160 58", "18:00", DAY, "unit"),
        ("warm", "18:00", DAY, "is no list of temperatures"),
        ("66 58 50", "25:00", DAY, "is not a time of day"),
        ("66 58 50", "18:00", date(2026, 1, 16), "has not come yet"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    tmp_path: Path, shows: str, at: str, day: date, says: str
) -> None:
    """Upside down, too hot, no numbers, no time, tomorrow."""
    folder = tmp_path / "a"
    shutil.copytree(FARM, folder)
    before = (folder / "site.toml").read_text()
    with pytest.raises(ValueError, match=says):
        answers.record_buffer(folder, day, at, shows, today=DAY)
    assert (folder / "site.toml").read_text() == before


def test_check_names_temperatures_that_cannot_be(tmp_path: Path) -> None:
    """Written by hand upside down, or for a day to come: a fault at its key, where `order` failed."""
    folder = read(tmp_path / "a", "66 58 50", "18:00")
    text = (folder / "site.toml").read_text()
    (folder / "site.toml").write_text(text.replace("[66.0, 58.0, 50.0]", "[50.0, 66.0]"))
    assert [f.key for f in answers.check_folder(folder, DAY)[1]] == ["buffer.now"]
    (folder / "site.toml").write_text(text.replace("now_on = 2026-01-15", "now_on = 2026-01-20"))
    assert [f.key for f in answers.check_folder(folder, DAY)[1]] == ["buffer.now_on"]


@pytest.mark.parametrize("shows", ["66,58,50", "66, 58, 50", "66; 58; 50", "66 58 50 °C", "66,0 58,0 50,0"])
def test_temperatures_as_people_write_them(tmp_path: Path, shows: str) -> None:
    """With commas between or within, semicolons or a unit."""
    folder = read(tmp_path / "a", shows, "18:00")
    assert answers.open_site(folder).table.buffer.now_c == (66.0, 58.0, 50.0)
