"""Times of a run plan: each tanker blows at its own rate, and a driver's day is one day of several runs."""

from __future__ import annotations

import re
from datetime import date
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import Round, RunsAnswer
from fuelplan.answers.which_runs.answer import Run
from fuelplan.dispatch.driver_hours import Rules, timetable
from fuelplan.dispatch.routing import Stop, Tanker, fixed_day, route_day
from fuelplan.messages import Own, render
from fuelplan.records.round import PublishedStop, driver_rules, write_published
from tests.round_folders import ROUND, make_round
from tests.runs_planned import planned

MINUTE = 1 / 60 + 1e-6
DAY = date(2026, 1, 13)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for this module's rounds."""
    return tmp_path_factory.mktemp("rounds")


def slow_t2(text: str) -> str:
    """The small round with a second tanker that blows at 4 t/h, a third as fast again as it is."""
    return text.replace('cost_per_hour = "45 EUR/h"', 'cost_per_hour = "45 EUR/h"\nblow_rate = "4 t/h"')


def work_h(round_: Round, run: Run, customer: str, kg: float) -> float:
    """Set-up, hose and blowing as `round.toml` says of this tanker."""
    tanker = next(k for k in round_.table.tankers if k.name == run.tanker)
    hose_m = float(round_.customers.hose_m[round_.customers.number_of[customer]])
    hose_h = max(0.0, hose_m - tanker.hose_included_m) * tanker.hose_time_h / 10
    return tanker.set_up_h + hose_h + kg / tanker.blow_rate_kg_h


def each_at_its_own_rate(round_: Round, answer: RunsAnswer) -> set[str]:
    """Assert it of every stop; return the tankers seen."""
    seen = set()
    for run in answer.runs:
        for stop in run.stops:
            seen.add(run.tanker)
            took = stop.leave_h - stop.start_h
            assert took == pytest.approx(work_h(round_, run, stop.customer, stop.kg), abs=MINUTE)
    return seen


def test_each_tanker_takes_its_own_time_at_a_stop(place: Path) -> None:
    """8 t/h against 4 t/h: no stop is timed with the fleet's mean, planned or published."""
    folder = make_round(place / "rates", files={"round.toml": slow_t2(ROUND)})
    round_, answer = planned(folder)
    assert each_at_its_own_rate(round_, answer) == {"T1", "T2"}
    answers.publish_runs(round_, answer, answer.days[:3])
    assert each_at_its_own_rate(*planned(folder)) == {"T1", "T2"}


def test_a_search_knows_each_tankers_working_times() -> None:
    """A stop that one tanker cannot do within its day, and the other can, goes to the other."""
    km = np.array([[0.0, 10.0], [10.0, 0.0]])
    stops = [Stop(1, 5000, 60, work_min_by=(700, 60))]
    fleet = [Tanker(0, 9000, cost_per_km=0.5), Tanker(0, 9000, cost_per_km=2.0)]
    found = route_day(stops, fleet, km, km / 40, seed=1, iterations=50)
    assert [r.tanker for r in found.routes] == [1]
    assert found.routes[0].done_h[0] - found.routes[0].start_h[0] == pytest.approx(1.0)


def test_the_longer_work_counts_for_what_follows() -> None:
    """The solver, too, knows that a slow blower reaches the next window too late: both promises are kept."""
    apart = np.full((4, 4), 5.0) * (1 - np.eye(4))
    stops = [
        Stop(1, 4000, 30, ((7.0, 7.5),), work_min_by=(240, 30)),
        Stop(2, 4000, 30, ((8.0, 9.0),), work_min_by=(30, 30)),
    ]
    fleet = [Tanker(0, 9000, cost_per_km=0.5), Tanker(0, 9000, cost_per_km=2.0)]
    found = route_day(stops, fleet, apart, apart / 40, seed=1, iterations=50)
    assert not found.not_served
    who = {s: r.tanker for r in found.routes for s in r.stops}
    assert who[0] == 1 or who[1] == 1


def longest_without_break(runs: list[Run]) -> float:
    """The longest stretch of a driver's day without a break of 15 minutes; waiting counts as work. [h]"""
    rests = sorted((b.at_h, b.at_h + b.hours) for r in runs for b in r.breaks if b.hours >= 0.25 - 1e-9)
    ends = [runs[0].leave_h, *(end for _, end in rests)]
    begins = [*(begin for begin, _ in rests), runs[-1].back_by_h]
    return max(begin - end for end, begin in zip(ends, begins, strict=True))


LONG_DAY = (
    ("K-01", "A1", 4500.0, 1, 1), ("K-02", "A1", 6500.0, 1, 2), ("K-06", "A2", 8000.0, 2, 1),
    ("K-12", "A1", 3800.0, 3, 1),
)  # fmt: skip
"""Customer, class, kilograms, run and position of a published day that one tanker may drive."""


def long_day(folder: Path, table: str = ROUND) -> tuple[Round, RunsAnswer, list[Run]]:
    """A published day of one slow tanker with three runs; return also its runs as they are told."""
    table = table.replace('blow_rate = "8 t/h"', 'blow_rate = "5 t/h"')
    make_round(folder, files={"round.toml": table, "orders.csv": None})
    stops = [PublishedStop(DAY, "T1", trip, at, who, grade, kg) for who, grade, kg, trip, at in LONG_DAY]
    write_published(folder, stops, known=answers.open_round(folder))
    round_, answer = planned(folder)
    return round_, answer, [r for r in answer.runs if r.day == DAY and r.tanker == "T1"]


def test_a_published_day_of_several_runs_is_one_day_of_its_driver(place: Path) -> None:
    """Runs that are each short of six hours and together above it hold breaks, and loading between them."""
    round_, _, runs = long_day(place / "days")
    assert [r.trip for r in runs] == [1, 2, 3] and all(r.frozen for r in runs)
    worked = sum(s.leave_h - s.start_h for r in runs for s in r.stops) + sum(r.driving_h for r in runs)
    assert worked > 6
    assert sum(b.hours for r in runs for b in r.breaks) >= 0.5 - 1e-9
    reload_h = round_.table.tankers[0].reload_h
    for before, after in pairwise(runs):
        assert after.leave_h - before.back_by_h >= reload_h - MINUTE
    assert longest_without_break(runs) <= 6 + MINUTE


def test_published_runs_keep_the_times_they_were_planned_with(place: Path) -> None:
    """Publishing and planning again moves no arrival, break or chamber by a minute."""
    folder = make_round(place / "again", files={"round.toml": slow_t2(ROUND)})
    round_, answer = planned(folder)
    days = answer.days[:4]
    answers.publish_runs(round_, answer, days)
    _, again = planned(folder, seed=2)

    def told(found: RunsAnswer) -> list[object]:
        return [
            (r.day, r.tanker, r.trip, round(60 * r.leave_h), round(60 * r.back_by_h), r.chambers,
             [(s.customer, round(60 * s.arrive_h), round(60 * s.leave_h)) for s in r.stops],
             [(round(60 * b.at_h), round(60 * b.hours)) for b in r.breaks])
            for r in found.runs if r.day in days
        ]  # fmt: skip

    assert told(again) == told(answer) and told(answer)


def test_what_no_longer_fits_a_published_run_is_said_by_name() -> None:
    """A stop the tanker may not go to, and a day of twelve hours of work, are faults with their names."""
    km = np.array([[0.0, 10.0, 10.0], [10.0, 0.0, 5.0], [10.0, 5.0, 0.0]])
    stops = [Stop(1, 5000, 360, tankers_allowed=frozenset({1})), Stop(2, 4000, 300)]
    rules = Rules(most_work_h=10.0)
    routes, faults = fixed_day(
        0, Tanker(0, 9000, ends_h=20), [[0], [1]], stops, km, km / 40, rules, [Own("Mill"), Own("Inn")]
    )
    assert [r.stops for r in routes] == [(0,), (1,)]
    said = [render(fault.said) for fault in faults]
    assert "may not go to Mill" in said
    assert any(re.search(r"works 12 h \d+ min, 10 h a day are allowed", f) for f in said)


def test_a_published_stop_without_a_road_stays_in_sight() -> None:
    """Where no road leads to a published stop any more, the run is still there, with its fault."""
    km = np.array([[0.0, np.inf], [np.inf, 0.0]])
    routes, faults = fixed_day(0, Tanker(0, 9000), [[0]], [Stop(1, 5000, 60)], km, km, Rules())
    assert [r.stops for r in routes] == [(0,)] and [render(f.said) for f in faults] == [
        "has no road to one of its stops"
    ]


def test_the_most_overtime_of_a_day_is_kept(place: Path) -> None:
    """`[driver] overtime` bounds a day's work: what would take longer is not planned."""
    text = ROUND + '\n[driver]\nhours_a_day = "2 h"\novertime = "30 min"\n'
    round_ = answers.open_round(make_round(place / "bound", files={"round.toml": text}))
    rules = driver_rules(round_.table)
    assert rules.most_work_h == pytest.approx(2.5)
    km = np.array([[0.0, 8.0], [8.0, 0.0]])
    for minutes, served in ((124, True), (128, False)):
        found = route_day(
            [Stop(1, 5000, minutes)],
            [Tanker(0, 9000, starts_h=6.5, ends_h=17.5)],
            km,
            km / 40,
            seed=1,
            iterations=20,
            rules=rules,
        )
        assert bool(found.routes) is served and bool(found.not_served) is not served


def test_a_timetable_says_when_a_day_is_too_long() -> None:
    """Ten hours and a half of work with ten allowed is a fault of the whole day; breaks do not count."""
    told = timetable([0.25, 0.25], [5.0], None, Rules(most_work_h=5.4))
    assert [render(f.said) for f in told.faults] == ["works 5 h 30 min, 5 h 24 min a day are allowed"]
    assert timetable([0.25, 0.25], [5.0], None, Rules(most_work_h=5.5)).faults == ()


def test_overtime_counts_work_and_costs_what_the_rules_say(place: Path) -> None:
    """Overtime is driving, stops and loading beyond the paid hours, breaks left out, and is in the cost."""
    text = ROUND.replace('smallest_drop = "1500 kg"', 'smallest_drop = "1500 kg"\novertime = "30 EUR/h"')
    text += '\n[driver]\nhours_a_day = "7 h"\novertime = "2 h"\n'
    round_, answer, runs = long_day(place / "over", text)
    worked = sum(s.leave_h - s.start_h for r in runs for s in r.stops)
    worked += sum(r.driving_h for r in runs) + 2 * round_.table.tankers[0].reload_h
    assert worked > 7 and any(r.breaks for r in runs)
    hours = sum(day.overtime_h for day in answer.per_day)
    assert hours == pytest.approx(worked - 7, abs=1e-6)
    assert answer.cost == pytest.approx(sum(r.cost for r in answer.runs) + 30 * hours)


def test_a_routes_working_time_leaves_out_breaks_and_waiting() -> None:
    """Nine hours away with three at a shut gate and a break on the road are not nine hours of work."""
    km = np.array([[0.0, 200.0], [200.0, 0.0]])
    found = route_day(
        [Stop(1, 5000, 60, ((13.0, 15.0),))], [Tanker(0, 9000, ends_h=20)], km, km / 50, seed=1,
        iterations=20, rules=Rules(driving_before_break_h=3.0),
    )  # fmt: skip
    (route,) = found.routes
    assert route.hours > 9.2 and any(hours > 0 for _, _, hours in route.breaks)
    assert route.worked_h == pytest.approx(9.0)
