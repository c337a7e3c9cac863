"""What is imported is declared in pyproject.toml; what is declared is imported, or listed with a reason."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]
NOT_IMPORTED = {
    "lxml": "meteostat needs it and does not declare it",
    "metar": "meteostat needs it and does not declare it",
    "tzdata": "its tables are read as files; time zones where the system has none",
    "hatchling": "a test builds the wheel without a network",
    "mypy": "run by itself",
    "ruff": "run by itself",
    "pandas-stubs": "types for mypy",
    "pytest-xdist": "spreads the test files over the processors",
}
"""Declared, and not imported by name."""


def names_of(requirements: list[str]) -> set[str]:
    """The names of packages in a list of requirements."""
    return {normal(re.split(r"[<>=!~\[;\s]", text)[0]) for text in requirements}


def normal(name: str) -> str:
    """A package's name as an index compares it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def imported(*places: Path) -> dict[str, str]:
    """Every package that is imported in these files or folders, with one file that does; ours is none."""
    own = {"fuelplan", "tests", "app", *sys.stdlib_module_names}
    found: dict[str, str] = {}
    for place in places:
        for file in sorted(place.rglob("*.py")) if place.is_dir() else [place]:
            for name in imports_of(file.read_text(encoding="utf-8")) - own:
                found.setdefault(name, file.name)
    return found


def imports_of(text: str) -> set[str]:
    """The outermost names of all modules that a text imports, by statement or by their name."""
    found = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        if isinstance(node, ast.ImportFrom) and not node.level and node.module:
            found.add(node.module.split(".")[0])
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute | ast.Name):
            called = node.func.attr if isinstance(node.func, ast.Attribute) else node.func.id
            given = node.args[0] if node.args else None
            if called == "import_module" and isinstance(given, ast.Constant):
                found.add(str(given.value).split(".")[0])
    return found


def packages_of(modules: dict[str, str]) -> dict[str, str]:
    """The packages in which modules come, each with a file that imports it."""
    known = packages_distributions()
    return {normal(known.get(name, [name])[0]): file for name, file in modules.items()}


@pytest.mark.parametrize(
    ("places", "declared"),
    [
        ((ROOT / "fuelplan", ROOT / "app.py"), [*PROJECT["dependencies"], *EXTRAS["cluster"]]),
        ((ROOT / "tests",), [*PROJECT["dependencies"], *EXTRAS["test"]]),
    ],
    ids=["fuelplan", "tests"],
)
def test_what_is_imported_is_declared(places: tuple[Path, ...], declared: list[str]) -> None:
    """A package that comes only because another one needs it may go with the next version of that one."""
    found = packages_of(imported(*places))
    assert len(found) > 10
    assert {name: file for name, file in found.items() if name not in names_of(declared)} == {}


def test_what_is_declared_is_imported() -> None:
    """No package is asked for that nothing uses; those that are not imported have their reason."""
    program = packages_of(imported(ROOT / "fuelplan", ROOT / "app.py"))
    tests = packages_of(imported(ROOT / "tests"))
    unused = names_of([*PROJECT["dependencies"], *EXTRAS["cluster"]]) - set(program)
    unused |= names_of(EXTRAS["test"]) - set(tests)
    assert unused == set(NOT_IMPORTED)


def test_the_look_at_imports_finds_them() -> None:
    """Every way of importing a module is seen, inside a function, too."""
    text = "import a.b, c\nfrom d.e import f\nfrom . import g\ndef h():\n import i\nimport_module('j.k')"
    assert imports_of(text) == {"a", "c", "d", "i", "j"}
