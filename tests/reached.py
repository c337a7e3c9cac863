"""What of fuelplan a face, or a public name of `answers`, can reach: read from the code, nothing is run."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "fuelplan"
# How the program is started: the command line, the pages by their two ways, one page an address, the set-up.
STARTS = (
    "fuelplan.pages.served",
    "fuelplan.pages.app_of_pages",
    "fuelplan.__main__",
    "fuelplan.cli.__main__",
    "fuelplan.cli.main",
    "fuelplan.pages.page",
    "fuelplan.bootstrap",
)
STARTING_FOLDER = "fuelplan.pages.questions."
FRONTS = ("fuelplan.answers", "fuelplan.messages")
"""Whose public names are for everybody: the decisions, and how they are put into words."""

Name = tuple[str, str]
"""A module and a name at its top; an empty name is what the module does when it is imported."""


@dataclass
class Module:
    """A module's top: its definitions, what each refers to, and where its imported names come from."""

    name: str
    defined: dict[str, ast.stmt] = field(default_factory=dict)
    refers: dict[str, set[Name]] = field(default_factory=dict)
    imported: dict[str, set[Name]] = field(default_factory=dict)


def read_modules() -> dict[str, Module]:
    """Return every module of fuelplan, and `app.py`; a stub beside a front says what the front gives."""
    found = {"app": _read("app", [ROOT / "app.py"])}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        stub = path.with_suffix(".pyi")
        found[name] = _read(name, [path, stub] if stub.exists() else [path])
    return found


def _read(name: str, paths: list[Path]) -> Module:
    module = Module(name)
    statements = [s for p in paths for s in ast.parse(p.read_text(encoding="utf-8")).body]
    defining = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)
    for statement in statements:
        if not isinstance(statement, defining):
            _add(module.imported, _imported(statement, name))
    for statement in statements:
        known = {k: set(v) for k, v in module.imported.items()}
        inside = _imported(statement, name) if isinstance(statement, defining) else {}
        _add(known, inside)
        for one in _names(statement) or [""]:
            if one != "__all__":
                if one:
                    module.defined[one] = statement
                refers = module.refers.setdefault(one, set())
                refers.update(_references(statement, module.name, known))
                refers.update(n for names in inside.values() for n in names)
    return module


def _add(to: dict[str, set[Name]], more: dict[str, set[Name]]) -> None:
    for alias, names in more.items():
        to.setdefault(alias, set()).update(names)


def _imported(statement: ast.stmt, front: str) -> dict[str, set[Name]]:
    """Return where the names come from that a statement imports, however deep."""
    found: dict[str, set[Name]] = {}
    for node in ast.walk(statement):
        if isinstance(node, ast.ImportFrom):
            of = ".".join([*([front] if node.level else []), *([node.module] if node.module else [])])
            for a in node.names:
                found.setdefault(a.asname or a.name, set()).add((of, a.name))
        elif isinstance(node, ast.Import):
            for a in node.names:
                name = a.name if a.asname else a.name.split(".")[0]
                found.setdefault(a.asname or name, set()).add((name, ""))
    return found


def _names(statement: ast.stmt) -> list[str]:
    if isinstance(statement, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
        return [statement.name]
    if isinstance(statement, ast.Assign):
        return [n.id for t in statement.targets for n in ast.walk(t) if isinstance(n, ast.Name)]
    if isinstance(statement, ast.AnnAssign) and isinstance(statement.target, ast.Name):
        return [statement.target.id]
    return []


def _references(statement: ast.stmt, module: str, known: dict[str, set[Name]]) -> Iterator[Name]:
    """Return the names that a statement reads, each with the module it comes from."""
    before_a_dot = {id(node.value) for node in ast.walk(statement) if isinstance(node, ast.Attribute)}
    for node in ast.walk(statement):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            names = known.get(node.id, {(module, node.id)})
            yield from names
            if id(node) not in before_a_dot:  # a module that is handed on: any of its names may be used
                yield from ((f"{of}.{name}" if name else of, "*") for of, name in names)
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            for of, name in known.get(node.value.id, ()):
                yield (f"{of}.{name}" if name else of), node.attr
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.isidentifier():
            yield module, node.value  # a type written as text


def reach(modules: dict[str, Module]) -> set[Name]:
    """Return every name at a module's top that the faces or the public names of `answers` lead to."""
    todo: list[Name] = [(name, "") for name in modules if name in STARTS or name.startswith(STARTING_FOLDER)]
    todo += [(start, "main") for start in STARTS]
    todo += [("app", "app"), *((front, name) for front in FRONTS for name in _public(front, modules))]
    todo += [(m.name, n) for m in modules.values() for n, s in m.defined.items() if _registers(s)]
    seen: set[Name] = set()
    while todo:
        for at in _home(todo.pop(), modules):
            if at not in seen:
                seen.add(at)
                todo += [(at[0], ""), *modules[at[0]].refers.get(at[1], ())]
    return seen


def _public(front: str, modules: dict[str, Module]) -> list[str]:
    return [n for n in modules[front].imported if not n.startswith("_")]


def _home(name: Name, modules: dict[str, Module]) -> Iterator[Name]:
    """Return where a name is defined, through fronts; nothing outside fuelplan."""
    module, inside = name
    if module not in modules:
        return
    if inside == "*":
        front, _, last = module.rpartition(".")
        if last not in modules[front].imported:  # else it is a function of the module's name
            yield from ((module, one) for one in modules[module].defined)
    elif not inside or inside in modules[module].defined:
        yield name
    elif inside in modules[module].imported:
        for of in modules[module].imported[inside]:
            if of != name:
                yield from _home(of, modules)
    elif f"{module}.{inside}" in modules:
        yield f"{module}.{inside}", ""


def _registers(statement: ast.stmt) -> bool:
    """Return whether a definition is put into use by what stands above it: a command, a compiled overload."""
    decorators = getattr(statement, "decorator_list", [])
    names = {n.attr for d in decorators for n in ast.walk(d) if isinstance(n, ast.Attribute)}
    return bool(names & {"command", "group", "overload"})
