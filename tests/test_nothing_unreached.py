"""What no face and no public name of `answers` reaches is not kept in the program."""

from __future__ import annotations

import ast

import pytest

from tests.reached import Module, reach, read_modules

# Each with the reason why it stays.
EXCEPTIONS = {
    "heat.boiler.several": "several boilers on one store and a network: the installer's question takes it up",
    "heat.boiler.oversize": "what a boiler that is too large costs: the installer's question takes it up",
    "papers.pdf.report_pages": "the same pages as pictures: tests count them and look at them",
    "papers.run_sheets.run_sheets_pages": "the same pages as pictures: tests count them and look at them",
    "records.round.edit.add_delivery": "weigh notes, readings and orders by hand: the verb `note` to come",
    "records.round.edit.add_order": "as add_delivery",
    "records.round.edit.add_reading": "as add_delivery",
    "records.round.folder.check_round": "the store's own interface: what campaigns read and write with",
    "records.importing.rows.import_table": "as check_round",
    "records.round.publish.write_published": "as check_round",
    "records.site.folder.open_site": "as check_round",
    "sizing.hopper_cycle.cycle.BoilerState": "names the numbers that the compiled cycle writes",
    "heat.fuels": "the registry of fuels",
    "learning.classical": "the textbook's regression",
    "weather.sources.meteostat_tables.fetch": "registered with the weather library by the module's name",
}


def unreached() -> dict[str, str]:
    """Every public function, class and whole module that nothing leads to, and of which kind it is."""
    modules = read_modules()
    seen = reach(modules)
    entered = {module for module, _ in seen}
    found = {}
    for module in modules.values():
        name = module.name.removeprefix("fuelplan.")
        if module.defined and module.name not in entered and not is_front(module):
            found[name] = "module"
            continue
        for one, statement in module.defined.items():
            public = isinstance(statement, ast.FunctionDef | ast.ClassDef) and not one.startswith("_")
            if public and (module.name, one) not in seen:
                found[f"{name}.{one}"] = "function or class"
    return found


def is_front(module: Module) -> bool:
    """Tell whether a module only hands names on."""
    return set(module.defined) <= {"__getattr__", "__dir__"}


def excepted(name: str) -> bool:
    """Tell whether a name, or the module it lies in, has a reason to stay."""
    return any(f"{name}.".startswith(f"{one}.") for one in EXCEPTIONS)


@pytest.fixture(scope="module")
def kept() -> dict[str, str]:
    """What nothing leads to."""
    return unreached()


def test_every_module_and_public_function_is_reached(kept: dict[str, str]) -> None:
    """From the command line, the pages, the papers, the charts and the public names of `answers`."""
    assert {name: kind for name, kind in kept.items() if not excepted(name)} == {}


def test_no_exception_has_become_needless(kept: dict[str, str]) -> None:
    """What is reached by now, or gone, is no exception any more."""
    needless = [one for one in EXCEPTIONS if not any(f"{name}.".startswith(f"{one}.") for name in kept)]
    assert needless == []


def test_what_is_planted_is_found() -> None:
    """A function that nothing calls is found, and one that a lazy front alone offers too."""
    modules = read_modules()
    planted = modules["fuelplan.ordering.stock"]
    statement = ast.parse("def nobody_calls_it() -> None: ...").body[0]
    planted.defined["nobody_calls_it"] = statement
    planted.refers["nobody_calls_it"] = set()
    name = (planted.name, "nobody_calls_it")
    modules["fuelplan.ordering"].imported["nobody_calls_it"] = {name}
    assert name not in reach(modules)
    assert ("fuelplan.ordering.stock", "simulate") in reach(modules)
