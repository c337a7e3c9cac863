"""What came is counted once: a weigh note closes its order, a published stop without one is asked about."""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import Round
from fuelplan.answers.round.came import what_came
from fuelplan.dispatch.run_plan import ASKED
from fuelplan.messages import Day, as_text, render
from fuelplan.records.round import Order, PublishedStop, add_delivery, add_order, write_published
from tests.round_folders import make_round

TODAY = date(2026, 1, 16)  # a Friday
DEMO = Path(__file__).parents[2] / "demo_sites" / "round_quellmark"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A round with no orders and no history of the last weeks."""
    made = make_round(tmp_path / "round")
    for name in ("orders", "published", "wishes", "happenings"):
        (made / f"{name}.csv").unlink(missing_ok=True)
    return made


def order(folder: Path, kg: float | None = 3000.0, **given: object) -> None:
    """Enter an order of K-01 promised for 15 to 20 January."""
    entry = {"order": "B1", "customer": "K-01", "kg": kg, "grade": "A1", "first": date(2026, 1, 15),
             "last": date(2026, 1, 20), **given}  # fmt: skip
    add_order(folder, Order(**entry))  # type: ignore[arg-type]


def stop(folder: Path, day: date = TODAY, kg: float = 3000.0, name: str | None = "B1") -> None:
    """Publish a stop at K-01."""
    write_published(folder, [PublishedStop(day, "T1", 1, 1, "K-01", "A1", kg, 9.0, order=name)])


def opened(folder: Path) -> Round:
    """The round as it is now."""
    return answers.open_round(folder)


def open_orders(folder: Path) -> dict[str, float | None]:
    """Orders that count as open, with their kilograms."""
    return {o.order: o.kg for o in what_came(opened(folder), TODAY).round.orders}


def test_a_weigh_note_closes_its_order(folder: Path) -> None:
    """4,400 kg came of 4,600 ordered: the order is done, and it is said so."""
    order(folder, 4600.0)
    add_delivery(folder, "K-01", TODAY, 4400.0, grade="A1")
    came = what_came(opened(folder), TODAY)
    assert came.round.orders == () and "B1" in render(came.notes[0]) and "4,400 kg" in render(came.notes[0])


def test_a_part_leaves_the_rest_ordered_unless_the_store_was_filled(folder: Path) -> None:
    """1,500 of 4,000 kg: 2,500 kg stay ordered; when the store was full the order is done."""
    order(folder, 4000.0, already_empty=True)
    add_delivery(folder, "K-01", TODAY, 1500.0, grade="A1")
    assert open_orders(folder) == {"B1": 2500.0}
    assert not what_came(opened(folder), TODAY).round.orders[0].already_empty
    text = (folder / "deliveries.csv").read_text(encoding="utf-8")
    last = text.rstrip().rpartition("\n")[2]
    (folder / "deliveries.csv").write_text(
        text.replace(last, last.rpartition(",")[0] + ",yes"), encoding="utf-8"
    )
    assert open_orders(folder) == {}


@pytest.mark.parametrize(
    ("day", "grade", "given", "closes"),
    [
        (date(2026, 1, 14), "A1", {}, True),  # a day before the first promised one
        (date(2026, 1, 13), "A1", {}, False),  # earlier: another delivery
        (date(2026, 1, 16), "A2", {}, False),  # another class
        (date(2026, 1, 16), "", {}, True),  # a note that names none
        (date(2026, 1, 5), "A1", {"first": None}, True),
        (date(2025, 12, 20), "A1", {"first": None}, False),  # more than 30 days before the last promised one
        (date(2026, 1, 16), "A1", {"kg": None}, True),  # "full"
    ],
)
def test_which_note_closes_which_order(
    folder: Path, day: date, grade: str, given: dict[str, object], closes: bool
) -> None:
    """Same customer, same class, near enough to the promised days; the bounds are those of the document."""
    order(folder, **given)  # type: ignore[arg-type]
    add_delivery(folder, "K-01", day, 2900.0, grade=grade)
    assert (open_orders(folder) == {}) is closes


def test_one_note_closes_one_order(folder: Path) -> None:
    """Two orders of one customer and one note: the one whose promise ends first is done."""
    order(folder)
    order(folder, order="B0", last=date(2026, 1, 30))
    add_delivery(folder, "K-01", TODAY, 3000.0)
    assert set(open_orders(folder)) == {"B0"}


def test_nothing_dated_later_is_looked_at(folder: Path) -> None:
    """A note of tomorrow closes nothing today."""
    order(folder)
    add_delivery(folder, "K-01", TODAY + timedelta(days=1), 3000.0)
    assert set(open_orders(folder)) == {"B1"}


def test_a_published_stop_without_a_note_is_asked_about(folder: Path) -> None:
    """The stop of a past day is a question that names day, tanker, order and amount; its order waits."""
    order(folder)
    stop(folder)
    came = what_came(opened(folder), TODAY)
    (asked,) = came.to_confirm
    assert (asked.day, asked.tanker, asked.order, asked.kg) == (TODAY, "T1", "B1", 3000.0)
    assert "K-01" in render(asked.said) and asked.said.value("day") == Day(TODAY)
    assert [o.asked for o in came.round.orders] == [True]
    number = opened(folder).customers.number_of["K-01"]
    assert came.maybe_kg()[number] == 3000.0


@pytest.mark.parametrize("kg", [None, 2400.0])
def test_it_came_counts_as_a_delivery_until_the_note_is_there(folder: Path, kg: float | None) -> None:
    """The answer closes the order and fills the store; the weigh note takes its place and is not counted on
    top.
    """
    order(folder)
    stop(folder)
    answers.record_happening(opened(folder), "came", TODAY, customer="K-01", kg=kg)
    came = what_came(opened(folder), TODAY)
    new = came.round.deliveries.rows(slice(len(opened(folder).deliveries), None))
    assert new.kg.tolist() == [kg or 3000.0] and new.day.tolist() == [TODAY]
    assert not came.to_confirm and not came.round.orders
    add_delivery(folder, "K-01", TODAY, 2950.0, grade="A1")
    again = what_came(opened(folder), TODAY)
    assert len(again.round.deliveries) == len(opened(folder).deliveries) and not again.to_confirm


def test_what_did_not_come_stays_ordered(folder: Path) -> None:
    """After a failed drop nobody is asked, and the order is planned again in full."""
    order(folder)
    stop(folder)
    answers.record_happening(opened(folder), "failed drop", TODAY, customer="K-01", reason="no access")
    came = what_came(opened(folder), TODAY)
    assert not came.to_confirm and [(o.kg, o.asked) for o in came.round.orders] == [(3000.0, False)]


@pytest.mark.parametrize(
    ("what", "published", "day"),
    [
        ("tanker out", None, date(2026, 1, 19)),  # Friday evening: the next day that tankers drive is Monday
        ("slow roads", None, date(2026, 1, 19)),
        ("depot out of stock", None, date(2026, 1, 19)),
        ("failed drop", None, TODAY),
        ("failed drop", date(2026, 1, 15), date(2026, 1, 15)),
        ("failed drop", date(2026, 1, 19), date(2026, 1, 19)),
        ("came", TODAY, TODAY),
    ],
)
def test_one_place_says_which_day_something_noted_is_about(
    folder: Path, what: str, published: date | None, day: date
) -> None:
    """Ahead: the next day on which tankers drive. About a drop: the day it was published for, else today."""
    if published is not None:
        stop(folder, published, name=None)
    assert answers.day_of_happening(opened(folder), what, TODAY, "K-01") == day


def test_the_command_line_dates_what_it_notes_as_the_page_does(tmp_path: Path) -> None:
    """On a Friday evening of the demo: the tanker is out on Monday, the drop failed on Friday."""
    from fuelplan.cli.main import main

    folder = tmp_path / "demo"
    shutil.copytree(DEMO, folder)
    with pytest.raises(SystemExit):
        main(["runs", str(folder), "--as-of", "2026-01-16", "--moves", "200", "--days", "1", "--json",
              "--happened", "tanker out: Heron", "--happened", "failed drop: Q001: boiler on"])  # fmt: skip
    noted = {h.what: h.day for h in answers.open_round(folder).happenings}
    assert noted == {"tanker out": date(2026, 1, 19), "failed drop": date(2026, 1, 16)}


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, answers.RunsAnswer]:
    """The demo round whose 16 January was published, and the plan."""
    folder = tmp_path_factory.mktemp("came") / "round"
    shutil.copytree(DEMO, folder)
    answer = planned(folder, date(2026, 1, 15))
    answers.publish_runs(answers.open_round(folder), answer, answer.days[:1])
    return folder, answer


def planned(folder: Path, as_of: date) -> answers.RunsAnswer:
    """Plan five days of the demo with a small budget."""
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, as_of, lambda _: None)
    return answers.runs(round_, weather, as_of, moves=1500, days=5)


def test_stops_without_a_note_are_asked_about_everywhere_and_nothing_comes_twice(
    published: tuple[Path, answers.RunsAnswer],
) -> None:
    """On the evening of the day: every stop is a question in the answer, on the command line and the sheets;
    the empty customer's order is not planned again, and no second drop is more than fits on top of the first.
    """
    from fuelplan.cli.runs import as_text
    from fuelplan.papers.run_sheets import sheets_of

    folder, before = published
    stops = {s.customer: s for r in before.runs if r.day == TODAY for s in r.stops}
    after = planned(folder, TODAY)
    assert {s.customer for s in after.to_confirm} == set(stops)
    document = after.to_json()
    assert {c["code"] for q in document["to_confirm"] for c in q["choices"]} == {
        "came", "other_amount", "did_not_come",
    }  # fmt: skip
    again = {s.order for r in after.runs for s in r.stops if s.order}
    assert "B003" not in again
    assert any(x.order == "B003" and x.reason == ASKED for x in after.not_served)
    for run in after.runs:
        for s in run.stops:
            if s.customer in stops:
                assert s.kg + stops[s.customer].kg <= s.store_kg + 1
    assert "Did they come" in as_text(after) and "Did they come" in " ".join(map(render, after.sentences))
    lists = {x["title"]: len(x["rows"]) for x in sheets_of(after)["office"]["lists"]}
    assert lists["Drops to ask about"] == len(stops)


def test_a_note_of_the_day_before_is_not_delivered_again(
    published: tuple[Path, answers.RunsAnswer], tmp_path: Path
) -> None:
    """4,400 kg came for the order of 4,600 kg: the order is done, on the plan and in the outlook, and it is
    said so.
    """
    folder = Path(shutil.copytree(published[0], tmp_path / "round"))
    add_delivery(folder, "Q065", TODAY, 4400.0, grade="A1", tanker="Heron")
    after = planned(folder, TODAY)
    assert "Q065" not in {s.customer for s in after.to_confirm}
    assert not [s for r in after.runs for s in r.stops if s.order == "B003"]
    assert any("B003" in note and "4,400 kg" in note for note in map(as_text, after.notes))
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    ahead = answers.outlook(round_, weather, TODAY, days=30)
    assert not ahead.customers.ordered[round_.customers.number_of["Q065"]]


def test_answers_on_the_command_line_fall_on_the_day_that_was_published(
    published: tuple[Path, answers.RunsAnswer], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the Monday after, "came" and "failed drop" are about the Friday; the questions are gone."""
    from fuelplan.cli.main import main

    folder = Path(shutil.copytree(published[0], tmp_path / "round"))
    names = [s.customer for r in published[1].runs if r.day == TODAY for s in r.stops][:2]
    with pytest.raises(SystemExit):
        main(["runs", str(folder), "--as-of", "2026-01-19", "--moves", "200", "--days", "2", "--json",
              "--happened", f"came: {names[0]}: 2.5 t",
              "--happened", f"failed drop: {names[1]}: no access"])  # fmt: skip
    noted = {h.customer: (h.what, h.day, h.kg) for h in answers.open_round(folder).happenings}
    assert noted == {names[0]: ("came", TODAY, 2500.0), names[1]: ("failed drop", TODAY, None)}
    left = {s.customer for s in what_came(answers.open_round(folder), date(2026, 1, 19)).to_confirm}
    assert left.isdisjoint(names) and left
