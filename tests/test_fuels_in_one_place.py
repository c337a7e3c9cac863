"""The names of fuels stand in their own modules: no other module writes one, others are refused."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.heat import fuels
from fuelplan.heat.fuels import FuelError
from fuelplan.units import parse_amount
from tests.answers.test_third_fuel import BURNED, DELIVERIES, HOUSE, READINGS
from tests.heat.chips_fuel import CHIPS
from tests.site_folders import make_site
from tests.test_house_order import PACKAGE

OWN = PACKAGE / "heat" / "fuels"


def named(tree: ast.Module) -> list[tuple[int, str]]:
    """Return the line and text of every string literal that is the name of a fuel, or of a kind of boiler."""
    known = {*fuels.names(), *fuels.boiler_kinds()}
    return [
        (node.lineno, node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in known
    ]


def test_no_other_module_writes_the_name_of_a_fuel() -> None:
    """Outside of `heat/fuels` no string literal is a fuel's name: other modules ask the fuel."""
    found = [
        f"{path.relative_to(PACKAGE)}:{line}: {text}"
        for path in sorted(PACKAGE.rglob("*.py"))
        if OWN not in path.parents
        for line, text in named(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert not found, found


def test_the_search_finds_names() -> None:
    """The search of the test before finds a comparison, a default and a key, and the fuels' own modules."""
    text = 'def f(of: str = "logs"): return {"chips": of == "logs and pellets", "x": "of logs"}\n'
    assert [name for _, name in named(ast.parse(text))] == ["logs", "chips", "logs and pellets"]
    assert any(named(ast.parse(path.read_text(encoding="utf-8"))) for path in OWN.glob("*.py"))


def test_a_folder_of_a_fuel_that_is_not_registered_is_refused(tmp_path: Path) -> None:
    """Without the chips of the tests a chips house has faults: its boiler, table and year, and every row."""
    with fuels.registered(CHIPS):
        folder = make_site(
            tmp_path / "h", building=BURNED, readings=READINGS, deliveries=DELIVERIES, changes=HOUSE
        )
        assert not answers.check_folder(folder)[1]
    _, faults = answers.check_folder(folder)
    said = [str(fault) for fault in faults]
    assert any(
        "boiler.kind" in one and "must be one of 'pellets' or 'logs and pellets'" in one for one in said
    )
    assert any(one.startswith("site.toml") and ": chips: unknown key" in one for one in said)
    assert any("building.chips_a_year: unknown key" in one for one in said)
    refused = (
        "deliveries.csv:2: fuel: only pellets and logs are planned for; leave rows of chips out of this file"
    )
    assert refused in said


def test_a_fuel_is_asked_for_by_its_name() -> None:
    """The registry gives the fuel of a name, lists the names, and refuses others with those there are."""
    assert fuels.names() == ("pellets", "logs", "chips")
    assert [f.name for f in fuels.planned()] == ["pellets", "logs"]
    assert fuels.fuel("logs").is_stacked and fuels.fuel("pellets").in_bulk and fuels.usual().name == "pellets"
    with pytest.raises(FuelError, match='"coal" is not a fuel here; write one of pellets, logs, chips'):
        fuels.fuel("coal")
    with fuels.registered(CHIPS):
        assert [f.name for f in fuels.planned()] == ["pellets", "logs", "chips"]
        assert list(fuels.boiler_kinds()) == ["pellets", "logs and pellets", "chips"]
    with fuels.registered(replace(CHIPS, name="bark")):
        assert fuels.names()[-1] == "bark"
    assert not fuels.fuel("chips").is_planned and "bark" not in fuels.names()


def test_weights_and_volumes_are_the_fuel_s_own() -> None:
    """Bags of pellets weigh what they say, loose chips what their water makes of them."""
    pellets, chips = fuels.usual(), CHIPS
    assert pellets.amount_kg(parse_amount("2 pallets of 70 bags"), pellets.material()) == 2 * 70 * 15.0
    wet = chips.material("spruce", fuels.parse_moisture("40 % wet"))
    assert chips.amount_kg(parse_amount("10 loose m3"), wet) == pytest.approx(10 * 400 / 0.60 / 2.5)
    for fuel, text in ((pellets, "3 stacked m3"), (chips, "12 bags")):
        with pytest.raises(ValueError, match=f"{fuel.name} are bought in {fuel.sold_in}"):
            fuel.amount_kg(parse_amount(text), fuel.material())
