"""The outlook and the run plans of many depots done by other processes: the same bytes, also when one is
killed in the middle."""

from __future__ import annotations

import json
import multiprocessing
import os
import pickle
import shutil
import signal
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fuelplan import answers
from fuelplan.answers.which_runs import depots as depots_room
from fuelplan.answers.who_is_due.beliefs import Beliefs
from fuelplan.answers.who_is_due.outlook import answer_of
from fuelplan.cli.main import main
from fuelplan.dispatch import outlook
from fuelplan.dispatch.outlook import blocks as block_room
from fuelplan.dispatch.outlook.tables import OutlookError
from fuelplan.messages import as_text
from fuelplan.workers import Crew, WorkersError, results
from tests.benchmarks.outlook import write_big_round
from tests.round_example import AS_OF, ROUND, WEATHER
from tests.round_folders import make_round
from tests.worker_pieces import Killing, small_cluster, squared

TODAY = date(2026, 1, 12)
CUSTOMERS = 1200
FEW = {"days": 4, "moves": 300}


@dataclass
class Killer:
    """A progress call that kills one worker with the first news, when the others are at work."""

    workers: Callable[[], list[int]]
    killed: int | None = None
    calls: int = 0

    def __call__(self, *_: object) -> bool:
        self.calls += 1
        if self.killed is None:
            self.killed = self.workers()[-1]
            os.kill(self.killed, signal.SIGKILL)
        return True


def own_processes() -> list[int]:
    """The processes that this one has started with multiprocessing."""
    return sorted(p.pid for p in multiprocessing.active_children() if p.pid is not None)


def believed(folder: Path, **how: Any) -> Beliefs:
    """What is believed of the customers of a folder."""
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, AS_OF)
    return answers.believe(round_, weather, AS_OF, 1, 21, draws=250, **how)


@pytest.fixture(scope="module")
def big_round(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A round of 1,200 customers: three blocks of 512, the last one not full."""
    folder = tmp_path_factory.mktemp("many")
    write_big_round(folder, CUSTOMERS)
    return folder


@pytest.fixture(scope="module")
def many_customers(big_round: Path) -> Beliefs:
    """What is believed of them."""
    return believed(big_round)


@pytest.fixture(autouse=True)
def small_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Blocks of 512 customers instead of 2,048, so that few customers are several blocks."""
    monkeypatch.setattr(block_room, "CUSTOMERS", 512)


def written(answer: Any) -> str:
    """An answer as its document, every digit of it."""
    return json.dumps(answer.to_json())


@pytest.fixture(scope="module")
def in_one_piece(many_customers: Beliefs) -> str:
    """The outlook as this process makes it alone."""
    return written(answer_of(many_customers))


def test_blocks_give_the_bits_of_one_piece(many_customers: Beliefs) -> None:
    """What is believed of each customer is bit for bit the same, whatever the blocks and in whatever order
    they are worked out."""
    many, whole = many_customers.many, outlook.learned_here(many_customers.many)
    ground = outlook.ground_of(many)
    for customers in (512, 1024):
        blocks = list(outlook.blocks_of(many, customers))
        found = {b.begin: outlook.learned_block(ground, b) for b in blocks[::-1]}
        parts = outlook.CustomersLearned.joined([found[begin] for begin in sorted(found)])
        for name in vars(whole):
            assert getattr(parts, name).tobytes() == getattr(whole, name).tobytes(), name


def test_blocks_of_other_sizes_are_refused(many_customers: Beliefs) -> None:
    """A block begins where customers are learned together, or its last digits would be others."""
    with pytest.raises(OutlookError, match="a multiple of 512"):
        next(outlook.blocks_of(many_customers.many, 500))


def test_a_block_holds_its_own_customers_alone(many_customers: Beliefs) -> None:
    """What crosses to a worker goes with the customers of the block, not with those of the whole round."""
    b = many_customers
    blocks = list(outlook.blocks_of(b.many))
    assert [len(x) for x in blocks] == [512, 512, 176]
    assert str(blocks[-1]) == "customers 1,025 to 1,200"
    whole = len(pickle.dumps((b.many.customers, b.many.priors)))
    for block in blocks:
        assert len(pickle.dumps(block)) < 1.5 * whole * len(block) / CUSTOMERS + 10_000


def test_the_outlook_survives_a_killed_process(big_round: Path, in_one_piece: str) -> None:
    """One of two processes is killed while it works: the document is that of one process, to the byte."""
    killer = Killer(own_processes)
    answer = answer_of(believed(big_round, crew=Crew(2), progress=killer))
    assert killer.killed is not None and killer.calls == 3
    assert written(answer) == in_one_piece


@pytest.fixture(scope="module")
def two_depots(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small round with a tanker at each of its two depots, and two low stores that may be rung for."""
    last = "K-12,2026-01-10,2600,\n"
    low = f"{last}K-05,2026-01-10,,14\nK-11,2026-01-10,,14\n"
    return make_round(tmp_path_factory.mktemp("rounds") / "two", changes=[("readings.csv", last, low)])


def planned(folder: Path, **given: Any) -> tuple[answers.Round, answers.RunsAnswer]:
    """The depots' plans with a small budget."""
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    return round_, answers.runs_by_depot(round_, weather, TODAY, **{**FEW, **given})


def test_depots_planned_apart_break_nothing(two_depots: Path) -> None:
    """The joined plan keeps access, hours and stock; customers are served from their depots, in one list."""
    _, answer = planned(two_depots, days=8, moves=1500)
    depots = {s.customer: r.depot for r in answer.runs for s in r.stops}
    assert depots["K-03"] == "north" and depots["K-07"] == "south"
    assert {r.depot for r in answer.runs} == {"north", "south"}
    assert [(r.day, r.tanker, r.trip) for r in answer.runs] == sorted(
        (r.day, r.tanker, r.trip) for r in answer.runs
    )
    assert [d.day for d in answer.per_day] == sorted(set(answer.days)) and len(answer.days) == 8
    for day in answer.per_day:
        mine = [r for r in answer.runs if r.day == day.day]
        assert (day.runs, day.stops) == (len(mine), sum(len(r.stops) for r in mine))
        assert day.kg == pytest.approx(sum(r.kg for r in mine))
    assert {x.customer for x in answer.to_ring} == {"K-05", "K-11"}
    assert [x.deliver_by for x in answer.to_ring] == sorted(x.deliver_by for x in answer.to_ring)
    asked = dict.fromkeys(s.customer for r in answer.runs for s in r.stops if s.call_ahead)
    assert [x.customer for x in answer.calls] == list(asked)
    assert as_text(answer.notes[-1]) == (
        "Each depot is planned by itself: north with 6 customers, south with 6 customers."
    )
    assert answer.cost == pytest.approx(sum(r.cost for r in answer.runs)) and answer.reproducible


def test_one_depot_planned_by_itself_is_the_plan_of_the_round() -> None:
    """Where all tankers stand at one depot, nothing is different but the last note, and the token for it."""
    apart = answers.runs_by_depot(ROUND, WEATHER, AS_OF, days=2, moves=200).to_json()
    whole = answers.runs(ROUND, WEATHER, AS_OF, days=2, moves=200).to_json()
    assert apart["notes"].pop()["text"] == "Each depot is planned by itself: yard with 120 customers."
    assert apart.pop("not_served") == sorted(
        whole.pop("not_served"), key=lambda x: ROUND.customers.number_of[x["customer"]]
    )
    del apart["plan"], whole["plan"]
    assert apart == whole


def test_depots_survive_a_killed_process(two_depots: Path) -> None:
    """One of two processes is killed when the first depot is done: the document stays the same."""
    killer = Killer(own_processes)
    _, answer = planned(two_depots, crew=Crew(2), progress=killer)
    assert killer.killed is not None and killer.calls == 2
    assert written(answer) == written(planned(two_depots)[1])


def test_a_worker_needs_no_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A depot is planned from what was handed over, a matrix of distances too: a worker may never see the
    disk that its folder lies on."""
    names = [*(f"K-{n:02d}" for n in range(1, 13)), "north", "south"]
    rows = [
        f"{a},{b},{5 + abs(k - m)},{9 + abs(k - m)}"
        for k, a in enumerate(names)
        for m, b in enumerate(names)
        if a != b
    ]
    folder = make_round(
        tmp_path / "gone",
        files={"matrix.csv": "\n".join(["from,to,km,minutes", *rows]) + "\n"},
        changes=[("round.toml", "[prices]", '[distances]\nkind = "file"\nfile = "matrix.csv"\n[prices]')],
    )
    round_, whole = planned(folder)

    def far_away(_: object, work: Any, shared: Any, pieces: Any) -> Iterator[Any]:
        sent = pickle.dumps((shared, list(pieces)))
        shutil.rmtree(folder)
        asked, depots = pickle.loads(sent)
        return enumerate([work(asked, depot) for depot in depots])

    monkeypatch.setattr(depots_room, "results", far_away)
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    found = answers.runs_by_depot(round_, weather, TODAY, **FEW)  # type: ignore[arg-type]
    assert not folder.exists() and written(found) == written(whole)


def test_a_dask_cluster_survives_a_killed_worker(
    big_round: Path, in_one_piece: str, two_depots: Path, tmp_path: Path
) -> None:
    """Two dask workers on loopback, one killed in the middle of the outlook: the same bytes; the other alone
    then plans both depots, the same bytes again; without the scheduler, an error and no waiting."""
    from distributed import Client

    with small_cluster(tmp_path) as address:
        with Client(address, set_as_default=False) as client:
            pids = sorted(client.run(os.getpid).values())
            scheduler: int = client.run_on_scheduler(os.getpid)
        crew, killer = Crew(scheduler=address), Killer(lambda: pids)
        answer = answer_of(believed(big_round, crew=crew, progress=killer))
        assert killer.killed == pids[-1] and killer.calls == 3
        assert written(answer) == in_one_piece
        assert written(planned(two_depots, crew=crew)[1]) == written(planned(two_depots)[1])
        coming = results(crew, squared, Killing(-1, tmp_path / "flag", seconds=0.2), range(50))
        next(coming)
        os.kill(scheduler, signal.SIGKILL)
        with pytest.raises(WorkersError, match="went away"):
            list(coming)


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    """Exit status and stdout of the command line."""
    capsys.readouterr()
    with pytest.raises(SystemExit) as left:
        main(list(arguments))
    return int(left.value.code or 0), capsys.readouterr().out


def test_the_command_line_hands_work_over(two_depots: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--workers and --scheduler with outlook, and with runs --by-depot alone; the document is the same."""
    place = str(two_depots)
    here = told(capsys, "outlook", place, "--json", "--days", "20")
    assert here[0] == 0 and told(capsys, "outlook", place, "--json", "--days", "20", "--workers", "1") == here
    few = ["runs", place, "--json", "--by-depot", "--days", "3", "--moves", "200"]
    here = told(capsys, *few)
    assert here[0] == 0 and told(capsys, *few, "--workers", "1") == here
    for words, message in (
        (["runs", place, "--workers", "2"], "need --by-depot as well"),
        (["outlook", place, "--scheduler", "http://x:1"], "is not a valid address of a scheduler"),
        (["outlook", place, "--scheduler", "127.0.0.1:9", "--workers", "2"], "workers of its own"),
    ):
        status, out = told(capsys, *words, "--json")
        assert status == 2 and message in json.loads(out)["error"]["message"]
