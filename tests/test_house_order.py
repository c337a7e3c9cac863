"""The one-way order of the house: a room imports only from rooms above it."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "fuelplan"

# In the order the data goes through them. Rooms on one line may import from those left of them.
ROOMS = [
    "plain_text",
    "units",
    "messages",
    "working_days",
    "weather",
    "files",
    "weather_sources",
    "degree_days",
    "building",
    "fuel",
    "boiler",
    "bulk_store",
    "hopper",
    "log_pile",
    "buffer",
    "log_heating",
    "readings",
    "signature",
    "prices",
    "stock",
    "hopper_cycle",
    "ordering",
    "sizing",
    "upkeep",
    "access",
    "road",
    "road_sources",
    "outlook",
    "driver_hours",
    "routing",
    "runs",
    "replay",
    "forecast_check",
    "cautions",
    "site",
    "checks",
    "round_folder",
    "workers",
    "answers",
    "demo",
    "charts",
    "charts_store",
    "charts_learn",
    "charts_runs",
    "calendars",
    "run_files",
    "report",
    "ui",
    "cli",
]

FACES = {
    "demo",
    "report",
    "charts",
    "charts_store",
    "charts_learn",
    "charts_runs",
    "calendars",
    "run_files",
    "cli",
    "ui",
}
# A face takes decisions from `answers` alone; it may use what holds no decision.
FACES_MAY_USE = FACES | {"answers", "units", "messages", "cautions", "plain_text"}
# Not rooms: they carry nothing of the job.
OUTSIDE = {"__init__", "__main__", "fresh"}


def _is_room(name: str) -> bool:
    """Tell a room from a name like `__version__`."""
    return (PACKAGE / f"{name}.py").exists() or (PACKAGE / name).is_dir()


def rooms_and_imports() -> list[tuple[str, str, str]]:
    """(file, room it lies in, room it imports) for every import of fuelplan inside fuelplan."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        room = parts[0]
        if room in OUTSIDE:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            targets: list[str] = []
            if isinstance(node, ast.ImportFrom):
                if node.level:
                    package = ("fuelplan", *parts[:-1])
                    base = ".".join(package[: len(package) - (node.level - 1)])
                    module = f"{base}.{node.module}" if node.module else base
                else:
                    module = node.module or ""
                if module == "fuelplan":
                    targets = [f"fuelplan.{a.name}" for a in node.names]
                elif module.startswith("fuelplan."):
                    targets = [module]
            elif isinstance(node, ast.Import):
                targets = [a.name for a in node.names if a.name.startswith("fuelplan.")]
            modules = [t.split(".")[1] for t in targets if _is_room(t.split(".")[1])]
            found += [(str(path.relative_to(PACKAGE)), room, module) for module in modules]
    return found


def test_every_room_is_in_the_plan() -> None:
    """Each module or package of fuelplan has its place in the order."""
    names = {p.stem for p in PACKAGE.glob("*.py")} | {
        p.name for p in PACKAGE.iterdir() if p.is_dir() and (p / "__init__.py").exists()
    }
    assert names - OUTSIDE <= set(ROOMS), sorted(names - OUTSIDE - set(ROOMS))


def test_imports_go_one_way() -> None:
    """No room imports from a room after it."""
    place = {room: i for i, room in enumerate(ROOMS)}
    imports = rooms_and_imports()
    assert imports, "no import was found: the test would prove nothing"
    wrong = [
        f"{file}: {room} imports {target}"
        for file, room, target in imports
        if target not in OUTSIDE and target != room and place[target] > place[room]
    ]
    assert not wrong, wrong


def test_faces_use_answers_only() -> None:
    """The command line, the pages and the reports take every decision from `answers`."""
    wrong = [
        f"{file}: {room} imports {target}"
        for file, room, target in rooms_and_imports()
        if room in FACES - {"demo"} and target not in FACES_MAY_USE | OUTSIDE
    ]
    assert not wrong, wrong


@pytest.mark.parametrize("room", ["units", "weather", "degree_days", "building", "stock", "ordering"])
def test_model_rooms_do_no_output(room: str) -> None:
    """Rooms of the model neither open files nor print."""
    paths = (
        [PACKAGE / f"{room}.py"]
        if (PACKAGE / f"{room}.py").exists()
        else sorted((PACKAGE / room).glob("*.py"))
    )
    assert paths, f"{room} is missing"
    for path in paths:
        calls = {
            node.func.id
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        }
        assert not calls & {"open", "print", "input"}, path
