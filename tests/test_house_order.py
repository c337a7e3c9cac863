"""The one-way order of the house: a room, and a sub-room, imports only from those above it, in no circle."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parent.parent / "fuelplan"

HOUSE: dict[str, tuple[str, ...]] = {
    "units": (),
    "messages": (".", "cautions"),
    "files": (),
    "weather": (".", "degree_days", "sources"),
    "heat": ("fuels", "building", "boiler"),
    "store": ("bulk", "hopper", "buffer", "log_pile", "log_heating", "access"),
    "learning": (),
    "ordering": ("prices", ".", "upkeep"),
    "sizing": (".", "hopper_cycle"),
    "dispatch": (
        "books",
        "roads",
        "outlook",
        "driver_hours",
        "routing",
        "run_plan",
        "published",
        "replay",
    ),
    "workers": (),
    "records": ("schema", "tables", "folder", ".", "site", "round", "importing"),
    "answers": (
        ".",
        "what_we_burn",
        "when_to_order",
        "how_big",
        "house",
        "round",
        "who_is_due",
        "which_runs",
        "past_winters",
    ),
    "charts": (".", "store", "runs"),
    "papers": (),
    "pages": (
        "texts",
        "parts",
        "learn",
        "order",
        "new_house",
        "my_house",
        "size",
        "spreadsheet",
        "runs",
        ".",
        "questions",
    ),
    "cli": (),
}
"""Rooms in the order the data goes through them, each with its sub-rooms in theirs; "." are its own files."""

FACES = ("charts", "papers", "pages", "cli")
# A face takes decisions from `answers` alone; it may use what holds no decision.
FACES_MAY_USE = {*FACES, "answers", "units", "messages"}
# The demo valley's invented weather, made for a house that has none: no decision hangs on it.
WITHOUT_DECISION = {"weather.valley"}
# Not rooms: they carry nothing of the job.
OUTSIDE = {"__init__", "__main__", "bootstrap"}
# Only these open files or the network.
MAY_TOUCH = ("files", "weather.sources", "dispatch.roads.sources", "records", "papers", *FACES, "workers")
OPENING = {"open", "read_text", "write_text", "read_bytes", "write_bytes", "mkdir", "unlink", "socket"}
# Compiled code is kept by the bytes of its own sources.
READS_ITSELF = {"dispatch.run_plan.compiled"}
MOST_MODULES = 25
# A message is a value of another message, and its own English text and document.
OF_THEMSELVES = {
    ("messages.values", "messages.message"),
    ("messages.message", "messages.rendering"),
    ("messages.message", "messages.documents"),
}


@dataclass(frozen=True)
class Import:
    """A module that imports another, both as `room.sub.module`."""

    by: str
    of: str


def _is_module(name: str) -> bool:
    path = PACKAGE.joinpath(*name.split("."))
    return path.is_dir() or path.with_suffix(".py").exists()


@cache
def modules() -> tuple[tuple[str, ast.Module], ...]:
    """Return every module's name and tree, read once; a package stands for its `__init__`."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        if name and parts[0] not in OUTSIDE:
            found.append((name, ast.parse(path.read_text(encoding="utf-8"))))
    return tuple(found)


def imports(tree: ast.Module) -> Iterator[str]:
    """Return the modules of fuelplan that a tree imports, wherever it does so."""
    for node in ast.walk(tree):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom):
            assert not node.level, "imports are written whole"
            names = [f"{node.module}.{a.name}" for a in node.names]
        elif isinstance(node, ast.Import):
            names = [a.name for a in node.names]
        for name in names:
            if name.startswith("fuelplan."):
                inside = name.removeprefix("fuelplan.")
                yield inside if _is_module(inside) else inside.rpartition(".")[0] or inside


@cache
def all_imports() -> list[Import]:
    """Return every import between modules of fuelplan."""
    return [
        Import(name, of)
        for name, tree in modules()
        for of in imports(tree)
        if of.split(".")[0] not in OUTSIDE and _is_module(of.split(".")[0])
    ]


def place_of(module: str) -> tuple[str, str]:
    """Return the room and the sub-room of a module."""
    room, *inside = module.split(".")
    return room, inside[0] if inside and inside[0] in HOUSE[room] else "."


def test_every_room_is_in_the_plan() -> None:
    """Each module or package of fuelplan has its place in the order, each folder in a room too."""
    names = {p.stem for p in PACKAGE.glob("*.py")} | {p.parent.name for p in PACKAGE.glob("*/__init__.py")}
    assert names - OUTSIDE == set(HOUSE)
    for room, subs in HOUSE.items():
        inside = {p.parent.name for p in (PACKAGE / room).glob("*/__init__.py")}
        assert inside <= set(subs), (room, inside - set(subs))


def test_imports_go_one_way() -> None:
    """No room imports from a room after it, and inside a room no sub-room from one after it."""
    rooms = list(HOUSE)
    found = all_imports()
    assert len(found) > 500, "few imports were found: the test would prove little"
    wrong = []
    for one in found:
        (room, sub), (to, to_sub) = place_of(one.by), place_of(one.of)
        if rooms.index(to) > rooms.index(room):
            wrong.append(f"{one.by} imports {one.of}")
        elif to == room and one.by != room and HOUSE[room] and to_sub != sub:
            order = HOUSE[room]
            if "." not in order and "." in (sub, to_sub):
                wrong.append(f"{one.by} imports {one.of}: no module may lie directly in {room}")
            elif order.index(to_sub) > order.index(sub):
                wrong.append(f"{one.by} imports {one.of}")
    assert not wrong, wrong


def test_no_circles() -> None:
    """No modules import each other in a circle, not even inside a function or for types alone."""
    graph: dict[str, set[str]] = {}
    inits = PACKAGE.rglob("__init__.py")
    packages = {p.parent.relative_to(PACKAGE).as_posix().replace("/", ".") for p in inits}
    for one in all_imports():
        if one.by not in packages and one.of not in packages and (one.by, one.of) not in OF_THEMSELVES:
            graph.setdefault(one.by, set()).add(one.of)
    while graph:
        ends = {name for name, of in graph.items() if not of & graph.keys()}
        assert ends, sorted(graph)
        graph = {name: of for name, of in graph.items() if name not in ends}


@cache
def offered(front: Path) -> set[str]:
    """Return the names that a front gives: what it, or the stub beside it, imports or defines."""
    names: set[str] = set()
    for path in (front / "__init__.py", front / "__init__.pyi"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body if path.exists() else []:
            if isinstance(node, ast.ImportFrom):
                names |= {a.asname or a.name for a in node.names}
            elif isinstance(node, ast.FunctionDef | ast.ClassDef):
                names.add(node.name)
            elif isinstance(node, ast.Assign | ast.AnnAssign):
                targets = node.targets if isinstance(node, ast.Assign) else [node.target]
                names |= {t.id for t in targets if isinstance(t, ast.Name)}
    return names


def past_the_front(by: str, module: str, name: str) -> bool:
    """Tell whether importing a name from a module goes past the front of another place."""
    (room, sub), (to, to_sub) = place_of(by), place_of(module)
    at_home = to == room and (to_sub in (sub, ".") or room in (*FACES, "answers"))
    if at_home or by in (to, f"{to}.{to_sub}") or module in WITHOUT_DECISION:
        return False
    path = PACKAGE.joinpath(*module.split("."))
    if path.is_dir():
        is_sub_room = (path / name / "__init__.py").exists() or name in HOUSE.get(module, ())
        return not is_sub_room and name not in offered(path)
    # A room, or a sub-room, that is one file is its own front.
    return module != to and module != f"{to}.{to_sub}"


def test_rooms_are_entered_by_their_fronts() -> None:
    """Another room's names are imported from its front or a sub-room's, never from a module inside."""
    wrong, seen = [], 0
    for by, tree in modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                wrong += [f"{by}: import {a.name}" for a in node.names if a.name.startswith("fuelplan.")]
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("fuelplan."):
                module = str(node.module).removeprefix("fuelplan.")
                if module.split(".")[0] in HOUSE:
                    names = [a.name for a in node.names]
                    seen += len(names)
                    wrong += [f"{by}: {module}.{name}" for name in names if past_the_front(by, module, name)]
    assert seen > 500, "few imports were found: the test would prove little"
    assert not wrong, wrong


def test_faces_use_answers_only() -> None:
    """The command line, the pages, the charts and the papers take every decision from `answers`."""
    wrong = [
        f"{one.by} imports {one.of}"
        for one in all_imports()
        if place_of(one.by)[0] in FACES
        and place_of(one.of)[0] not in FACES_MAY_USE
        and one.of not in WITHOUT_DECISION
    ]
    assert not wrong, wrong


def test_only_some_rooms_touch_files() -> None:
    """Models and answers neither open files nor print: they take and give values."""
    wrong = []
    for name, tree in modules():
        if name.startswith(MAY_TOUCH) or name in READS_ITSELF:
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                f = node.func
                called = f.id if isinstance(f, ast.Name) else f.attr if isinstance(f, ast.Attribute) else ""
                if called in OPENING | {"print", "input"}:
                    wrong.append(f"{name} line {node.lineno}: {called}")
    assert not wrong, wrong


def test_no_folder_is_crowded() -> None:
    """A stranger finds his way in every folder."""
    for folder in {p.parent for p in PACKAGE.rglob("*.py")}:
        count = len([p for p in folder.glob("*.py") if p.name != "__init__.py"])
        assert count <= MOST_MODULES, (folder.name, count)


def test_a_class_name_has_one_meaning() -> None:
    """No two public classes bear one name: who reads it knows which is meant."""
    places: dict[str, list[str]] = {}
    for module, tree in modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                places.setdefault(node.name, []).append(module)
    assert len(places) > 300, "few classes were found: the test would prove little"
    assert {name: found for name, found in places.items() if len(found) > 1} == {}
