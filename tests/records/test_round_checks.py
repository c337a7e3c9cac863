"""Whether a round's files fit together: places, stores, tankers that reach, promises, wishes."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from fuelplan.records.round import check_round, driver_rules, open_round, reach_of, tours_of, working_days_of
from fuelplan.records.round.check_customers import depot_km
from tests.round_folders import CUSTOMERS, make_round

PUBLISHED = "date,tanker,trip,position,customer,class,kg,arrive\n"
WISHES = "customer,wish,date,tanker,by,why\n"
HAPPENINGS = "date,what,customer,tanker,depot,until,factor,class,reason\n"

# (file, old text, new text, row, column, a warning?, words)
CROSS = [
    ("customers.csv", "47.200,11.430", "0,0", 13, "latitude", False, "ocean"),
    ("customers.csv", "47.200,11.430", "11.430,47.200", 13, "latitude", False, "write 47.2 as latitude"),
    ("customers.csv", "47.200,11.430", "52.2,11.430", 13, "latitude", True, "km from the nearest depot"),
    ("customers.csv", "4000,400,top-up", "4000,4000,top-up", 13, "reserve_kg", False, "no less than"),
    ("customers.csv", "5200,500", "1900,200", 2, "smallest_drop_kg", False, "never fits"),
    ("customers.csv", "5200,500", "5200,4000", 2, "smallest_drop_kg", True, "below its reserve"),
    ("customers.csv", "08:00,16:00", "16:00,08:00", 2, "to", False, "later one"),
    ("customers.csv", "Mon;Tue;Wed", "Sat;Sun", 3, "weekdays", True, "no tanker drives"),
    ("customers.csv", ",8200,", ",820000,", 3, "kg_per_year", True, "more than weekly"),
    ("customers.csv", "4000,400,top-up,15", "4000,400,top-up,55", 13, "customer", True,
     "T1: 40 m of hose, 55 m are needed; T2: 30 m of hose"),
    ("customers.csv", "10,2.4,18,no", "10,2.1,18,no", 6, "customer", True,
     "T2: 2.3 m wide, 2.1 m is the most"),
    ("customers.csv", "28,,18,no", "28,,12,no", 8, "customer", True, "T2: 18 t laden, 12 t is the most"),
    ("customers.csv", "11:30,4000,", "11:30,15500,", 5, "smallest_drop_kg", False, "never fits"),
    ("customers.csv", ",K-02", ",K-03", 4, "split_with", False, "itself"),
    ("deliveries.csv", "K-11,2025-10-01,3900", "K-11,2025-10-01,7600", 14, "kg", False, "5000 kg holds"),
    ("deliveries.csv", "K-11,2025-10-01,3900", "K-11,2025-10-01,5600", 14, "kg", True, "5000 kg holds"),
    ("deliveries.csv", "K-11,2025-10-01", "K-11,2026-10-01", 14, "date", True, "after today (2026-01-12)"),
    ("deliveries.csv", "K-11,2025-10-01,3900,A1,T2,yes", "K-01,2025-10-06,4120,A1,T2,no", 14, "", False,
     "stands in row 3"),
    ("readings.csv", "2026-01-10,2600", "2026-01-10,4300", 4, "kg", False, "4000 kg holds"),
    ("readings.csv", "K-12,2026-01-10,2600", "K-01,2026-01-04,2400", 4, "", False, "stands in row 2"),
    ("orders.csv", "2026-01-13,2026-01-16", "2026-01-05,2026-01-09", 2, "to", True, "has passed"),
    ("orders.csv", "K-03,3000,A1,2026-01-13,2026-01-16", "K-03,3000,A1,2026-01-17,2026-01-18", 2, "to", True,
     "no tanker drives"),
    ("orders.csv", "K-03,3000,A1,2026-01-13,2026-01-16", "K-09,3000,A1,2026-01-15,2026-01-16", 2, "to", True,
     "takes no fuel"),
    ("orders.csv", "K-03,3000", "K-03,5000", 2, "kg", False, "cannot fit"),
    ("orders.csv", "K-03,3000", "K-03,900", 2, "kg", True, "less than the smallest drop"),
    ("orders.csv", "K-03,3000,A1", "K-03,3000,A2", 2, "class", False, "takes A1"),
    ("orders.csv", "no,yes,no,\n2026-0118", "no,yes,no,K-03\n2026-0118", 2, "split_with", False, "neighbour"),
]  # fmt: skip


@pytest.mark.parametrize(("file", "old", "new", "row", "column", "warning", "words"), CROSS)
def test_what_cannot_be_meant_is_told(
    tmp_path: Path, file: str, old: str, new: str, row: int, column: str, warning: bool, words: str
) -> None:
    """One thing that does not fit is told once; a warning leaves the row usable, a fault does not."""
    folder = make_round(tmp_path / "round", changes=[(file, old, new)])
    faults = check_round(folder)
    found = [f for f in faults if (f.file, f.line, f.key) == (file, row, column) and words in f.message]
    assert len(found) == 1 and found[0].warning is warning, [str(f) for f in faults]
    if warning and all(f.warning for f in faults):
        assert len(open_round(folder).customers) == 12
        assert set(open_round(folder).warnings) == set(faults)


def test_a_class_nobody_carries_is_told(tmp_path: Path) -> None:
    """Where no depot has a class and no tanker may carry it, its customers are told by name of the class."""
    folder = make_round(
        tmp_path / "round",
        changes=[("round.toml", 'chambers = ["5 t", "5 t", "5 t"]', 'chambers = ["5 t"]\nclasses = ["A1"]'),
                 ("round.toml", 'chambers = ["4 t", "3 t", "3 t"]\npayload = "9 t"',
                  'chambers = ["4 t"]\nclasses = ["A1"]')],
    )  # fmt: skip
    found = [f for f in check_round(folder) if str(f.rule) == "a class that nobody carries"]
    assert [(f.line, f.key, f.warning) for f in found] == [(7, "classes", True)]
    assert "T1: no A2 to be carried" in found[0].message


def test_tankers_too_small_for_the_smallest_drop_are_told(tmp_path: Path) -> None:
    """A smallest drop above what every tanker carries is a warning at that very column."""
    changes = [
        ("customers.csv", "12000,1500", "22000,1500"),
        ("customers.csv", "11:30,4000,", "11:30,16000,"),
    ]
    folder = make_round(tmp_path / "round", changes=changes)
    (found,) = check_round(folder)
    assert (found.line, found.key, found.warning) == (5, "smallest_drop_kg", True)
    assert "T1: carries 15000 kg, the smallest drop is 16000 kg" in found.message


def test_reach_says_what_stands_in_the_way(tmp_path: Path) -> None:
    """Each customer of another depot, narrow gate or light bridge is reached by the other tanker alone."""
    found = open_round(make_round(tmp_path / "round"))
    reach = reach_of(found.table, found.customers)
    rows = {str(i): n for n, i in enumerate(found.customers.id)}
    assert reach.ok[rows["K-01"]].tolist() == [True, False]
    assert reach.reasons(rows["K-01"], 1) == ("depot",)
    assert reach.reasons(rows["K-05"], 0) == ("width", "weight")
    assert reach.ok[rows["K-06"]].tolist() == [True, True]
    assert reach.reasons(rows["K-04"], 1) == ()


@pytest.mark.parametrize("trailer", [False, True])
def test_a_trailer_counts_where_none_can_come(tmp_path: Path, trailer: bool) -> None:
    """A tanker with a trailer does not reach a customer who has no room for it; without one it does."""
    change = ("round.toml", 'width = "2.3 m"', f'width = "2.3 m"\ntrailer = {str(trailer).lower()}')
    found = open_round(make_round(tmp_path / "round", changes=[change]))
    reach = reach_of(found.table, found.customers)
    wanted = ("trailer",) if trailer else ()
    assert reach.reasons(found.customers.number_of["K-07"], 1) == wanted


def test_the_rough_distance_to_a_depot_is_about_right() -> None:
    """One degree north is 111 km, one degree east at 60° half of it, the date line is no border."""
    from types import SimpleNamespace

    at = SimpleNamespace(depots=[SimpleNamespace(latitude=60.0, longitude=179.5)])
    km = depot_km(at, np.array([61.0, 60.0, 60.0]), np.array([179.5, -179.5, 178.5]))  # type: ignore[arg-type]
    np.testing.assert_allclose(km, [111.2, 55.6, 55.6], rtol=0.01)


LISTS = [
    ("published.csv", PUBLISHED + "2026-01-13,T1,1,1,K-01,A1,3000,08:10\n2026-01-13,T1,1,1,K-02,A1,2000,\n",
     3, "position", False, "another stop at position 1"),
    ("published.csv", PUBLISHED + "2026-01-13,T2,1,1,K-07,A2,2000,\n", 2, "class", False, "takes A1"),
    ("published.csv", PUBLISHED + "2026-01-13,T2,1,1,K-08,A1,5000,\n2026-01-13,T2,1,2,K-09,A1,5000,\n",
     3, "kg", True, "more than the tanker's 9 t"),
    ("published.csv", PUBLISHED + "2026-01-13,T9,1,1,K-08,A1,5000,\n", 2, "tanker", False, "no tanker"),
    ("published.csv", PUBLISHED + "2026-01-13,T2,0,1,K-08,A1,5000,\n", 2, "trip", False, "from 1 to 20"),
    ("wishes.csv", WISHES + "K-01,pin,,,,\n", 2, "date", False, "the day is missing"),
    ("wishes.csv", WISHES + "K-01,forbid,,,,\n", 2, "date", False, "a day, a tanker, or both"),
    ("wishes.csv", WISHES + "K-01,avoid,2026-01-13,,,\n", 2, "wish", False, '"pin", "forbid", "move"'),
    ("wishes.csv", WISHES + "K-01,pin,2026-01-13,,,\nK-01,forbid,2026-01-13,,,\n", 2, "wish", False,
     "forbids the same"),
    ("wishes.csv", WISHES + "K-05,move,2026-01-17,,,\n", 2, "date", True, "no tanker drives on 2026-01-17"),
    ("wishes.csv", WISHES + "K-05,pin,2026-01-13,T1,,\n", 2, "tanker", True, "width, weight"),
    ("happenings.csv", HAPPENINGS + "2026-01-13,failed drop,,,,,,,boiler on\n", 2, "customer", False,
     "needs the customer"),
    ("happenings.csv", HAPPENINGS + "2026-01-13,tanker out,,,,,,,\n", 2, "tanker", False, "needs the tanker"),
    ("happenings.csv", HAPPENINGS + "2026-01-13,slow roads,,,,,,,\n", 2, "factor", False, "needs the factor"),
    ("happenings.csv", HAPPENINGS + "2026-01-13,slow roads,,,,,0.5,,\n", 2, "factor", False, "from 1 to 10"),
    ("happenings.csv", HAPPENINGS + "2026-01-13,depot out of stock,,,north,2026-01-12,,,\n",
     2, "until", False, "lies before"),
]  # fmt: skip


@pytest.mark.parametrize(("file", "text", "row", "column", "warning", "words"), LISTS)
def test_stops_wishes_and_happenings_are_held_against_the_round(
    tmp_path: Path, file: str, text: str, row: int, column: str, warning: bool, words: str
) -> None:
    """Each thing that contradicts the tankers, the customers or another row is told once."""
    faults = check_round(make_round(tmp_path / "round", files={file: text}))
    found = [f for f in faults if (f.file, f.line, f.key) == (file, row, column) and words in f.message]
    assert len(found) == 1 and found[0].warning is warning, [str(f) for f in faults]


def test_a_stop_of_a_tanker_out_of_service_is_told(tmp_path: Path) -> None:
    """A published stop on a day its tanker does not drive is a warning that asks for a new plan."""
    out = ("round.toml", 'width = "2.3 m"', 'width = "2.3 m"\nout_of_service = [2026-01-13]')
    stops = PUBLISHED + "2026-01-13,T2,1,1,K-08,A1,2000,\n2026-01-14,T2,1,1,K-08,A1,2000,\n"
    (found,) = check_round(make_round(tmp_path / "round", changes=[out], files={"published.csv": stops}))
    assert (found.line, found.key, found.warning) == (2, "tanker", True) and "plan anew" in found.message


def test_what_happened_is_read_with_its_last_day(tmp_path: Path) -> None:
    """A happening without `until` lasts that day alone; with it, to that day."""
    text = HAPPENINGS + (
        "2026-01-13,tanker out,,T2,,2026-01-15,,,gear\n2026-01-13,slow roads,,,,,2,,snow\n"
        "2026-01-13,depot out of stock,,,north,,,A2,\n2026-01-12,failed drop,K-01,,,,,,boiler on\n"
    )
    found = open_round(make_round(tmp_path / "round", files={"happenings.csv": text})).happenings
    assert [(h.what, h.until.day, h.factor) for h in found] == [
        ("tanker out", 15, 1.0), ("slow roads", 13, 2.0),
        ("depot out of stock", 13, 1.0), ("failed drop", 12, 1.0),
    ]  # fmt: skip
    assert (found[2].depot, found[2].grade, found[3].customer) == ("north", "A2", "K-01")


def test_one_area_needs_no_column(tmp_path: Path) -> None:
    """Where `round.toml` names no areas, customers lie in the one of [weather]; a name is then a fault."""
    toml = re.sub(r"\[\[area\]\].*?(?=\[\[depot\]\])", "", _toml(tmp_path), flags=re.DOTALL)
    text = CUSTOMERS.replace(",valley,", ",,").replace(",upland,", ",,")
    folder = make_round(tmp_path / "one", files={"round.toml": toml, "customers.csv": text})
    found = open_round(folder)
    assert [area.name for area in found.areas] == [""] and not found.customers.area.any()
    assert found.areas[0].table.weather.file == "weather.csv"
    named = make_round(tmp_path / "named", files={"round.toml": toml})
    assert {str(f.rule) for f in check_round(named)} == {"no areas"}


def _toml(folder: Path) -> str:
    return (make_round(folder / "usual") / "round.toml").read_text(encoding="utf-8")


def test_the_rooms_get_their_rules_and_days(tmp_path: Path) -> None:
    """Driver's rules, working days and tours come from the folder as its keys say."""
    driver = '[driver]\nshift_start = "05:30"\nlatest_end = "15:00"\nhours_a_day = "8 h"\n'
    changes = [("round.toml", "[rules]", f"{driver}[rules]\nclosed = [2026-01-14]")]
    published = PUBLISHED + (
        "2026-01-09,T2,2,1,K-08,A1,2000,\n2026-01-09,T2,1,2,K-10,A1,2000,\n2026-01-09,T2,1,1,K-09,A1,3000,\n"
    )
    odometer = "date,tanker,km\n2026-01-09,T2,61\n2026-01-10,T2,40\n"
    found = open_round(make_round(tmp_path / "round", changes=changes, files={"odometer.csv": odometer}))
    rules = driver_rules(found.table)
    assert (rules.normal_work_h, rules.shift_start_h, rules.longest_shift_h) == (8, 5.5, 9.5)
    days = working_days_of(found.table)
    assert not days.is_working(date(2026, 1, 6))  # Epiphany, a bank holiday in Austria
    assert not days.is_working(date(2026, 1, 14)) and days.is_working(date(2026, 1, 13))
    assert tours_of(found) == []
    (found.path / "published.csv").write_text(published, encoding="utf-8")
    (tour,) = tours_of(open_round(found.path))
    assert tour.lat == (47.10, 47.095, 47.080, 47.10, 47.112, 47.10) and tour.odometer_km == 61
