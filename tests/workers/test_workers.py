"""Pieces done by processes and by a dask cluster: joined in order, nothing lost when a worker is killed."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import util
from pathlib import Path

import numpy as np
import psutil
import pytest

from fuelplan.cli.main import main
from fuelplan.workers import HERE, Crew, PieceLost, WorkersError, crew_of, done_in_order, results
from fuelplan.workers import cluster as cluster_room
from tests.round_folders import make_round
from tests.worker_pieces import (
    ROOT,
    Killing,
    KillingOnArrival,
    doubled_table,
    refused,
    small_cluster,
    squared,
    tripled,
)


@pytest.fixture(scope="module")
def scheduler(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A scheduler on loopback with two workers; tests that kill workers start their own."""
    with small_cluster(tmp_path_factory.mktemp("cluster")) as address:
        yield address


def nobody(tmp_path: Path, seconds: float = 0.0) -> Killing:
    """A piece of work that kills nobody."""
    return Killing(-1, tmp_path / "flag", seconds=seconds)


def test_this_process_does_the_pieces_one_after_the_other(tmp_path: Path) -> None:
    """Without a number of workers all is done here, in the order of the pieces."""
    found = list(results(HERE, squared, nobody(tmp_path), range(5)))
    assert found == [(n, (n * n, os.getpid())) for n in range(5)]


def test_two_processes_share_the_pieces(tmp_path: Path) -> None:
    """Both work, neither is this one, every piece comes once, and the order is that of the pieces."""
    found = list(done_in_order(Crew(2), squared, nobody(tmp_path, 0.05), range(12)))
    assert [value for value, _ in found] == [n * n for n in range(12)]
    who = {pid for _, pid in found}
    assert len(who) == 2 and os.getpid() not in who


def test_a_killed_process_loses_nothing(tmp_path: Path) -> None:
    """One of two processes is killed in the middle of a piece, which is done again; a third replaces it."""
    shared = Killing(4, tmp_path / "flag", seconds=0.05)
    found = list(results(Crew(2), squared, shared, range(12)))
    assert shared.flag.exists()
    assert sorted(number for number, _ in found) == list(range(12))
    assert all(value == number * number for number, (value, _) in found)
    assert len({pid for _, (_, pid) in found}) <= 3


def test_a_process_killed_while_it_waits_loses_nothing(tmp_path: Path) -> None:
    """A worker that dies with nothing in hand is noticed when it gets its next piece."""
    coming = results(Crew(1), squared, nobody(tmp_path), range(3))
    _, (_, pid) = next(coming)
    os.kill(pid, signal.SIGKILL)
    assert [(number, value) for number, (value, _) in coming] == [(1, 1), (2, 4)]


def test_a_process_killed_while_it_starts_loses_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process dies before it has read anything, while much is to be handed over: nobody waits for it."""
    spawn = util.spawnv_passfds
    dead: list[int] = []

    def dying(path: str, command: list[str], fds: list[int]) -> int:
        if dead or "resource_tracker" in " ".join(map(str, command)):
            return spawn(path, command, fds)
        dead.append(spawn(path, [command[0], "-c", ""], fds))
        return dead[0]

    monkeypatch.setattr(util, "spawnv_passfds", dying)
    much = np.arange(2_000_000)  # 16 MB, more than any pipe holds
    found: list[int] = []
    doing = threading.Thread(
        target=lambda: found.extend(done_in_order(Crew(2), doubled_table, much, range(6))), daemon=True
    )
    doing.start()
    doing.join(120)  # seconds
    assert dead and found == [0, 2, 4, 6, 8, 10]


def test_a_piece_that_kills_every_worker_is_named(tmp_path: Path) -> None:
    """After three dead workers the piece is given up by its name, not tried for ever."""
    shared = Killing(2, tmp_path / "flag", always=True)
    with pytest.raises(PieceLost, match="died 3 times at customers of street 2:"):
        list(results(Crew(2), squared, shared, range(6), lambda n: f"customers of street {n}"))


@pytest.mark.parametrize("crew", [HERE, Crew(2)], ids=["here", "processes"])
def test_what_the_work_refuses_is_told_as_it_was_said(crew: Crew) -> None:
    """An error of the work itself is no dead worker: it comes through and ends the work."""
    with pytest.raises(ValueError, match="no good: 3"):
        list(results(crew, refused, "no good:", range(50)))


def test_pieces_are_taken_as_workers_become_free(tmp_path: Path) -> None:
    """Of many pieces only those under way lie in memory: no more are taken than are done, and two."""
    taken = 0

    def pieces() -> Iterator[int]:
        nonlocal taken
        for n in range(20):
            taken += 1
            yield n

    for done, _ in enumerate(results(Crew(2), squared, nobody(tmp_path), pieces())):
        assert taken <= done + 3
    assert taken == 20


def test_workers_end_with_the_one_who_started_them(tmp_path: Path) -> None:
    """Whoever kills the command is left without stray processes: a worker ends when its parent has died."""
    script = (
        "from fuelplan.workers import Crew, results\n"
        "from tests.worker_pieces import Killing, squared\n"
        "from pathlib import Path\n"
        "if __name__ == '__main__':\n"
        "    shared = Killing(-1, Path('x'), seconds=0.01)\n"
        "    for _, (_, pid) in results(Crew(1), squared, shared, range(10**6)):\n"
        "        print(pid, flush=True)\n"
    )
    (tmp_path / "parent.py").write_text(script, encoding="utf-8")
    parent = subprocess.Popen(
        [sys.executable, "parent.py"], cwd=tmp_path, stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert parent.stdout is not None
    worker = int(parent.stdout.readline())
    parent.kill()
    parent.wait()
    parent.stdout.close()
    assert _gone(worker), "the worker outlives its parent"


def _gone(pid: int) -> bool:
    """Tell whether a process ends within half a minute; one that waits to be buried has ended."""
    until = time.monotonic() + 30
    while time.monotonic() < until:
        state = Path(f"/proc/{pid}/stat")
        try:
            os.kill(pid, 0)
            if state.exists() and state.read_text().rpartition(")")[2].split()[0] == "Z":
                return True
        except OSError:
            return True
        time.sleep(0.05)
    return False


def test_a_cluster_shares_the_pieces(scheduler: str, tmp_path: Path) -> None:
    """Two dask workers do the pieces between them, joined in the order of the pieces."""
    crew = Crew(scheduler=scheduler)
    found = list(done_in_order(crew, squared, nobody(tmp_path, 0.05), range(12)))
    assert [value for value, _ in found] == [n * n for n in range(12)]
    assert len({pid for _, pid in found} - {os.getpid()}) == 2
    shared = np.arange(100_000)
    assert list(done_in_order(crew, doubled_table, shared, [3, 99_999])) == [6, 199_998]


def test_what_the_work_refuses_comes_back_from_a_cluster(scheduler: str) -> None:
    """An error of the work is raised here as it was there, and the cluster works on for the next one."""
    crew = Crew(scheduler=scheduler)
    with pytest.raises(ValueError, match="no good: 3"):
        list(results(crew, refused, "no good:", range(50)))
    assert list(done_in_order(crew, refused, "", [1, 2])) == [1, 2]


def test_a_worker_with_other_versions_is_refused(scheduler: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Other versions of the packages can give other last digits, so such a worker does nothing."""
    here = tuple((name, "0.0" if name == "numpy" else v) for name, v in cluster_room.versions())
    monkeypatch.setattr(cluster_room, "versions", lambda: here)
    with pytest.raises(WorkersError, match=r"numpy \S+ there, 0\.0 here; install the same"):
        list(results(Crew(scheduler=scheduler), refused, "", [1]))


def test_killed_workers_of_a_cluster(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One of two dask workers is killed in the middle and does not come back: the other does all. When that
    one dies, too, and where there is none to begin with, an error says so: nobody waits for ever."""
    with small_cluster(tmp_path) as address:
        crew, shared = Crew(scheduler=address), Killing(4, tmp_path / "flag", seconds=0.02)
        found = list(results(crew, squared, shared, range(12)))
        assert shared.flag.exists()
        assert sorted((number, value) for number, (value, _) in found) == [(n, n * n) for n in range(12)]
        monkeypatch.setattr(cluster_room, "WORKERS_S", 0.5)
        for _ in range(2):
            with pytest.raises(WorkersError, match="no worker"):
                list(results(crew, squared, Killing(0, tmp_path / "flag", always=True), range(3)))


def test_a_worker_that_dies_while_the_work_is_laid_out(tmp_path: Path) -> None:
    """Killed while it takes what all pieces share, before any piece: the other one does them all."""
    shared = KillingOnArrival(tmp_path / "flag", os.getpid())
    with small_cluster(tmp_path) as address:
        found = list(done_in_order(Crew(scheduler=address), tripled, shared, range(4)))
    assert shared.flag.exists() and found == [0, 3, 6, 9]


def test_a_scheduler_that_is_not_there_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing listens at the address: one sentence names it."""
    monkeypatch.setattr(cluster_room, "ANSWER_S", 0.3)
    with pytest.raises(WorkersError, match=r"no dask scheduler answers at tcp://127\.0\.0\.1:9:"):
        list(results(Crew(scheduler="tcp://127.0.0.1:9"), refused, "", [1]))


@contextmanager
def listening(word: bytes = b"") -> Iterator[int]:
    """A port that takes every call, says a word or nothing, and holds the line."""
    held: list[socket.socket] = []
    with socket.create_server(("127.0.0.1", 0)) as ear:

        def serve() -> None:
            while True:
                try:
                    caller, _ = ear.accept()
                except OSError:
                    return
                caller.sendall(word)
                held.append(caller)

        threading.Thread(target=serve, daemon=True).start()
        yield int(ear.getsockname()[1])
        for caller in held:
            caller.close()


@pytest.mark.parametrize(
    ("word", "said"), [(b"", "says nothing within"), (b"SSH-2.0-x\r\n" * 9, "is not a dask scheduler")]
)
def test_a_port_that_is_no_scheduler_is_not_waited_for(
    monkeypatch: pytest.MonkeyPatch, word: bytes, said: str
) -> None:
    """One that takes the call and says nothing, and one that says something else: a sentence, an end."""
    assert cluster_room.OPEN_S == 15
    monkeypatch.setattr(cluster_room, "ANSWER_S", 0.3)
    with listening(word) as port, pytest.raises(WorkersError, match=said):
        list(results(Crew(scheduler=f"tcp://127.0.0.1:{port}"), refused, "", [1]))


def test_a_scheduler_over_tls_without_certificates(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the command line, too: one sentence on what is missing, no traceback."""
    folder = make_round(tmp_path / "round", weather_days=800)
    with pytest.raises(SystemExit) as left:
        main(["outlook", str(folder), "--scheduler", "tls://127.0.0.1:9", "--json"])
    found = json.loads(capsys.readouterr().out)["error"]
    assert left.value.code == 2 and "needs the certificates" in found["message"]


STOPPED_ALONE = """
import sys
from pathlib import Path
from fuelplan.workers import Crew, results
from tests.worker_pieces import Killing, squared
if __name__ == "__main__":
    shared = Killing(-1, Path("x"), seconds=600)
    print("begun", flush=True)
    try:
        list(results(Crew(2), squared, shared, range(4)))
    except KeyboardInterrupt:
        print("stopped", flush=True)
"""


def test_a_signal_to_the_parent_alone_is_heard(tmp_path: Path) -> None:
    """Its workers are in the middle of pieces of ten minutes: it ends, and so do they."""
    script = tmp_path / "work.py"
    script.write_text(STOPPED_ALONE)
    paths = os.pathsep.join([str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
    program = subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": paths}, start_new_session=True,
        # A suite that a shell started in the background hands down that the signal is not heard.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )  # fmt: skip
    try:
        parent = psutil.Process(program.pid)
        until = time.monotonic() + 60
        while len(workers := _busy(parent)) < 2 and time.monotonic() < until:
            time.sleep(0.1)
        assert len(workers) == 2
        program.send_signal(signal.SIGINT)
        said, wrong = program.communicate(timeout=60)
        assert said.split() == ["begun", "stopped"] and "Traceback" not in wrong
        _, alive = psutil.wait_procs(workers, timeout=30)
        assert not alive
    finally:
        program.kill()


def _busy(parent: psutil.Process) -> list[psutil.Process]:
    """The workers that have begun: those that have imported what they work with."""
    found = []
    for child in parent.children():
        try:
            if "spawn_main" in " ".join(child.cmdline()) and child.num_threads() > 1:
                found.append(child)
        except psutil.Error:
            continue
    return found


@pytest.mark.parametrize(
    "address", ["", "http://host:8786", "tcp://host", "inproc://1", "a b:1", "tcp://h:1/x"]
)
def test_what_is_no_address_is_refused(address: str) -> None:
    """Only tcp and tls are asked for, with a port, before anything is sent."""
    with pytest.raises(WorkersError, match="is not a valid address of a scheduler"):
        Crew(scheduler=address)


def test_addresses_and_numbers_that_are_taken() -> None:
    """Names, numbers of both kinds and plain HOST:PORT; no more processes than a machine bears."""
    for address in ("tcp://10.0.0.5:8786", "tls://hall.example:8786", "127.0.0.1:1", "tcp://[::1]:8786"):
        assert crew_of(None, address).scheduler == address
    assert crew_of(None, None) == HERE and HERE.here and not Crew(1).here
    with pytest.raises(WorkersError, match="65 workers; write 0 to 64"):
        crew_of(65, None)
    with pytest.raises(WorkersError, match="workers of its own"):
        crew_of(2, "127.0.0.1:1")
