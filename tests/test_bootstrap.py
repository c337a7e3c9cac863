"""The set-up script: quick the second time, and clear about what is missing."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fuelplan import bootstrap

Result = subprocess.CompletedProcess


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A project folder of the test's own, in which nothing has been installed."""
    (tmp_path / "tests").mkdir()
    (tmp_path / "pyproject.toml").write_text("[project]\nname = 'x'\n", encoding="utf-8")
    (tmp_path / "tests" / "data_packages.txt").write_text("some_data\n", encoding="utf-8")
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    monkeypatch.setattr(bootstrap, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(bootstrap, "DATA_PACKAGES", tmp_path / "tests" / "data_packages.txt")
    monkeypatch.setattr(bootstrap, "DEMO_HOUSE", tmp_path / "demo_sites" / "family_house")
    return tmp_path


@pytest.fixture
def commands(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """The commands that the script would have run, each taken as a success."""
    ran: list[list[str]] = []

    def run(command: list[str], **_: object) -> Result[str]:
        ran.append(command)
        return Result(command, 0, "", "")

    monkeypatch.setattr(bootstrap.subprocess, "run", run)
    return ran


def pip_calls(commands: list[list[str]]) -> list[str]:
    """What pip was asked to install."""
    return [" ".join(c) for c in commands if "pip" in c and "install" in c]


def make_tools(project: Path) -> None:
    """Let the virtual environment look as if it were there."""
    for name in ("python", "fuelplan", "ruff", "mypy"):
        file = Path(bootstrap.tool(name))
        file.parent.mkdir(parents=True, exist_ok=True)
        file.touch()


def test_first_run_installs_second_run_does_not(project: Path, commands: list[list[str]]) -> None:
    """Installing is done once; it is done again when the requirements change, and only then."""
    make_tools(project)
    assert bootstrap.main(["demo", "--no-serve"]) == 0
    assert len(pip_calls(commands)) == 1
    commands.clear()
    assert bootstrap.main(["demo", "--no-serve"]) == 0
    assert pip_calls(commands) == []
    (project / "pyproject.toml").write_text("[project]\nname = 'y'\n", encoding="utf-8")
    assert bootstrap.main(["demo", "--no-serve"]) == 0
    assert len(pip_calls(commands)) == 1


def test_an_installed_package_sets_nothing_up(
    project: Path, commands: list[list[str]], capsys: pytest.CaptureFixture[str]
) -> None:
    """Beside an installed package there is no checkout: nothing is made in its folder, and it says so."""
    (project / "pyproject.toml").unlink()
    with pytest.raises(SystemExit) as left:
        bootstrap.main(["demo"])
    assert left.value.code == 2 and "source checkout" in capsys.readouterr().err
    assert commands == [] and not (project / ".venv").exists()


def test_demo_answers_and_then_serves(project: Path, commands: list[list[str]]) -> None:
    """The demo prints the order answer of the demo house first and serves the page after it."""
    make_tools(project)
    assert bootstrap.main(["demo", "--port", "8600"]) == 0
    ours = [c[1:] for c in commands if c[0] == bootstrap.tool("fuelplan")]
    house = str(bootstrap.DEMO_HOUSE)
    assert ours == [["order", house], ["app", house, "--port", "8600"]]


def test_taken_port_gives_way_to_the_next(project: Path, commands: list[list[str]]) -> None:
    """When something else listens on the page's port, the demo is served on the next free one."""
    make_tools(project)
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        taken = other.getsockname()[1]
        assert bootstrap.main(["demo", "--port", str(taken)]) == 0
    assert int(commands[-1][-1]) > taken


def test_demo_that_fails_is_not_served(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When there is no answer its exit status is passed on, and no page is served."""
    make_tools(project)
    ran: list[str] = []

    def run(command: list[str], **_: object) -> Result[str]:
        ran.append(" ".join(command))
        return Result(command, 3 if "order" in command else 0, "", "")

    monkeypatch.setattr(bootstrap.subprocess, "run", run)
    assert bootstrap.main(["demo"]) == 3
    assert not any(" app " in command for command in ran)


@pytest.mark.parametrize(
    ("processors", "spread"),
    [(None, []), (1, []), (2, ["-n", "2", "--dist", "loadfile"]), (64, ["-n", "4", "--dist", "loadfile"])],
)
def test_tests_run_linter_types_and_tests_even_when_one_fails(
    project: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    processors: int | None,
    spread: list[str],
) -> None:
    """A failing linter does not hide the tests, pytest comes last, spread over the processors, and the status
    tells of the failure.
    """
    make_tools(project)
    ran: list[list[str]] = []

    def run(command: list[str], **_: object) -> Result[str]:
        ran.append(command)
        return Result(command, 1 if "ruff" in command[0] else 0, "", "")

    monkeypatch.setattr(bootstrap.subprocess, "run", run)
    monkeypatch.setattr(bootstrap.shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(bootstrap.os, "cpu_count", lambda: processors)
    assert bootstrap.main(["test", "-k", "chart"]) == 1
    assert any("--no-deps" in command for command in ran)
    assert [Path(c[0]).stem for c in ran[-3:]] == ["ruff", "mypy", "python"]
    assert ran[-1][1:] == ["-m", "pytest", *spread, "-k", "chart"]
    assert "failed: ruff" in capsys.readouterr().err


def test_too_old_python_says_which_one_is_needed(
    monkeypatch: pytest.MonkeyPatch, project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An interpreter that is too old, with no newer one around, gets one clear sentence and status 1."""
    monkeypatch.setattr(bootstrap.sys, "version_info", (3, 9, 2))
    monkeypatch.setattr(bootstrap.shutil, "which", lambda _: None)
    assert bootstrap.main(["demo"]) == 1
    said = capsys.readouterr().err
    assert "Python 3.11 or newer is needed" in said
    assert "Traceback" not in said


def test_newer_python_on_the_path_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    """A newer interpreter on the path makes the environment; one that does not run is passed over."""
    monkeypatch.setattr(bootstrap.sys, "version_info", (3, 9, 2))
    here = {"python3.13": "/opt/broken/python3.13", "python3.12": "/usr/bin/python3.12"}
    monkeypatch.setattr(bootstrap.shutil, "which", here.get)
    monkeypatch.setattr(
        bootstrap.subprocess, "run", lambda command, **_: Result(command, 1 if "broken" in command[0] else 0)
    )
    assert bootstrap.find_python() == "/usr/bin/python3.12"


def test_missing_venv_module_names_the_package(
    project: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without the venv module, and the right to install it, the Debian package is named."""
    monkeypatch.setattr(bootstrap.subprocess, "run", lambda command, **_: Result(command, 1, "", ""))
    monkeypatch.setattr(bootstrap.os, "geteuid", lambda: 1000)
    assert bootstrap.main(["demo"]) == 1
    assert "apt-get install python3-venv" in capsys.readouterr().err


def test_missing_browser_names_the_package(
    project: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without Chromium, and the right to install it, the tests say what to install before anything else."""
    monkeypatch.setattr(bootstrap.shutil, "which", lambda _: None)
    assert bootstrap.main(["test"]) == 1
    assert "apt-get install chromium" in capsys.readouterr().err


@pytest.fixture
def failing_pip(project: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Lets pip fail with the words it is given."""
    make_tools(project)

    def fail_with(words: str) -> None:
        monkeypatch.setattr(
            bootstrap.subprocess,
            "run",
            lambda command, **_: Result(command, 1 if "install" in command else 0, words, ""),
        )

    return fail_with


def test_no_network_is_said_in_words(
    failing_pip: Callable[[str], None], project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a network the advice is about the network, and the next run tries again."""
    failing_pip("WARNING: Retrying\nERROR: NewConnectionError('no route')\n")
    assert bootstrap.main(["demo"]) == 1
    said = capsys.readouterr().err
    assert "is there a network connection" in said
    assert "Retrying" not in said
    assert not list((project / ".venv").glob("installed-*"))


def test_other_troubles_of_pip_are_shown(
    failing_pip: Callable[[str], None], capsys: pytest.CaptureFixture[str]
) -> None:
    """Any other trouble of pip is shown in its own words."""
    failing_pip("ERROR: No matching distribution found for some_data\n")
    assert bootstrap.main(["demo"]) == 1
    said = capsys.readouterr().err
    assert "No matching distribution found for some_data" in said
    assert "network" not in said


def test_old_interpreters_can_read_the_script() -> None:
    """The script stays readable for Python 3.7, so that an old interpreter can say that it is too old."""
    import ast

    source = Path(bootstrap.__file__).read_text(encoding="utf-8")
    ast.parse(source, feature_version=(3, 7))
    package = Path(bootstrap.__file__).parent / "__init__.py"
    ast.parse(package.read_text(encoding="utf-8"), feature_version=(3, 7))
    imported = {
        (node.module or "").split(".")[0] if isinstance(node, ast.ImportFrom) else node.names[0].name
        for node in ast.walk(ast.parse(source))
        if isinstance(node, (ast.Import, ast.ImportFrom))
    }
    assert imported <= set(sys.stdlib_module_names)


def test_bare_machine_script_calls_the_test_command() -> None:
    """`.ci/run` is a sound shell script that ends in the README's test command."""
    script = Path(bootstrap.__file__).parent.parent / ".ci" / "run"
    shell = shutil.which("bash")
    assert shell
    assert subprocess.run([shell, "-n", str(script)]).returncode == 0
    assert script.stat().st_mode & 0o111
    last = script.read_text(encoding="utf-8").rstrip().splitlines()[-1]
    assert last == 'exec python3 -m fuelplan.bootstrap test "$@"'
