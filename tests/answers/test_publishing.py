"""Publishing is bound to the plan that was looked at, and a published run is written down whole."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.answers.which_runs.record import PlanOutdated, publish_runs, record_wish
from fuelplan.cli.main import main
from fuelplan.records.folder.lock import locked
from fuelplan.records.round import Order, PublishedStop, add_order, write_published
from tests.round_folders import make_round
from tests.runs_planned import TODAY, planned

FEW = ["--as-of", TODAY.isoformat(), "--days", "6", "--moves", "800"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A round that a test may change."""
    return make_round(tmp_path / "round")


@pytest.fixture
def called(folder: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, dict[str, Any]]]:
    """Runs `fuelplan runs --json` on the folder; returns the status and the document."""

    def call(*arguments: str) -> tuple[int, dict[str, Any]]:
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main(["runs", str(folder), *FEW, "--json", *arguments])
        return int(ended.value.code or 0), json.loads(capsys.readouterr().out)

    return call


def in_file(folder: Path) -> tuple[PublishedStop, ...]:
    """What is published in a folder now."""
    return answers.open_round(folder).published


def test_the_second_who_publishes_is_refused_and_told_who_was_first(folder: Path) -> None:
    """Two plans made from one folder: what the first publishes stays, the second hears who published what."""
    round_, first = planned(folder)
    _, second = planned(folder, seed=7, moves=300)
    days = first.days[:4]
    count = publish_runs(round_, first, days, by="Anna")
    assert count > 0
    kept = in_file(folder)
    with pytest.raises(PlanOutdated, match=r"published for \d\d January by Anna"):
        publish_runs(round_, second, days, by="Ben")
    assert in_file(folder) == kept and {s.by for s in kept} == {"Anna"}


def _forbid(folder: Path) -> None:
    record_wish(answers.open_round(folder), "K-01", "forbid", day=TODAY + timedelta(days=1), by="Ben")


def _order(folder: Path) -> None:
    add_order(folder, Order("N1", "K-03", 2000.0, None, None, TODAY + timedelta(days=5)))


def _drop(folder: Path) -> None:
    answers.record_happening(answers.open_round(folder), "tanker out", TODAY + timedelta(days=1), tanker="T2")


def _customer(folder: Path) -> None:
    file = folder / "customers.csv"
    lines = file.read_text(encoding="utf-8").splitlines()
    head = lines[0].split(",")
    cells = lines[1].split(",")
    cells[head.index("store_kg")] = "4321"
    file.write_text("\n".join([lines[0], ",".join(cells), *lines[2:]]) + "\n", encoding="utf-8")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (_forbid, "noted: forbid K-01"),
        (_order, "order N1 of K-03"),
        (_drop, "noted: tanker out: T2"),
        (_customer, "described differently"),
    ],
)
def test_what_was_noted_meanwhile_stops_the_publishing(
    folder: Path, change: Callable[[Path], None], said: str
) -> None:
    """A wish, an order, a happening or a changed customer is told in words, and nothing is published."""
    round_, answer = planned(folder)
    change(folder)
    with pytest.raises(PlanOutdated) as refused:
        publish_runs(round_, answer, answer.days[:4])
    assert said in str(refused.value)
    assert not (folder / "published.csv").exists() or not in_file(folder)


def test_two_days_of_one_plan_are_published_one_after_the_other(folder: Path) -> None:
    """What a plan published itself does not make it an old one; the other days' names stay."""
    round_, answer = planned(folder)
    driven = sorted({r.day for r in answer.runs})[:2]
    publish_runs(round_, answer, driven[:1], by="Anna")
    publish_runs(round_, answer, driven, by="Ben")
    assert {(s.day, s.by) for s in in_file(folder)} == {(driven[0], "Anna"), (driven[1], "Ben")}


def test_the_lock_is_held_from_the_look_to_the_file(folder: Path) -> None:
    """While another program holds the folder, publishing waits; what that one wrote is seen."""
    round_, answer = planned(folder)
    faults: list[BaseException] = []

    def publishing() -> None:
        try:
            publish_runs(round_, answer, answer.days[:4])
        except PlanOutdated as problem:
            faults.append(problem)

    with locked(folder):
        other = threading.Thread(target=publishing)
        other.start()
        other.join(0.3)
        assert other.is_alive()
        file = folder / "wishes.csv"
        head = file.read_text(encoding="utf-8") if file.exists() else "customer,wish,date,tanker,by,why\n"
        file.write_text(head.rstrip("\n") + "\nK-03,forbid,2026-01-14,,Ben,\n", encoding="utf-8")
    other.join(30)
    assert len(faults) == 1 and "noted: forbid K-03" in str(faults[0])


def test_a_published_run_is_written_down_whole(folder: Path) -> None:
    """Every time, the window that is told, order, chambers and breaks stand in the file to the minute."""
    round_, answer = planned(folder)
    publish_runs(round_, answer, answer.days)
    stops = {(s.day, s.tanker, s.trip, s.position): s for s in in_file(folder)}
    assert len(stops) == sum(len(r.stops) for r in answer.runs)
    for run in answer.runs:
        for s in run.stops:
            kept = stops[run.day, run.tanker, run.trip, s.position]
            times = (kept.arrive_h, kept.start_h, kept.leave_h, kept.run_leaves_h, kept.run_back_h)
            meant = (s.arrive_h, s.start_h, s.leave_h, run.leave_h, run.back_by_h)
            assert kept.whole and kept.order == s.order
            assert all(abs((a or 0) - b) <= 0.5 / 60 + 1e-9 for a, b in zip(times, meant, strict=True))
            assert [k for k, _ in kept.chambers] == [c.grade for c in run.chambers]
            assert abs(sum(kg for _, kg in kept.chambers) - run.kg) < 3
            assert [n for _, _, n in kept.breaks] == [b.before_stop for b in run.breaks]
            assert kept.told_from_h is not None and kept.told_to_h is not None
            assert kept.told_from_h <= s.start_h + 1e-9 and s.start_h <= kept.told_to_h + 1e-9


def test_an_older_file_gets_the_columns_it_lacks(folder: Path) -> None:
    """A published.csv of eight columns is read, and keeps its own column when more are added."""
    file = folder / "published.csv"
    file.write_text(
        "date,tanker,trip,position,customer,class,kg,arrive,x_note\n"
        "2026-01-13,T1,1,1,K-01,A1,2000,09:00,by hand\n",
        encoding="utf-8",
    )
    (old,) = in_file(folder)
    assert old.arrive_h == 9.0 and not old.whole and old.told_from_h is None
    more = PublishedStop(
        date(2026, 1, 14), "T1", 1, 1, "K-03", "A1", 1500.0, 8.0, told_from_h=7.25, told_to_h=9.25, by="Anna"
    )
    write_published(folder, [old, more])
    head, first, second = file.read_text(encoding="utf-8").splitlines()
    assert head.startswith("date,tanker,trip,position,customer,class,kg,arrive,x_note,")
    assert first.startswith("2026-01-13,T1,1,1,K-01,A1,2000,09:00,by hand")
    assert "07:15" in second and "Anna" in second
    assert in_file(folder)[1].told_to_h == 9.25


def test_publishing_by_token_on_the_command_line(folder: Path, called: Callable[..., Any]) -> None:
    """`--plan` publishes the plan with that token and no other; a refusal names the part that changed."""
    status, looked_at = called()
    token = str(looked_at["plan"])
    assert status == 0 and token and called()[1]["plan"] == token
    status, other = called("--publish", "3", "--plan", token, "--seed", "9")
    assert status == 2 and "another day, seed" in other["error"]["message"]
    _forbid(folder)
    status, refused = called("--publish", "3", "--plan", token)
    assert status == 2 and "wishes.csv has changed" in refused["error"]["message"]
    assert not in_file(folder)
    status, again = called()
    status, done = called("--publish", "3", "--plan", str(again["plan"]), "--by", "Anna")
    assert status == 0 and done["published_stops"] == len(in_file(folder)) > 0
    assert {s.by for s in in_file(folder)} == {"Anna"}


def test_the_login_name_is_kept_where_no_other_is_said(
    folder: Path, called: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without --by the name of the login stands in the file, also with a wish."""
    monkeypatch.setenv("LOGNAME", "carla")
    status, _ = called("--publish", "4", "--forbid", "K-01:2026-01-14")
    assert status == 0 and {s.by for s in in_file(folder)} == {"carla"}
    assert [w.by for w in answers.open_round(folder).wishes][-1] == "carla"
