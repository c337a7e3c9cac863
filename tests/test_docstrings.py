"""Public functions say what goes in, in which unit, what comes out, and what is refused."""

from __future__ import annotations

import ast
import importlib
import inspect
import re
import textwrap
from collections.abc import Callable, Iterator
from functools import cache
from types import FunctionType, ModuleType
from typing import Any

import pytest
from numpydoc.docscrape import FunctionDoc

from tests.test_house_order import HOUSE, PACKAGE, offered

STILL_TO_DO: set[str] = {
    "units",
    "messages",
    "messages.cautions",
    "store.log_pile",
    "store.log_heating",
    "learning",
    "ordering",
    "ordering.prices",
    "ordering.upkeep",
    "sizing",
    "sizing.hopper_cycle",
    "dispatch.books",
    "dispatch.roads",
    "dispatch.outlook",
    "dispatch.routing",
    "dispatch.run_plan",
    "dispatch.published",
    "dispatch.replay",
    "records.schema",
    "records.tables",
    "records.folder",
    "records.site",
    "records.round",
    "records.importing",
    "answers",
    "answers.when_to_order",
    "answers.how_big",
    "answers.house",
    "answers.round",
    "answers.who_is_due",
    "answers.which_runs",
    "answers.past_winters",
    "charts",
    "charts.store",
    "charts.runs",
    "papers",
    "pages",
    "cli",
}
"""Fronts whose docstrings are not whole yet. It can only shrink: what is whole must be taken out."""

# A whole number that counts something in a unit tells it in its name.
QUANTITY_NAME = re.compile(
    r"(^|_)(kg|kwh|kw|w|c|k|m|m2|m3|mm|km|l|h|s|minutes|hours|days|years|price|share|chance|litres)(_|$)"
)
# A type of a quantity: a float, or an array of them.
QUANTITY_TYPE = re.compile(r"\bfloat\b|Floats?\b|NDArray\[np\.float")
UNIT = re.compile(r"\[[^\[\]]+\]")


def fronts() -> list[str]:
    """Return every room and sub-room, in the order of the house; a module alone is its own front."""
    names = []
    for room, subs in HOUSE.items():
        if (PACKAGE / room).is_dir():
            names += [room, *(f"{room}.{sub}" for sub in subs if sub != ".")]
    return names


def _plain(found: object) -> Callable[..., Any] | None:
    """Return the function as it was written: of a compiled, kept or wrapped one, what stands in the file."""
    while not isinstance(found, FunctionType):
        inner = getattr(found, "py_func", None) or getattr(found, "__wrapped__", None)
        inner = inner or getattr(found, "__func__", None)
        if inner is None:
            return None
        found = inner
    found = inspect.unwrap(found)
    at_home = found.__module__.startswith("fuelplan.") and found.__code__.co_filename.startswith(str(PACKAGE))
    return found if at_home else None


def _at_home(found: object, module: ModuleType) -> bool:
    return getattr(found, "__module__", None) == module.__name__


def _named(front: str) -> Iterator[tuple[str, object]]:
    """Yield what a front gives, each from where it is defined: some tests lay watchers over fronts."""
    folder = PACKAGE.joinpath(*front.split("."))
    whole = importlib.import_module(f"fuelplan.{front}")
    own = offered(folder) if folder.is_dir() else [n for n in vars(whole) if _at_home(vars(whole)[n], whole)]
    home = dict.fromkeys(own, whole.__name__)
    stub = folder / "__init__.pyi"
    for node in ast.parse(stub.read_text(encoding="utf-8")).body if stub.exists() else []:
        if isinstance(node, ast.ImportFrom) and node.level:
            home |= {a.asname or a.name: f"fuelplan.{front}.{node.module}" for a in node.names if node.module}
    for name in sorted(name for name in home if not name.startswith("_")):
        found = getattr(importlib.import_module(home[name]), name, None)
        if not inspect.ismodule(found):
            yield name, found


def functions(front: str) -> Iterator[tuple[str, Callable[..., Any]]]:
    """Yield the public functions of a front, and the public methods of its classes."""
    for name, found in _named(front):
        if isinstance(found, type):
            for method, member in vars(found).items():
                function = None if isinstance(member, property) else _plain(member)
                above = any(hasattr(base, method) for base in found.__bases__)
                if above and function and not function.__doc__:
                    continue  # the docstring of the method that it stands for is its own
                if function and not method.startswith("_"):
                    yield f"{name}.{method}", function
        elif function := _plain(found):
            yield name, function


@cache
def _tree(function: Callable[..., Any]) -> ast.FunctionDef | ast.AsyncFunctionDef:
    tree = ast.parse(textwrap.dedent(inspect.getsource(function))).body[0]
    assert isinstance(tree, ast.FunctionDef | ast.AsyncFunctionDef)
    return tree


def _own_nodes(tree: ast.AST) -> Iterator[ast.AST]:
    """Yield the nodes of a body without those of functions inside it."""
    for node in ast.iter_child_nodes(tree):
        if not isinstance(node, ast.FunctionDef | ast.Lambda | ast.ClassDef):
            yield node
            yield from _own_nodes(node)


def raised(function: Callable[..., Any]) -> set[str]:
    """Return the names of the errors that a function raises in its own body and does not catch there."""
    names = set()
    for node in _own_nodes(_tree(function)):
        if isinstance(node, ast.Raise) and node.exc is not None:
            exc = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
            if isinstance(exc, ast.Attribute) and exc.attr == "because":
                exc = exc.value
            name = ast.unparse(exc).split(".")[-1]
            if name[0].isupper():
                names.add(name)
    return names


def _is_quantity(name: str, annotation: str) -> bool:
    """A number with a unit goes by the type where it is a float, and by the name where it is an integer."""
    return bool(QUANTITY_TYPE.search(annotation)) or (
        annotation.startswith("int") and bool(QUANTITY_NAME.search(name))
    )


def faults(name: str, function: Callable[..., Any]) -> list[str]:
    """Return what a docstring lacks, each as "function: what"."""
    if not function.__doc__:
        return [f"{name}: no docstring"]
    doc = FunctionDoc(function)
    arguments = inspect.signature(function).parameters.values()
    parameters = {a.name: a for a in arguments if a.name not in ("self", "cls")}
    written = {
        one.strip().lstrip("*"): entry
        for entry in [*doc["Parameters"], *doc["Other Parameters"]]
        for one in entry.name.split(",")
    }
    found = []
    if list(written) != list(parameters):
        found.append(f"Parameters are {list(written)}, the signature has {list(parameters)}")
    for one, entry in written.items():
        said = " ".join(entry.desc)
        if not said.strip():
            found.append(f"nothing is said of {one}")
        if one in parameters and _is_quantity(one, str(parameters[one].annotation)) and not UNIT.search(said):
            found.append(f"{one} has no [unit]")
    returned = str(inspect.signature(function).return_annotation)
    outcome = [*doc["Returns"], *doc["Yields"]]
    if returned not in ("None", "NoReturn", str(inspect.Signature.empty)):
        if not outcome:
            found.append("no Returns")
        elif QUANTITY_TYPE.search(returned) and not any(UNIT.search(" ".join(o.desc)) for o in outcome):
            found.append("what it returns has no [unit]")
        if not all("".join(o.desc).strip() for o in outcome):
            found.append("nothing is said of what it returns")
    told = {(entry.type or entry.name).split(".")[-1] for entry in doc["Raises"]}
    found += [f"Raises lacks {error}" for error in sorted(raised(function) - told)]
    return [f"{name}: {what}" for what in found]


@pytest.mark.parametrize("front", fronts())
def test_public_functions_say_what_they_take_and_give(front: str) -> None:
    """Each tells its parameters, the [unit] of each number that has one, what it returns and refuses."""
    found = [fault for name, function in functions(front) for fault in faults(name, function)]
    if front in STILL_TO_DO:
        assert found, f"{front} is whole: take it out of STILL_TO_DO"
    else:
        assert not found, found


def test_most_functions_are_found() -> None:
    """The fronts give hundreds of functions: were few found, the test above would prove little."""
    assert set(fronts()) >= STILL_TO_DO
    assert len({function for front in fronts() for _, function in functions(front)}) > 800


def _sound(load_kw: float, days: int, name: str) -> float:
    """Return heat.

    Parameters
    ----------
    load_kw
        Mean load. [kW]
    days
        How long. [days]
    name
        Of the house.

    Returns
    -------
    float
        Heat. [kWh]

    Raises
    ------
    ValueError
        Below zero.
    """
    if load_kw < 0:
        raise ValueError(name)
    return load_kw * 24 * days


@pytest.mark.parametrize(
    ("was", "becomes", "fault"),
    [
        ("load_kw\n    Mean", "load_w\n    Mean", "Parameters are ['load_w', 'days', 'name']"),
        ("name\n    Of the house.\n", "", "Parameters are ['load_kw', 'days']"),
        ("Mean load. [kW]", "Mean load.", "load_kw has no [unit]"),
        ("How long. [days]", "How long.", "days has no [unit]"),
        ("    Of the house.\n", "", "nothing is said of name"),
        ("Heat. [kWh]", "Heat.", "what it returns has no [unit]"),
        ("Returns\n-------\nfloat\n    Heat. [kWh]\n", "", "no Returns"),
        ("Raises\n------\nValueError\n    Below zero.", "", "Raises lacks ValueError"),
    ],
)
def test_what_is_missing_is_found(
    monkeypatch: pytest.MonkeyPatch, was: str, becomes: str, fault: str
) -> None:
    """A whole docstring has no fault; each part that is taken out of it is told."""
    assert faults("sound", _sound) == []
    doc = inspect.getdoc(_sound) or ""
    assert was in doc
    monkeypatch.setattr(_sound, "__doc__", doc.replace(was, becomes))
    (told,) = faults("sound", _sound)
    assert told.startswith(f"sound: {fault}")
