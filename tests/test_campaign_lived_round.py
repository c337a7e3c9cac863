"""The lived round can see each kind of violation, and lives of one seed are one life."""

from __future__ import annotations

import random
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.campaigns.lived_round import driving, program, tables, two_at_once, worlds
from tests.campaigns.lived_round.ledger import Ledger
from tests.campaigns.lived_round.life import Budget, Life
from tests.campaigns.lived_round.play import WORLDS, one_day, play
from tests.campaigns.lived_round.program import Said
from tests.campaigns.lived_round.tally import Tally, table
from tests.campaigns.lived_round.truth import Truth
from tests.plan_checker_example import document, runs, set_cell, write_round

STOP = {"date": "2026-01-13", "tanker": "T1", "customer": "K2", "class": "A1", "kg": "2000"}
TOLD = {"told_from": "07:00", "told_to": "09:00"}


@pytest.fixture
def life(tmp_path: Path) -> Life:
    """A life in the round made by hand, on its evening."""
    folder = write_round(tmp_path / "round")
    truth = Truth(random.Random(1), date(2026, 1, 12), {}, {}, {})
    return Life(folder, truth, Tally("hand"), 1, Budget(100, 2))


def says(monkeypatch: pytest.MonkeyPatch, plan: dict[str, Any], status: int = 0, words: str = "") -> None:
    """Let the program say this plan, whatever it is asked, and nothing of the outlook."""
    whole = {"noted": [], "published_stops": 0, **plan}

    def called(*asked: str) -> Said:
        return Said(status, whole, words) if asked[0] == "runs" else Said(0, {}, "")

    monkeypatch.setattr(program, "called", called)


def test_a_sound_evening_finds_nothing(life: Life, monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan that keeps every rule, and a folder that keeps every entry: no violation, and checks counted."""
    says(monkeypatch, document(runs()))
    life.enter("readings", {"customer": "K1", "date": "2026-01-12", "kg": "900", "percent": ""})
    assert life.plan() is not None
    assert not life.tally.violations
    assert life.tally.checks["entries"] == 1 and life.tally.checks["loads"] == 1


def test_a_broken_rule_is_counted_under_its_name(life: Life, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the plan checker finds is a violation of that kind, with a sample."""
    plan = document(runs())
    plan["runs"][1]["chambers"] = []
    says(monkeypatch, plan)
    life.plan()
    assert dict(life.tally.violations) == {"chambers": 1}
    assert "2026-01-13 T1 2" in life.tally.samples["chambers"]


@pytest.mark.parametrize(("status", "kind"), [(2, "refused"), (-1, "traceback")])
def test_a_plan_that_is_not_made_is_seen(
    life: Life, monkeypatch: pytest.MonkeyPatch, status: int, kind: str
) -> None:
    """A refusal and a traceback are told apart; a row that was just deleted is put back."""
    says(monkeypatch, {}, status, "37 faults")
    life.put_back = {"customer": "K9", "name": "Left"}
    assert life.plan() is None
    assert dict(life.tally.violations) == {kind: 1}
    assert life.rows("customers")[-1]["customer"] == "K9"


def test_lost_entries_are_seen(tmp_path: Path) -> None:
    """A row that is gone or changed, a cell that is set back, a closed day that is open again."""
    folder = write_round(tmp_path / "round")
    kept = Ledger()
    kept.entered("readings", {"customer": "K7", "date": "2026-01-12", "kg": "300"})
    kept.changed("customers", "K1", "to", "16:00")
    assert kept.lost(folder) == []
    set_cell(folder, "readings.csv", "K7", "kg", "400")
    set_cell(folder, "customers.csv", "K1", "to", "15:00")
    kept.closed.add("2026-01-20")
    assert len(kept.lost(folder)) == 3
    kept.taken_out("readings", "customer", "K7")
    assert len(kept.lost(folder)) == 2


def test_told_stops_are_held_to(tmp_path: Path) -> None:
    """A stop that was told may go or change only with a word in the plan, and never once its day is past."""
    folder = write_round(tmp_path / "round")
    names = [*STOP, *TOLD]
    file = folder / "published.csv"
    quiet, spoken = {"changes": []}, {"changes": ["House 2 (K2): moved"]}
    for change, plan, as_of, count in (
        (None, quiet, date(2026, 1, 12), 1),
        (None, spoken, date(2026, 1, 12), 0),
        (None, spoken, date(2026, 1, 13), 1),
        ({"kg": "2100"}, quiet, date(2026, 1, 12), 1),
        ({"kg": "2100"}, spoken, date(2026, 1, 12), 0),
        ({"told_to": "09:30"}, quiet, date(2026, 1, 12), 1),
        ({"tanker": "T2"}, spoken, date(2026, 1, 14), 1),
        ({}, quiet, date(2026, 1, 14), 0),
    ):
        ledger = Ledger()
        tables.write(file, names, [STOP | TOLD])
        assert ledger.published(folder, quiet, as_of) == []
        tables.write(file, names, [] if change is None else [STOP | TOLD | change])
        assert len(ledger.published(folder, plan, as_of)) == count


def test_a_plan_that_is_not_what_was_published_is_seen(life: Life, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder has other stops than the plan that was said to be published."""
    says(monkeypatch, {**document(runs()), "published_stops": 2})
    life.plan(publish=True)
    assert life.tally.violations["published stops lost"] == 1


def test_a_note_that_is_not_listed_is_seen(life: Life, monkeypatch: pytest.MonkeyPatch) -> None:
    """A wish stands in the folder, and the plan lists none."""
    says(monkeypatch, document(runs()))
    life.enter("wishes", {"customer": "K8", "wish": "forbid", "date": "2026-01-13"})
    life.plan()
    assert dict(life.tally.violations) == {"noted": 1}


def test_a_happening_on_another_day_is_seen(life: Life, monkeypatch: pytest.MonkeyPatch) -> None:
    """Noted for the next driving day, written for the one after; a drop of today, written for tomorrow."""
    plan = document(runs())
    head = (
        list(life.rows("happenings")[0]) if life.rows("happenings") else worlds.HEADS["happenings"].split(",")
    )

    def called(*asked: str) -> Said:
        if "--happened" in asked:
            row = {"date": "2026-01-14", "what": "slow roads", "factor": "1.3"}
            tables.add(life.folder / "happenings.csv", row, head)
        return Said(0, {"noted": [{}], "published_stops": 5, **plan} if asked[0] == "runs" else {}, "")

    monkeypatch.setattr(program, "called", called)
    driving.upset(life, plan, ["slow roads: 1.3"])
    assert life.tally.violations["happening's day"] == 1
    driving._failed(life, "K1", date(2026, 1, 13))
    assert life.tally.violations["happening's day"] == 2


def test_what_was_forgotten_is_asked_about(life: Life) -> None:
    """No weigh note and no question; an order that came and is planned again without a word."""
    plan = document(runs())
    driving.forgotten(life, plan, date(2026, 1, 12), ["K1"], ["K2"])
    assert dict(life.tally.violations) == {"not asked": 1, "brought again": 1}
    plan["questions"] = [{"text": "Did K1 get it? Is B1 of K2 done?"}]
    driving.forgotten(life, plan, date(2026, 1, 12), ["K1"], ["K2"])
    assert sum(life.tally.violations.values()) == 2


def test_two_at_once_sees_what_is_gone(life: Life) -> None:
    """Whose stops are neither in the folder nor among the other's changes has lost them."""
    plan = {**document(runs()), "published_stops": 5}
    two_at_once._stops(life, [Said(0, plan, "")], life.folder)
    assert "4 of them are gone" in life.tally.samples["two at once"]
    named = {**document([]), "changes": ["K1, K4, K5 and K7 elsewhere"], "published_stops": 0}
    two_at_once._stops(life, [Said(0, plan, ""), Said(0, named, "")], life.folder)
    assert life.tally.violations["two at once"] == 1


def test_one_seed_is_one_life(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same seed gives the same entries, steps and findings; another seed gives others."""
    monkeypatch.setitem(WORLDS, "made", lambda folder, seed: worlds.made_world(folder, seed, 25))
    first, again, other = (play("made", seed, 2, Budget(100, 3)) for seed in (7, 7, 8))
    assert first.to_json() | {"seconds": 0} == again.to_json() | {"seconds": 0}
    assert first.entries != other.entries
    assert first.days == 2 and first.plans >= 2


def test_the_table_counts_by_world_and_kind() -> None:
    """Lives of two worlds are summed by world and in all, each kind of violation with a sample."""
    one, two = Tally("demo", 3, days=2, steps=5), Tally("made", 4, days=1, steps=2)
    one.wrong("chambers", "empty")
    two.wrong("chambers", "full")
    two.wrong("due", "nobody")
    text = table([one, two])
    assert "| steps | 5 | 2 | 7 |" in text
    assert "| chambers | 1 | 1 | 2 |" in text and "- due: made seed 4: nobody" in text
    assert "chambers" in one.line()


def test_a_life_burns_and_fills_its_houses(tmp_path: Path) -> None:
    """A day of the truth: weather written for the next day, fuel burned, what was published blown in."""
    folder = tmp_path / "made"
    truth = worlds.made_world(folder, 2, 25)
    life = Life(folder, truth, Tally("made"), 2, Budget(100, 3))
    before = {name: house.level_kg for name, house in truth.houses.items()}
    one_day(life, None)
    assert life.as_of == date(2026, 1, 16) == truth.day
    assert life.rows("weather")[-1]["date"] == "2026-01-16"
    came = {r["customer"]: float(r["kg"]) for r in life.rows("deliveries") if r["date"] == "2026-01-16"}
    for name, was in before.items():
        now = truth.houses[name].level_kg
        assert now <= max(0.0, was) + came.get(name, 0.0)
    assert sum(truth.houses[n].level_kg for n in before) < sum(before.values()) + sum(came.values())


def test_five_days_of_the_demo_round_find_nothing() -> None:
    """The short form of the campaign: no rule broken, nothing that was entered or told lost."""
    lived = play("demo", 1, 5, Budget())
    assert lived.days == 5 and lived.plans >= 5 and lived.stops > 50
    assert dict(lived.violations) == {}, lived.samples
