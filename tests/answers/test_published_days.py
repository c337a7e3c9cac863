"""A published day in the days after: kept whole, checked against what is known, open to what is urgent."""

from __future__ import annotations

import csv
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.answers import RunsAnswer, clock
from fuelplan.answers.which_runs import runs as which_runs
from fuelplan.answers.which_runs.answer import Run, RunStop
from fuelplan.dispatch.routing.mended import FULL, NO_TIME
from fuelplan.messages import render
from fuelplan.papers.run_sheets import sheets_of
from fuelplan.records.round import Order, Wish, add_order, add_wish

DEMO = Path(__file__).parents[2] / "demo_sites" / "round_quellmark"
TODAY, FIRST, SECOND = date(2026, 1, 15), date(2026, 1, 16), date(2026, 1, 19)
Place = tuple[date, str, str]


def planned(folder: Path, **given: Any) -> RunsAnswer:
    """Plan the demo's next five working days with a small budget."""
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    return answers.runs(round_, weather, TODAY, **{"moves": 1500, "days": 5, **given})


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, RunsAnswer]:
    """The demo round with its first two days published, and the plan that was published."""
    folder = tmp_path_factory.mktemp("published") / "round"
    shutil.copytree(DEMO, folder)
    rules = folder / "round.toml"
    text = rules.read_text(encoding="utf-8")
    rules.write_text(text.replace('A1 = "90 t"', 'A1 = "300 t"'), encoding="utf-8")  # enough of it
    answer = planned(folder)
    answers.publish_runs(answers.open_round(folder), answer, answer.days[:2], by="Anna")
    return folder, answer


@pytest.fixture
def folder(told: tuple[Path, RunsAnswer], tmp_path: Path) -> Path:
    """A copy of it that a test may change."""
    return Path(shutil.copytree(told[0], tmp_path / "round"))


def stops(answer: RunsAnswer, *days: date) -> dict[Place, tuple[Run, RunStop]]:
    """The stops of some days, by day, customer and class."""
    return {(r.day, s.customer, s.grade): (r, s) for r in answer.runs if r.day in days for s in r.stops}


def whole(run: Run) -> list[object]:
    """All of a run that was published, to the minute."""
    return [
        (run.day, run.tanker, run.trip, clock(run.leave_h), clock(run.back_by_h)),
        [(c.grade, round(c.kg), c.holds_kg) for c in run.chambers],
        [(clock(b.at_h), round(60 * b.hours), b.before_stop) for b in run.breaks],
        [(s.customer, s.grade, s.kg, s.order, clock(s.arrive_h), clock(s.start_h), clock(s.leave_h),
          s.told_from_h, s.told_to_h) for s in run.stops],
    ]  # fmt: skip


def change(folder: Path, customer: str, **cells: str) -> None:
    """Change cells of a customer."""
    file = folder / "customers.csv"
    with file.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    names = list(dict.fromkeys([*rows[0], *cells]))
    for row in rows:
        if row["customer"] == customer:
            row.update(cells)
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, names, restval="")
        writer.writeheader()
        writer.writerows(rows)


def test_a_published_run_is_kept_whole(told: tuple[Path, RunsAnswer]) -> None:
    """Planned again with another seed: times, breaks, chambers, orders and told windows are those published,
    in the answer and on the sheets, and nothing is at fault.
    """
    folder, before = told
    after = planned(folder, seed=5)
    days = before.days[:2]
    kept = [run for run in after.runs if run.day in days]
    assert [whole(r) for r in kept] == [whole(r) for r in before.runs if r.day in days]
    assert all(r.frozen and not r.faults for r in kept) and after.changes == ()
    assert any(r.breaks for r in kept)
    for sheet in sheets_of(after, days=days)["sheets"]:
        for run in sheet["runs"]:
            assert any(c["kg"] != "empty" for c in run["chambers"])


def test_a_window_narrowed_afterwards_is_a_fault_of_the_run(
    folder: Path, told: tuple[Path, RunsAnswer]
) -> None:
    """The run stays as published and says which customer's hours it does not keep; so does a credit stop."""
    runs = [r for r in told[1].runs if r.day == FIRST]
    late = max((s for r in runs for s in r.stops), key=lambda s: s.start_h)
    other = runs[0].stops[0]
    change(folder, late.customer, **{"from": "07:00", "to": "08:00"})
    change(folder, other.customer, credit_stop="yes")
    after = planned(folder)
    faults = [render(text) for r in after.runs if r.day == FIRST for text in r.faults]
    assert any(late.name in text and "takes fuel from 07:00 to 08:00" in text for text in faults)
    assert any(other.name in text and "credit stop" in text for text in faults)
    kept = stops(after, FIRST)
    assert clock(kept[FIRST, late.customer, late.grade][1].start_h) == clock(late.start_h)


def urgent(folder: Path, kg: float = 1000.0) -> str:
    """Enter an order of somebody who is on no published run and is already empty; return the customer."""
    round_ = answers.open_round(folder)
    taken = {s.customer for s in round_.published} | {o.customer for o in round_.orders}
    c = round_.customers
    who = next(
        str(i) for n, i in enumerate(c.id)
        if str(i) not in taken and not c.top_up[n] and c.takes[n, 0] and c.smallest_drop_kg[n] <= kg
        and c.weekdays[n].all() and c.from_h[n] == 0 and c.to_h[n] == 24 and c.max_weight_kg[n] > 40_000
    )  # fmt: skip
    add_order(folder, Order("URGENT", who, kg, "A1", None, FIRST, already_empty=True))
    return who


def in_windows(before: RunsAnswer, after: RunsAnswer, *days: date) -> list[str]:
    """Everybody who was told a time and is not there in it any more."""
    now = stops(after, *days)
    out = []
    for place, (_, s) in stops(before, *days).items():
        found = now.get(place)
        assert s.told_from_h is not None and s.told_to_h is not None
        if found is None or not s.told_from_h - 1e-6 <= found[1].start_h <= s.told_to_h + 1e-6:
            out.append(s.customer)
    return out


@pytest.mark.parametrize("pin", [True, False])
def test_an_urgent_order_comes_on_a_published_day(
    folder: Path, told: tuple[Path, RunsAnswer], pin: bool
) -> None:
    """Pinned or already empty, it is put in; nobody leaves the window he was told, and new times are told."""
    who = urgent(folder)
    if pin:
        add_wish(folder, Wish(who, "pin", FIRST, by="Anna"))
    after = planned(folder)
    assert (FIRST, who, "A1") in stops(after, FIRST)
    assert in_windows(told[1], after, FIRST, SECOND) == [] and after.wishes_not_kept == ()
    changes = list(map(render, after.changes))
    assert any(f"({who})" in text and "put into the published run" in text for text in changes)
    for (day, customer, grade), (run, s) in stops(told[1], FIRST).items():
        now = stops(after, FIRST)[day, customer, grade]
        moved = abs(now[1].arrive_h - s.arrive_h) > 3 / 60 or now[0].tanker != run.tanker
        assert moved == any(f"({customer})" in text for text in map(render, after.changes))


def test_what_was_put_in_is_published_and_then_stays(folder: Path) -> None:
    """Published again, the day stands with the new stop; a pin that is kept already upsets nothing."""
    who = urgent(folder)
    add_wish(folder, Wish(who, "pin", FIRST, by="Anna"))
    first = planned(folder)
    answers.publish_runs(answers.open_round(folder), first, [FIRST], by="Ben")
    again = planned(folder, seed=3)
    assert [whole(r) for r in again.runs if r.day == FIRST] == [
        whole(r) for r in first.runs if r.day == FIRST
    ]
    assert again.changes == () and again.wishes_not_kept == ()


def test_a_pin_that_cannot_be_kept_says_why(folder: Path) -> None:
    """A shut weekday, a day without tankers or beyond the plan, nobody's order, a credit stop: each with its
    reason, in the answer and on the command line.
    """
    from fuelplan.cli.runs import as_text

    who = urgent(folder)
    round_ = answers.open_round(folder)
    c = round_.customers
    shut = next(
        str(i) for n, i in enumerate(c.id) if c.top_up[n] and not c.weekdays[n, 4] and c.weekdays[n].any()
    )
    idle = next(
        str(i)
        for n, i in enumerate(c.id)
        if not c.top_up[n] and str(i) not in {o.customer for o in round_.orders}
    )
    wishes = {shut: FIRST, who: date(2026, 1, 17), idle: SECOND, "Q080": SECOND, "Q001": date(2026, 3, 2)}
    for customer, day in wishes.items():
        add_wish(folder, Wish(customer, "pin", day))
    after = planned(folder)
    said = {w.customer: render(w.reason) for w in after.wishes_not_kept}
    assert set(said) == set(wishes)
    assert "weekday" in said[shut] and "no tanker drives" in said[who] and "no order" in said[idle]
    assert "credit stop" in said["Q080"] and "beyond" in said["Q001"]
    assert (FIRST, who, "A1") in stops(after, FIRST)  # it still comes: it cannot wait
    assert all(reason in as_text(after) for reason in said.values())
    assert {w["customer"] for w in after.to_json()["wishes_not_kept"]} == set(wishes)


def test_a_published_day_that_is_full_says_so(folder: Path) -> None:
    """What the tankers have no room or time for on a published day is refused with the reason; the order is
    on another run, or named among those without one.
    """
    round_ = answers.open_round(folder)
    for k in round_.table.tankers[1:]:
        answers.record_happening(answers.open_round(folder), "tanker out", FIRST, tanker=k.name)
    heavy = next(str(i) for n, i in enumerate(round_.customers.id) if round_.customers.store_kg[n] >= 14_000
                 and str(i) not in {s.customer for s in round_.published})  # fmt: skip
    add_order(folder, Order("BIG", heavy, 14_000.0, None, FIRST, date(2026, 1, 21)))
    add_wish(folder, Wish(heavy, "pin", FIRST))
    after = planned(folder)
    (refused,) = after.wishes_not_kept
    assert refused.customer == heavy and refused.reason
    assert refused.reason in (FULL, NO_TIME)
    served = {customer for _, customer, _ in stops(after, *after.days)}
    assert heavy in served | {x.customer for x in after.not_served if x.order == "BIG"}


@pytest.mark.parametrize("tanker", ["Heron", "Wren", "Stork"])
def test_after_a_tanker_is_out_the_empty_are_served_that_day(
    folder: Path, told: tuple[Path, RunsAnswer], tanker: str
) -> None:
    """Whoever is empty and promised for the day comes on it by another tanker; a pin finds nothing better; a
    stop that is not as published stands among the changes with its new time.
    """
    answers.record_happening(answers.open_round(folder), "tanker out", FIRST, tanker=tanker)
    after = planned(folder)
    assert not [r for r in after.runs if (r.day, r.tanker) == (FIRST, tanker)]
    assert (FIRST, "Q065", "A1") in stops(after, FIRST)
    now = stops(after, *after.days)
    for place, (run, s) in stops(told[1], FIRST, SECOND).items():
        changes, day = map(render, after.changes), f"{place[0].day} January"
        text = next((t for t in changes if f"({s.customer})" in t and day in t), "")
        if place not in now:
            assert "now on" in text or "on no run" in text
        elif run.tanker != now[place][0].tanker:
            assert f"with {now[place][0].tanker} instead of {tanker}" in text
            assert f"at {clock(now[place][1].arrive_h)} instead of {clock(s.arrive_h)}" in text
        else:
            assert in_windows(told[1], after, place[0]).count(s.customer) == 0
    add_wish(folder, Wish("Q065", "pin", FIRST))
    assert planned(folder).cost >= after.cost - 0.01


def test_slow_roads_keep_the_day_and_tell_the_new_times(folder: Path, told: tuple[Path, RunsAnswer]) -> None:
    """Driving takes three times as long: who is late against what he was told stands among the changes."""
    answers.record_happening(answers.open_round(folder), "slow roads", FIRST, factor=3.0)
    after = planned(folder)
    for customer in in_windows(told[1], after, FIRST):
        said = next(t for t in map(render, after.changes) if f"({customer})" in t)
        assert "ring the customer" in said or "published for" in said
    assert stops(after, FIRST)


@pytest.mark.parametrize("hours", [0.5, 4.0])
def test_the_told_window_is_as_long_as_the_customers(tmp_path: Path, hours: float) -> None:
    """`told_window_h` of a customer is the length of what is told, two hours where nothing is written."""
    folder = Path(shutil.copytree(DEMO, tmp_path / "round"))
    usual = next(s for r in planned(folder).runs for s in r.stops if 9 < s.start_h < 12)
    assert usual.told_from_h is not None and usual.told_to_h is not None
    assert usual.told_to_h - usual.told_from_h == pytest.approx(2.0)
    change(folder, usual.customer, told_window_h=f"{hours:g}")
    run = next(s for r in planned(folder).runs for s in r.stops if s.customer == usual.customer)
    assert run.told_from_h is not None and run.told_to_h is not None
    assert run.told_to_h - run.told_from_h == pytest.approx(hours, abs=0.26)
    assert run.told_from_h <= run.start_h <= run.told_to_h


def test_a_forbidden_stop_leaves_and_the_others_stay(folder: Path, told: tuple[Path, RunsAnswer]) -> None:
    """Only the stop that a person takes out goes; the others keep their windows, and the change is told."""
    _, gone = next(iter(stops(told[1], FIRST).values()))
    add_wish(folder, Wish(gone.customer, "forbid", FIRST))
    after = planned(folder)
    assert in_windows(told[1], after, FIRST) == [gone.customer]
    assert any(f"({gone.customer})" in text for text in map(render, after.changes))


def test_a_file_of_an_older_program_keeps_its_hours(folder: Path, told: tuple[Path, RunsAnswer]) -> None:
    """Eight columns, as they were once written: breaks, chambers and times are worked out for the whole day,
    and nobody leaves the window round the time he was told.
    """
    file = folder / "published.csv"
    with file.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    old = ["date", "tanker", "trip", "position", "customer", "class", "kg", "arrive"]
    file.write_text("\n".join(",".join(r) for r in [old, *([row[n] for n in old] for row in rows)]) + "\n")
    after = planned(folder)
    assert in_windows(told[1], after, FIRST, SECOND) == []
    kept = [r for r in after.runs if r.day in (FIRST, SECOND)]
    assert all(r.chambers and not r.faults for r in kept) and any(r.breaks for r in kept)


def test_nothing_but_the_free_days_is_planned_beside(told: tuple[Path, RunsAnswer]) -> None:
    """The days that are published take nothing that was not asked for."""
    folder, before = told
    after = planned(folder, seed=8)
    assert set(stops(after, FIRST, SECOND)) == set(stops(before, FIRST, SECOND))


def test_times_that_were_told_stay_when_the_roads_are_believed_to_be_longer(
    folder: Path, told: tuple[Path, RunsAnswer]
) -> None:
    """Another detour in the settings: the runs stand as published, and say what they cannot keep now."""
    file = folder / "round.toml"
    file.write_text(file.read_text(encoding="utf-8") + "\n[distances]\ndetour = 2.6\n", encoding="utf-8")
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    after = which_runs.runs(
        round_, weather, TODAY, moves=1500, days=5
    )  # not checked: its times are of other roads
    days = told[1].days[:2]
    kept = [run for run in after.runs if run.day in days]
    assert [whole(r) for r in kept] == [whole(r) for r in told[1].runs if r.day in days]
    assert any(run.faults for run in kept)


def test_a_word_that_is_kept_already_upsets_nothing(folder: Path, told: tuple[Path, RunsAnswer]) -> None:
    """Everybody pinned to the day and tanker published: the day stands to the minute."""
    for (_, customer, _), (run, _) in stops(told[1], FIRST).items():
        add_wish(folder, Wish(customer, "pin", FIRST, run.tanker))
    after = planned(folder)
    assert [whole(r) for r in after.runs if r.day == FIRST] == [
        whole(r) for r in told[1].runs if r.day == FIRST
    ]
    assert after.changes == () and after.wishes_not_kept == ()


def test_a_pin_before_the_promised_days_leaves_the_order_where_it_is_promised(tmp_path: Path) -> None:
    """Pinned to a day before the first promised one: that is said, and the order still comes in time."""
    folder = Path(shutil.copytree(DEMO, tmp_path / "round"))
    add_wish(folder, Wish("Q083", "pin", FIRST))
    after = planned(folder)
    (wish,) = after.wishes_not_kept
    assert wish.customer == "Q083" and "promised from 19 January on" in render(wish.reason)
    (served,) = [r.day for r in after.runs for s in r.stops if s.order == "B006"]
    assert SECOND <= served <= date(2026, 1, 22)


def test_an_order_for_more_than_is_published_is_named(folder: Path, told: tuple[Path, RunsAnswer]) -> None:
    """Who is on a published run unasked and then orders more: both amounts are told."""
    unasked = [stop for _, stop in stops(told[1], FIRST, SECOND).values() if stop.order is None]
    stop = min(unasked, key=lambda s: s.kg)  # there must be room for more
    assert not any("are published" in render(f) for r in planned(folder).runs for f in r.faults)
    more = round(stop.kg) + 2000
    last = date(2026, 1, 22)
    add_order(folder, Order("L77", stop.customer, float(more), stop.grade, None, last))
    faults = [f for r in planned(folder).runs for f in map(render, r.faults)]
    said = [f for f in faults if stop.name in f or stop.customer in f]
    assert any(f"order L77 asks for {more:,} kg, {stop.kg:,.0f} kg are published" in f for f in said), said


def test_a_yard_that_lacks_half_a_hundredweight_says_so(folder: Path, told: tuple[Path, RunsAnswer]) -> None:
    """What lies there is 50 kg less than the published runs load: the run that comes short says so."""
    placed = stops(told[1], FIRST, SECOND).values()
    loads = sum(s.kg for r, s in placed if r.depot == "yard" and s.grade == "A1")
    rules = folder / "round.toml"
    text = rules.read_text(encoding="utf-8")
    assert 'A1 = "300 t"' in text
    rules.write_text(text.replace('A1 = "300 t"', f'A1 = "{loads - 50:.0f} kg"'), encoding="utf-8")
    said = [f for r in planned(folder).runs for f in map(render, r.faults) if "yard lacks" in f]
    assert said and all("50 kg A1" in f for f in said), said
    rules.write_text(text.replace('A1 = "300 t"', f'A1 = "{loads:.0f} kg"'), encoding="utf-8")
    assert not [f for r in planned(folder).runs for f in map(render, r.faults) if "yard lacks" in f]
