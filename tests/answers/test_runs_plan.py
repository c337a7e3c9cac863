"""The run plan from a round's folder: promises, access, hours, published runs, happenings and wishes."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import clock
from fuelplan.answers.round.roads import roads_for_round
from fuelplan.answers.which_runs.from_books import desk_of, levels_of
from fuelplan.answers.which_runs.runs import RunsInputError
from fuelplan.answers.who_is_due.beliefs import believe
from fuelplan.dispatch.roads import roads_by_detour
from fuelplan.dispatch.run_plan import week_of, yard_of
from fuelplan.dispatch.run_plan.week import Prices, week_problem
from fuelplan.messages import as_text
from tests.round_folders import CUSTOMERS, make_round
from tests.runs_planned import TODAY, planned, stops, usual

DEMO = Path(__file__).parents[2] / "demo_sites" / "round_quellmark"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for this module's rounds."""
    return tmp_path_factory.mktemp("rounds")


def test_a_drop_takes_as_long_as_its_tanker_blows() -> None:
    """A tonne at 6.5 t/h takes 9 min 14 s beside the set-up: no half minute is lost, stop after stop."""
    round_ = answers.open_round(DEMO)
    roads = roads_for_round(round_)
    yard = yard_of(desk_of(round_, TODAY), roads.roads, roads.depot_place)
    stop = yard.stop(0, "A1", 1000.0, None, required=True)
    hose = float(round_.customers.hose_m[0])
    for v, tanker in enumerate(round_.table.tankers):
        assert stop.work_with(v) == pytest.approx(60 * tanker.stop_h(hose, 1000.0), abs=1e-9)
    assert any(60 * stop.work_with(v) % 60 > 1 for v in range(len(round_.table.tankers)))


def test_the_plan_breaks_nothing_and_keeps_promises(place: Path) -> None:
    """Access, chambers, hours, days and depots hold; both orders come within their days, full ones too."""
    _, answer = usual(place)
    assert answer.runs
    by_order = {s.order: (r.day, s.kg) for r in answer.runs for s in r.stops if s.order}
    assert date(2026, 1, 13) <= by_order["2026-0117"][0] <= date(2026, 1, 16)
    assert by_order["2026-0117"][1] == 3000
    assert by_order["2026-0118"][0] <= date(2026, 1, 15)
    assert 1000 < by_order["2026-0118"][1] <= 3800


def test_on_request_customers_are_not_planned_unasked(place: Path) -> None:
    """Without an order an on-request customer has no run; the one with a credit stop has none either."""
    _, answer = usual(place)
    served = {customer for _, _, customer, _ in stops(answer)}
    assert served.isdisjoint({"K-05", "K-10", "K-11"})
    assert {"K-03", "K-07"} <= served


def test_the_same_question_gives_the_same_bytes(place: Path) -> None:
    """Budget in moves: the same bytes; in seconds the document says that it may differ."""
    first_round, first = usual(place)
    _, again = planned(first_round.path)
    assert json.dumps(first.to_json()) == json.dumps(again.to_json())
    assert first.to_json()["reproducible"] is True
    _, timed = planned(first_round.path, moves=None, seconds=0.2)
    assert timed.to_json()["reproducible"] is False


def test_a_plan_that_is_stopped_can_be_driven(place: Path) -> None:
    """Saying stop at the first progress call still gives a plan that breaks nothing."""
    folder = make_round(place / "stopped")
    _, answer = planned(folder, moves=10**9, progress=lambda share, what: share <= 0)
    assert answer.runs
    assert not answer.reproducible


def test_what_is_published_stays(place: Path) -> None:
    """Published days keep every stop, kilogram and place in line, whatever the seed; the rest is planned
    around them.
    """
    folder = make_round(place / "published")
    round_, answer = planned(folder)
    two = answer.days[:2]
    count = answers.publish_runs(round_, answer, two)
    told = [s for s in stops(answer) if s[0] in two]
    assert count == len(told) > 0
    round_, again = planned(folder, seed=9)
    assert [s for s in stops(again) if s[0] in two] == told
    assert all(r.frozen == (r.day in two) for r in again.runs)
    later = {c for d, _, c, _ in stops(again) if d not in two}
    assert later.isdisjoint({s.customer for s in round_.published if s.customer in ("K-03", "K-07")})
    assert not again.changes


def test_what_published_runs_bring_is_counted(place: Path) -> None:
    """A top-up store below its reserve is served on the first day; once that is published, not again
    soon."""
    low = "customer,date,kg,percent\nK-08,2026-01-12,150,\n"
    folder = make_round(place / "brought", files={"readings.csv": low})
    _, answer = planned(folder)
    first = answer.days[0]
    assert "K-08" in {c for d, _, c, _ in stops(answer) if d == first}
    answers.publish_runs(answers.open_round(folder), answer, [first])
    _, again = planned(folder)
    assert [d for d, _, c, _ in stops(again) if c == "K-08"] == [first]


def test_the_demo_rounds_plan_breaks_nothing() -> None:
    """Tankers of different speed, chambers and access; a matrix of classes; split tickets; someone already
    empty."""
    round_ = answers.open_round(DEMO)
    day = date(2026, 1, 15)
    weather = answers.weather_for_round(round_, day, lambda _: None)
    answer = answers.runs(round_, weather, day, moves=3000, days=5)
    assert sum(len(r.stops) for r in answer.runs) > 15


def test_a_tanker_that_is_out_drives_nothing_and_the_changes_are_told(place: Path) -> None:
    """Published stops of a tanker that stays at home go elsewhere, the others keep their day, and each change
    is said.
    """
    folder = make_round(place / "out")
    round_, answer = planned(folder)
    first = answer.runs[0]
    answers.publish_runs(round_, answer, [first.day])
    answers.record_happening(answers.open_round(folder), "tanker out", first.day, tanker=first.tanker)
    round_, again = planned(folder)
    assert not [r for r in again.runs if r.day == first.day and r.tanker == first.tanker]
    assert len(again.changes) == len([s for s in stops(answer) if s[:2] == (first.day, first.tanker)])
    kept = [s[:3] for s in stops(answer) if s[0] == first.day and s[1] != first.tanker]
    assert set(kept) <= {s[:3] for s in stops(again)}


def test_after_a_failed_drop_the_customer_comes_on_another_day(place: Path) -> None:
    """A drop that failed on a day is not planned on it again, and still comes."""
    folder = make_round(place / "failed")
    round_, answer = planned(folder)
    day, _, customer, _ = next(s for s in stops(answer) if s[2] == "K-07")
    answers.record_happening(round_, "failed drop", day, customer=customer, reason="boiler on")
    _, again = planned(folder)
    days = [d for d, _, c, _ in stops(again) if c == customer]
    assert days and day not in days


def test_snow_doubles_the_driving(place: Path) -> None:
    """On slow roads every run's hours of driving are twice those of the table; without snow they are the
    table's.
    """
    folder = make_round(place / "snow")
    round_, answer = planned(folder, days=3)
    answers.record_happening(
        round_, "slow roads", TODAY + timedelta(days=1), until=TODAY + timedelta(days=9), factor=2.0
    )
    round_, slow = planned(folder, days=3)
    for found, factor in ((answer, 1.0), (slow, 2.0)):
        assert found.runs
        for run in found.runs:
            lat = [run.depot_latitude, *(s.latitude for s in run.stops), run.depot_latitude]
            lon = [run.depot_longitude, *(s.longitude for s in run.stops), run.depot_longitude]
            hours = roads_by_detour(lat, lon).hours
            legs = sum(float(hours[k, k + 1]) for k in range(len(lat) - 1))
            assert run.driving_h == pytest.approx(factor * legs, rel=1e-3)
            work = sum(s.leave_h - s.start_h for s in run.stops)
            assert run.back_by_h - run.leave_h >= run.driving_h + work - 0.1


def test_a_depot_without_fuel_sends_none(place: Path) -> None:
    """While a depot is out of a class its tankers bring none of it."""
    folder = make_round(place / "dry")
    answers.record_happening(
        answers.open_round(folder),
        "depot out of stock",
        TODAY,
        until=TODAY + timedelta(days=30),
        depot="south",
    )
    _, answer = planned(folder)
    assert not [r for r in answer.runs if r.depot == "south"]
    assert "K-07" in {n.customer for n in answer.not_served}


def test_a_depot_with_little_stock_sends_no_more(place: Path) -> None:
    """What a depot has is a limit over all days: three customers below their reserve, fuel for about one."""
    low = "customer,date,kg,percent\nK-01,2026-01-12,150,\nK-02,2026-01-12,150,\nK-04,2026-01-12,300,\n"
    plenty, little = (
        make_round(
            place / name,
            files={"readings.csv": low},
            changes=[
                ("round.toml", 'stock = { A1 = "120 t", A2 = "40 t" }', f'stock = {{ A1 = "{stock}" }}'),
                ("round.toml", 'amount = "24 t"', 'amount = "10 kg"'),
            ],
        )
        for name, stock in (("plenty", "120 t"), ("little", "6 t"))
    )
    sums = []
    for folder in (plenty, little):
        _, answer = planned(folder)
        sums.append(sum(r.kg for r in answer.runs if r.depot == "north"))
    assert sums[0] > 9000
    assert 0 < sums[1] <= 6010


@pytest.mark.parametrize("wish", ["pin", "move"])
def test_a_persons_day_is_kept(place: Path, wish: str) -> None:
    """A customer pinned or moved to a day is served on it."""
    folder = make_round(place / wish)
    round_ = answers.open_round(folder)
    answers.record_wish(round_, "K-08", wish, day=date(2026, 1, 20), why="birthday on the 14th")
    _, answer = planned(folder)
    assert [d for d, _, c, _ in stops(answer) if c == "K-08"] == [date(2026, 1, 20)]


def test_a_forbidden_customer_is_left_alone(place: Path) -> None:
    """Forbidden for the only tanker that may come: no run, and the order says why."""
    folder = make_round(place / "forbidden")
    answers.record_wish(answers.open_round(folder), "K-03", "forbid", tanker="T1")
    _, answer = planned(folder)
    assert "K-03" not in {c for _, _, c, _ in stops(answer)}
    reason = next(as_text(n.reason) for n in answer.not_served if n.customer == "K-03")
    assert "may go there" in reason


def test_neighbours_who_split_come_on_one_run(place: Path) -> None:
    """Two tickets ordered together are two stops of the same run, one after the other."""
    orders = (
        "order,customer,kg,class,from,to,price_per_t,credit_stop,call_ahead,already_empty,split_with\n"
        "B1,K-02,2500,A1,2026-01-13,2026-01-20,318,no,no,no,K-03\n"
        "B2,K-03,2000,A1,2026-01-13,2026-01-16,318,no,no,no,K-02\n"
    )
    _, answer = planned(make_round(place / "split", files={"orders.csv": orders}))
    run = next(r for r in answer.runs if any(s.order == "B1" for s in r.stops))
    at = {s.order: s.position for s in run.stops}
    assert abs(at["B1"] - at["B2"]) == 1
    assert {s.order: s.kg for s in run.stops if s.order} == {"B1": 2500, "B2": 2000}
    assert run.day <= date(2026, 1, 16)
    assert {s.order: as_text(s.why)[-16:] for s in run.stops if s.order} == {
        "B1": "shared with K-03",
        "B2": "shared with K-02",
    }


def test_two_customers_at_one_place(place: Path) -> None:
    """Customers with the same coordinates are ordinary customers."""
    folder = make_round(place / "same", changes=[("customers.csv", "47.2431,11.4122", "47.243,11.412")])
    _, answer = planned(folder)
    assert "K-03" in {c for _, _, c, _ in stops(answer)}


def test_a_customer_on_an_island_is_named(place: Path) -> None:
    """Where the matrix knows no road to a customer with an order, it is told and the others are served."""
    ids = [
        line.split(",")[0] for line in CUSTOMERS.replace("\\\n", "").splitlines()[1:] if line.startswith("K-")
    ]
    names = [*ids, "north", "south"]
    rows = ["from,to,km,minutes"]
    for k, a in enumerate(names):
        for m, b in enumerate(names):
            if a != b:
                cut = "K-07" in (a, b)
                rows.append(f"{a},{b},{'' if cut else 5 + abs(k - m)},{'' if cut else 9 + abs(k - m)}")
    folder = make_round(
        place / "island",
        files={"matrix.csv": "\n".join(rows) + "\n"},
        changes=[("round.toml", "[prices]", '[distances]\nkind = "file"\nfile = "matrix.csv"\n[prices]')],
    )
    _, answer = planned(folder)
    assert "K-03" in {c for _, _, c, _ in stops(answer)}
    missing = next(n for n in answer.not_served if n.customer == "K-07")
    assert "road" in as_text(missing.reason)


def test_a_smallest_drop_no_tanker_carries_is_named(place: Path) -> None:
    """A customer who takes no less than 40 t is not planned, with the reason."""
    folder = make_round(
        place / "large", changes=[("customers.csv", "12000,1500,top-up,30,,,,Mon;Thu;Fri,07:00,11:30,4000",
                                   "60000,1500,top-up,30,,,,Mon;Thu;Fri,07:00,11:30,40000")]
    )  # fmt: skip
    _, answer = planned(folder)
    assert "K-04" not in {c for _, _, c, _ in stops(answer)}
    assert any(n.customer == "K-04" and n.reason for n in answer.not_served)


def test_nobody_to_serve(place: Path) -> None:
    """Everybody full and no orders: no runs, said in a sentence."""
    ids = [f"K-{n:02d}" for n in range(1, 13)]
    kg = [5200, 7000, 4500, 12000, 5000, 9000, 3800, 6000, 10000, 5000, 5000, 4000]
    rows = "".join(f"{i},2026-01-12,{w},\n" for i, w in zip(ids, kg, strict=True))
    folder = make_round(
        place / "full",
        files={"orders.csv": None, "readings.csv": "customer,date,kg,percent\n" + rows},
    )
    _, answer = planned(folder, days=3)
    assert answer.runs == ()
    assert "Nobody needs a tanker" in as_text(answer.sentences[0])


def test_a_customer_without_history_is_planned_with_doubt(place: Path) -> None:
    """No delivery, no reading, no yearly use: a wide range, and a plan all the same."""
    folder = make_round(place / "new", changes=[("readings.csv", "K-12,2026-01-10,2600,\n", "")])
    _, answer = planned(folder)
    mine = [s for r in answer.runs for s in r.stops if s.customer == "K-12"]
    assert mine
    assert mine[0].level_p90_kg - mine[0].level_p10_kg > 1000


def test_the_nearly_empty_are_served_first(place: Path) -> None:
    """Likely below the reserve: on the first day. Nearly full: not at all."""
    rows = "customer,date,kg,percent\nK-08,2026-01-12,,6\nK-01,2026-01-12,,97\n"
    _, answer = planned(make_round(place / "urgent", files={"readings.csv": rows}))
    days = {c: d for d, _, c, _ in reversed(stops(answer))}
    assert days["K-08"] == date(2026, 1, 13)
    assert "K-01" not in days


@pytest.mark.parametrize("days", [0, 16, -3])
def test_days_out_of_range_are_refused(place: Path, days: int) -> None:
    """One to fifteen working days."""
    folder = make_round(place / f"days {days}")
    with pytest.raises(RunsInputError, match="1 to 15"):
        planned(folder, days=days)


def test_sums_are_those_of_the_runs(place: Path) -> None:
    """Totals of the document are the sums over its runs."""
    _, answer = usual(place)
    document = answer.to_json()
    runs: Sequence[dict[str, Any]] = document["runs"]
    assert document["totals"]["kg"] == sum(s["kg"] for r in runs for s in r["stops"])
    assert document["totals"]["km"] == pytest.approx(sum(r["km"] for r in runs), abs=0.2)
    assert document["totals"]["stops"] == sum(len(r["stops"]) for r in runs)
    assert document["totals"]["km_per_t"] == pytest.approx(1000 * answer.km / answer.kg, abs=0.01)
    assert {"date", "tanker", "depot", "trip", "stops", "km", "hours", "kg"} <= set(runs[0])
    assert {"customer", "product", "arrive", "kg"} <= set(runs[0]["stops"][0])


def waiting_costs(folder: Path) -> list[float]:
    """Return what each day costs on which the order A1 of K-05, promised for two weeks, is not yet served."""
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    beliefs = believe(round_, weather, TODAY, 1, 40, 400)
    nobody_due = np.full(len(round_.customers), np.datetime64("NaT", "D"))
    week = week_of(desk_of(round_, TODAY), levels_of(beliefs), 8, nobody_due)
    roads = roads_for_round(round_)
    problem = week_problem(
        week.needs, week.fleet, week.grid, roads.roads.km, roads.roads.hours, np.array(roads.depot_place),
        week.supply_kg, 0.02, Prices(),
    )  # fmt: skip
    row = next(n for n, one in enumerate(week.rows) if one.orders and one.orders[0].order == "A1")
    first = problem.level_at[row]
    return [float(cost) for cost in problem.level_cost[first : first + 2 * 8 : 2]]


def test_an_order_costs_what_its_store_may_run_empty_meanwhile(place: Path) -> None:
    """A promise of two weeks helps nobody whose fuel lasts for days; a full store waits for nothing."""
    orders = (
        "order,customer,kg,class,from,to,price_per_t,credit_stop,call_ahead,already_empty,split_with\n"
        "A0,K-03,2000,A1,2026-01-13,2026-01-27,318,no,no,no,\n"
        "A1,K-05,3000,A1,2026-01-13,2026-01-27,318,no,no,no,\n"
    )
    costs = {}
    for percent in (2, 90):
        rows = "customer,date,kg,percent,checked\nK-03,2026-01-12,,4,right\n"
        rows += f"K-05,2026-01-12,,{percent},right\n"
        files = {"orders.csv": orders, "readings.csv": rows}
        costs[percent] = waiting_costs(make_round(place / f"waits {percent}", files=files))
    assert costs[90] == [0.0] * 7 + [1.0]  # the last one: an order at hand is worth a little on the way
    low = costs[2]
    assert sorted(low) == low and 0 < low[0] < 0.1 * Prices().empty < 0.3 * Prices().empty < low[-1]


def test_a_tanker_out_of_service_stays_at_home_that_day(place: Path) -> None:
    """Days in round.toml, here the first on which it would have driven."""
    _, before = usual(place)
    run = before.runs[0]
    named = f'name = "{run.tanker}"\n'
    changes = [("round.toml", named, f"{named}out_of_service = [{run.day.isoformat()}]\n")]
    _, answer = planned(make_round(place / "service", changes=changes))
    assert answer.runs
    assert (run.tanker, run.day) not in {(r.tanker, r.day) for r in answer.runs}


def test_the_document_tells_breaks_and_when_work_begins(place: Path) -> None:
    """With a break due after two hours of work: hours of each run = driving, work, breaks and waiting,
    and every break lies between the stops it is said to lie between.
    """
    changes = [("round.toml", "[prices]", '[driver]\nwork_before_break = "2 h"\n[prices]')]
    read = "customer,date,kg,percent,checked\nK-01,2026-01-04,2400,,right\n"
    read += "K-04,2026-01-09,,40,\nK-12,2026-01-10,2600,,\n"
    files = {"readings.csv": read}
    _, answer = planned(make_round(place / "breaks", files=files, changes=changes), days=4)
    assert any(r.breaks for r in answer.runs)
    for run, said in zip(answer.runs, answer.to_json()["runs"], strict=True):
        rested = sum(b.hours for b in run.breaks if b.at_h < run.back_by_h)
        work = sum(s.leave_h - s.start_h for s in run.stops)
        minute = 1 / 60  # routes count the work at a stop in whole minutes
        assert run.driving_h + work + rested <= run.hours + minute * len(run.stops)
        before = [run.leave_h, *(s.leave_h for s in run.stops)]
        after = [*(s.start_h for s in run.stops), run.back_by_h]
        for b, told in zip(run.breaks, said["breaks"], strict=True):
            assert before[b.before_stop - 1] - minute <= b.at_h
            assert b.at_h + b.hours <= after[b.before_stop - 1] + 1e-6 or b.before_stop > len(run.stops)
            assert told == {"at": clock(b.at_h), "minutes": round(60 * b.hours), "before_stop": b.before_stop}
        for s, told in zip(run.stops, said["stops"], strict=True):
            assert told["start"] == clock(s.start_h)
