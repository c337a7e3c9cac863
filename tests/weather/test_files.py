"""Weather files of people's own: every fault told at once, nothing guessed, nothing huge read into memory."""

from __future__ import annotations

import tracemalloc
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from fuelplan.messages import Day
from fuelplan.weather import Origin, Place, monthly_means
from fuelplan.weather.sources import (
    FileRequest,
    MonthlyRequest,
    WeatherFault,
    WeatherUnavailable,
    load,
    load_with_fallback,
)
from fuelplan.weather.sources.epw_file import epw_place
from fuelplan.weather.sources.requests import MeteostatRequest
from tests.weather_truths import package_file, seattle

HERE = Place(time_zone="Europe/Zurich")


def write(tmp_path: Path, text: str | bytes, name: str = "weather.csv") -> Path:
    """Write a file as a person would."""
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def faults(path: Path, **options: object) -> list[tuple[int, str, str]]:
    """Faults of a file as (line, column, message)."""
    with pytest.raises(WeatherFault) as caught:
        load(FileRequest(path, **options), HERE)  # type: ignore[arg-type]
    return [(fault.line or 0, fault.key, fault.message) for fault in caught.value.faults]


def test_chicago_degree_days_to_the_digit() -> None:
    """Chicago O'Hare TMY3 (PyPI diyepw): HDD18 and HDD10 by month as the station's published .stat file
    (NREL) has them."""
    path = package_file("diyepw", "data", "tmy_epw_files", "USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw")
    loaded = load(FileRequest(path), epw_place(path), as_of=date(1999, 1, 1))
    month = loaded.weather.dates.astype("datetime64[M]").astype(int) % 12
    for base, published, year in (
        (18.0, [702, 575, 439, 268, 104, 12, 1, 2, 38, 218, 398, 672], 3430),
        (10.0, [454, 352, 197, 89, 3, 0, 0, 0, 0, 30, 199, 424], 1748),
    ):
        daily = np.maximum(base - loaded.weather.mean_c, 0.0)
        assert np.abs(np.bincount(month, weights=daily) - published).max() <= 1.0
        assert abs(daily.sum() - year) <= 1.0


def test_a_reference_year_says_so() -> None:
    """Months of different years make a reference year: marked, on a calendar of its own, never cut at a
    date."""
    path = package_file("diyepw", "data", "tmy_epw_files", "USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw")
    loaded = load(FileRequest(path), Place(), as_of=date(1990, 1, 1))
    assert loaded.weather.reference_year and len(loaded.weather) == 365
    assert "reference year" in str(loaded.notes[0]) and "no winter to count" in str(loaded.notes[0])
    assert loaded.weather.hourly_c is not None and loaded.weather.hourly_c.shape == (365, 24)
    place = epw_place(path)
    assert (place.latitude, place.longitude, place.elevation_m) == (41.983, -87.917, 201.0)
    assert place.time_zone == "Etc/GMT+6"


def epw(tmp_path: Path, rows: list[str]) -> Path:
    """A small EPW file."""
    header = ["LOCATION,Here,-,-,x,1,47.0,9.0,1.0,500.0", *["HEADER"] * 7]
    return write(tmp_path, "\n".join(header + rows) + "\n", "here.epw")


def test_an_epw_of_one_real_year_keeps_its_dates(tmp_path: Path) -> None:
    """Rows of one year are that year; hour 24 belongs to its day; 99.9 is not known."""
    rows = [
        f"2019,1,{d},{h},0,x,{99.9 if (d, h) == (2, 5) else h + d},0,80,0"
        for d in (1, 2)
        for h in range(1, 25)
    ]
    weather = load(FileRequest(epw(tmp_path, rows)), Place()).weather
    assert weather.first_day == date(2019, 1, 1) and not weather.reference_year
    assert weather.mean_c[0] == pytest.approx(13.5) and weather.max_c[0] == 25.0
    assert weather.hourly_c is not None and np.isnan(weather.hourly_c[1, 4])


def test_epw_faults_come_together(tmp_path: Path) -> None:
    """Every bad row of an EPW file is told, and a file without its first line is refused."""
    rows = ["2019,1,1,25,0,x,1,0,80,0", "2019,1,1,1,0,x,170.0,0,80,0", "2019,13,1,1,0,x,1,0,80,0", "nonsense"]
    assert [fault[0] for fault in faults(epw(tmp_path, rows))] == [9, 10, 11, 12]
    assert "begins with LOCATION" in faults(write(tmp_path, "date,mean_c\n", "bad.epw"))[0][2]


def test_all_faults_at_once(tmp_path: Path) -> None:
    """Numbers, dates, decimal commas, repeats, impossible and crossed values: each with line, column and
    what to write."""
    text = (
        "date,mean_c,min_c,max_c,humidity_pct\n"
        "2026-01-01,1.5,-1,4,80\n"
        '2026-01-02,"1,5",-1,4,80\n'
        "31.01.2026,1,0,2,80\n"
        "2026-01-04,warm,0,2,80\n"
        "2026-01-01,9.9,9,10,80\n"
        "2026-01-06,-99,,,80\n"
        "2026-01-07,5,8,2,80\n"
        "2026-01-08,5,4,6,180\n"
        "2026-01-09,5\n"
    )
    found = faults(write(tmp_path, text))
    assert [(line, column) for line, column, _ in found] == [
        (3, "mean_c"), (4, "date"), (5, "mean_c"), (6, "date"), (7, "mean_c"), (8, "min_c"),
        (9, "humidity_pct"),
        (10, ""),
    ]  # fmt: skip
    said = [message for _, _, message in found]
    assert "decimal comma; write 1.5" in said[0]
    assert "write 2026-01-31" in said[1]
    assert "is not a valid number; write e.g. 3.5" in said[2]
    assert "in line 2 already, with other values" in said[3]
    assert "cannot be; leave the cell empty" in said[4]
    assert "lies above the maximum" in said[5]
    assert "between 0 and 100 %" in said[6]
    assert "2 cells where 5 are needed" in said[7]


def test_a_bare_decimal_comma_is_never_read_as_a_whole_number(tmp_path: Path) -> None:
    """In a file with commas, 1,5 under one heading is a cell too many, not 1; empty cells at the end are
    harmless."""
    path = write(tmp_path, "date,mean_c\n2026-01-01,1,5\n2026-01-02,2,,\n")
    assert [(line, "decimal comma? write 1.5" in message) for line, _, message in faults(path)] == [(2, True)]


def test_rows_out_of_order_and_repeated_rows_are_told_not_refused(tmp_path: Path) -> None:
    """Dates out of order are sorted and noted; a row that says the same twice counts once; a hole is a
    gap."""
    text = "date,mean_c\n2026-01-03,3\n2026-01-01,1\n2026-01-01,1\n2026-01-05,\n"
    loaded = load(FileRequest(write(tmp_path, text)), HERE)
    assert np.array_equal(loaded.weather.mean_c, [1, np.nan, 3, np.nan, np.nan], equal_nan=True)
    assert list(loaded.weather.origin) == [
        Origin.OBSERVED,
        Origin.MISSING,
        Origin.OBSERVED,
        Origin.MISSING,
        Origin.MISSING,
    ]
    assert (
        len(loaded.notes) == 2 and "sorted" in str(loaded.notes[0]) and "counted once" in str(loaded.notes[1])
    )


def test_columns_units_and_decimals_can_be_named(tmp_path: Path) -> None:
    """A German table in °F-free semicolons, an American one in °F, and one in kelvin read alike."""
    german = "Tag;TMK;TNK\n2026/01/01;1,5;-2,0\n"
    american = "day,high,low\n01/31/2026,50,32\n"
    a = load(
        FileRequest(write(tmp_path, german), {"date": "Tag", "mean_c": "TMK", "min_c": "TNK"}, decimal=","),
        HERE,
    )
    assert (a.weather.mean_c[0], a.weather.min_c[0]) == (1.5, -2.0)
    b = load(
        FileRequest(
            write(tmp_path, american),
            {"date": "day", "max_c": "high", "min_c": "low"},
            "degF",
            date_format="%m/%d/%Y",
        ),
        HERE,
    )
    assert (b.weather.min_c[0], b.weather.max_c[0], b.weather.mean_c[0]) == (0.0, 10.0, 5.0)
    assert b.weather.first_day == date(2026, 1, 31)
    c = load(FileRequest(write(tmp_path, "date,mean_c\n2026-01-01,273.15\n"), unit="K"), HERE)
    assert c.weather.mean_c[0] == 0.0
    assert "write degC, degF or K" in faults(write(tmp_path, german), unit="°R")[0][2]
    assert "cannot be" in faults(write(tmp_path, "date,mean_c\n2026-06-01,68\n"))[0][2]


def test_a_wrong_header_says_which_columns_there_are(tmp_path: Path) -> None:
    """Missing columns and mappings to columns that are not there are told with the header found."""
    path = write(tmp_path, "when,how_warm\n2026-01-01,3\n")
    assert "it has when, how_warm" in faults(path)[0][2]
    assert (
        "its columns are when, how_warm" in faults(path, columns={"date": "day", "mean_c": "how_warm"})[0][2]
    )
    assert "no column we know" in faults(path, columns={"wind": "when"})[0][2]


def test_hours_make_local_days(tmp_path: Path) -> None:
    """Hourly times with an offset, in UTC, and by the local clock give the same local days through summer
    time."""
    start = np.datetime64("2026-03-27T23:00")
    utc = start + np.arange(24 * 4 - 1).astype("timedelta64[h]")  # four days, one of 23 hours
    values = np.arange(len(utc)) * 0.1
    rows = "".join(f"{t}Z,{v:.1f}\n" for t, v in zip(utc, values, strict=True))
    zulu = load(FileRequest(write(tmp_path, "time,temp_c\n" + rows)), HERE).weather
    plain = load(
        FileRequest(write(tmp_path, "time,temp_c\n" + rows.replace("Z", "")), clock="utc"), HERE
    ).weather
    winter = "".join(f"{t + np.timedelta64(1, 'h')},{v:.1f}\n" for t, v in zip(utc, values, strict=True))
    standard = load(FileRequest(write(tmp_path, "time,temp_c\n" + winter), clock="standard"), HERE).weather
    assert np.array_equal(standard.mean_c, zulu.mean_c)
    assert zulu.first_day == date(2026, 3, 28) and len(zulu) == 4
    assert np.array_equal(zulu.mean_c, plain.mean_c)
    assert zulu.mean_c[0] == pytest.approx(values[:24].mean())
    assert zulu.mean_c[2] == pytest.approx(values[47:71].mean())
    assert zulu.hourly_c is not None and zulu.hourly_c[1, 2] == pytest.approx((values[25] + values[26]) / 2)


def test_hours_given_twice_and_a_changed_clock_are_told(tmp_path: Path) -> None:
    """Hours repeated beyond the one of each autumn are averaged and told; so is a clock that jumps."""
    hours = np.datetime64("2026-01-01T00:00") + np.arange(24 * 120).astype("timedelta64[h]")
    warmest = np.where(np.arange(len(hours)) < 24 * 60, 14, 20)
    wave = 5.0 + 4.0 * np.cos(2 * np.pi * (np.arange(len(hours)) - warmest) / 24)
    rows = [f"{t},{v:.2f}\n" for t, v in zip(hours, wave, strict=True)]
    doubled = "time,temp_c\n" + "".join([*rows, *[row.replace("\n", "9\n") for row in rows[:10]]])
    loaded = load(FileRequest(write(tmp_path, doubled)), Place())
    assert len(loaded.notes) == 3 and "sorted" in str(loaded.notes[0])
    assert "10 hours are given more than once" in str(loaded.notes[1])
    assert "6 h later" in str(loaded.notes[2])
    assert loaded.notes[2].value("day") in [
        Day(date(2026, m, d), year=True) for m in (2, 3) for d in range(1, 29)
    ]


def test_hour_gaps_of_up_to_four_hours_are_bridged(tmp_path: Path) -> None:
    """Four missing hours are interpolated, five are not but leave too few for a mean only below 21."""

    def day(missing: range) -> float:
        rows = "".join(f"2026-01-01T{h:02d}:00,{h}\n" for h in range(24) if h not in missing)
        weather = load(FileRequest(write(tmp_path, "time,temp_c\n" + rows)), HERE).weather
        return float(weather.mean_c[0])

    assert day(range(10, 14)) == pytest.approx(11.5)
    assert np.isnan(day(range(10, 15)))
    assert day(range(0)) == pytest.approx(11.5)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "the file is empty"),
        (b"  \n\n", "the file is empty"),
        (b"date,mean_c\n", "a header but no rows"),
        (b"PK\x03\x04whatever", "spreadsheet or zip file; save the sheet as CSV"),
        (b"\xff\xfed\x00a\x00", "UTF-16; save it as UTF-8"),
        (b"date,mean_c\n2026-01-01,\x00\x01", "not text"),
        (b"\x7fELF\x00\x00", "not text"),
    ],
)
def test_files_that_are_no_tables(tmp_path: Path, content: bytes, said: str) -> None:
    """Empty, binary and foreign files are named for what they are, with the way out."""
    assert said in faults(write(tmp_path, content))[0][2]


def test_a_line_of_fifty_megabytes_takes_no_memory(tmp_path: Path) -> None:
    """A 50 MB line is refused by its number, within a few megabytes of memory."""
    path = write(tmp_path, b"date,mean_c\n2026-01-01,1\n" + b"7" * 50_000_000)
    tracemalloc.start()
    found = faults(path)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert found[0][0] == 3 and "longer than 20,000 characters" in found[0][2]
    assert peak < 5_000_000


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    """A file that is not there, and a folder, are told without a traceback of their own."""
    assert "cannot be read" in faults(tmp_path / "none.csv")[0][2]
    assert "cannot be read" in faults(tmp_path)[0][2]


def test_very_many_faults_are_cut_and_counted(tmp_path: Path) -> None:
    """Of 5,000 faults a thousand are kept and the rest counted."""
    path = write(tmp_path, "date,mean_c\n" + "".join(f"x{i},1\n" for i in range(5000)))
    found = faults(path)
    assert len(found) == 1001 and "4,000 more faults" in found[-1][2]


def test_nothing_after_as_of_is_kept(tmp_path: Path) -> None:
    """Days after `as_of` are cut from a file."""
    path = write(tmp_path, "date,mean_c\n" + "".join(f"2026-01-{d:02d},{d}\n" for d in range(1, 31)))
    assert load(FileRequest(path), HERE, as_of=date(2026, 1, 9)).weather.last_day == date(2026, 1, 9)


def test_seattle_reads_whole() -> None:
    """Seattle 2012–2015 (PyPI vega_datasets): 1461 days, the leap day among them, none missing."""
    weather = seattle()
    assert len(weather) == 1461 and np.isfinite(weather.mean_c).all()
    assert weather.index_of(date(2012, 3, 1)) - weather.index_of(date(2012, 2, 28)) == 2


def test_twelve_monthly_means_make_a_smooth_year() -> None:
    """The usual year made from twelve means has these means, is smooth, and carries the rule's spread or
    the one given."""
    means = (2.76, 3.29, 5.92, 7.90, 11.08, 13.80, 17.24, 15.89, 13.20, 9.82, 6.33, 4.34)
    weather = load(MonthlyRequest(means), Place()).weather
    assert np.allclose(monthly_means(weather), means, atol=1e-9)
    assert weather.reference_year and (weather.origin == Origin.GENERATED).all()
    assert np.abs(np.diff(weather.mean_c)).max() < 0.25
    assert weather.spread_c is not None
    assert weather.spread_c[10] == pytest.approx(2.5 + 0.08 * 14.48) and weather.spread_c[
        200
    ] == pytest.approx(2.0 + 0.04 * 14.48)
    given = load(MonthlyRequest(means, sd_c=tuple(range(1, 13))), Place()).weather
    assert given.spread_c is not None and given.spread_c[40] == 2.0
    with pytest.raises(ValueError, match="give twelve, January to December"):
        load(MonthlyRequest(means[:11]), Place())
    with pytest.raises(ValueError, match="between -60 and 55"):
        load(MonthlyRequest((300.0, *means[1:])), Place())


def test_a_fall_back_fills_what_the_main_source_lacks(tmp_path: Path) -> None:
    """The record says for each day which source it came from; a source that cannot be had is told."""
    main = write(tmp_path, "date,mean_c,humidity_pct\n2026-01-02,2,70\n2026-01-04,4,70\n", "main.csv")
    second = write(
        tmp_path, "date,mean_c\n" + "".join(f"2026-01-{d:02d},{10 + d}\n" for d in range(1, 7)), "second.csv"
    )
    loaded = load_with_fallback([FileRequest(main), FileRequest(second)], HERE)
    assert list(loaded.weather.mean_c) == [11, 2, 13, 4, 15, 16]
    assert [loaded.weather.sources[i].name for i in loaded.weather.source] == [
        "second.csv", "main.csv", "second.csv", "main.csv", "second.csv", "second.csv",
    ]  # fmt: skip
    assert any("4 days" in str(note) and "second.csv" in str(note) for note in loaded.notes)
    away = MeteostatRequest(date(2026, 1, 1), offline=True, store_path=tmp_path / "w.sqlite")
    place = Place(47.0, 9.0, 500.0, "Europe/Zurich")
    loaded = load_with_fallback([away, FileRequest(second)], place, as_of=date(2026, 1, 5))
    assert loaded.weather.last_day == date(2026, 1, 5)
    assert "could not be used" in str(loaded.notes[0])
    with pytest.raises(WeatherUnavailable, match="connect to the internet once"):
        load_with_fallback([away], place)
    with pytest.raises(WeatherFault):
        load_with_fallback([FileRequest(write(tmp_path, "")), FileRequest(second)], place)


def test_loading_a_file_stays_small() -> None:
    """Reading weather files brings in no pandas, no part of scipy and not the weather library, which the
    order would wait for."""
    import subprocess
    import sys

    path = package_file("vega_datasets", "_data", "seattle-weather.csv")
    code = (
        "import sys; from pathlib import Path; from datetime import date\n"
        "from fuelplan.weather import Place, possible_winters, fill_gaps\n"
        "from fuelplan.weather.sources import FileRequest, load\n"
        "r = FileRequest(Path(sys.argv[1]), {'min_c': 'temp_min', 'max_c': 'temp_max'})\n"
        "w = fill_gaps(load(r, Place()).weather)[0]\n"
        "possible_winters(w, date(2016, 1, 1), 365, seed=1)\n"
        "heavy = {'pandas', 'scipy.stats', 'scipy.optimize', 'meteostat', 'statsmodels', 'requests'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
