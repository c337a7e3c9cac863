"""Whatever the documents and the program's own sentences name as a key is one, and takes what they show."""

from __future__ import annotations

import ast
import re
import tomllib
import typing
from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

import fuelplan
from fuelplan.records.round.table_to_domain import driver_rules
from fuelplan.records.schema.round import RoundTable
from fuelplan.records.schema.site import SiteTable
from tests.reference_pages.site import example_of

CODE = Path(fuelplan.__file__).parent
DOCUMENTS = [*sorted((CODE / "docs").glob("*.md")), CODE.parent / "README.md"]


class Key(typing.NamedTuple):
    """A key of a folder's TOML file: its table, its name, and the field that it fills."""

    model: type[BaseModel]
    name: str
    field: FieldInfo

    def take(self, value: object) -> object:
        """Return what the model makes of a value, its bounds included."""
        annotated = self.field.annotation
        for part in self.field.metadata:
            annotated = typing.Annotated[annotated, part]  # type: ignore[assignment]
        return TypeAdapter(annotated).validate_python(value)

    @property
    def shown(self) -> object:
        """The example of the reference page as TOML gives it; None where a kind of value stands there."""
        text = example_of(self.model, self.name)
        if not text.startswith("`"):
            return None
        return tomllib.loads(f"x = {text.split('`')[1]}")["x"]


def keys_of(model: type[BaseModel]) -> Iterator[Key]:
    """Go through the keys of a table and of all tables within it."""
    for name, field in model.model_fields.items():
        inner = [
            c
            for c in (field.annotation, *typing.get_args(field.annotation))
            if isinstance(c, type) and issubclass(c, BaseModel)
        ]
        yield Key(model, field.alias or name, field)
        for table in inner:
            yield from keys_of(table)


KEYS = [*keys_of(SiteTable), *keys_of(RoundTable)]
SHOWN = [key for key in KEYS if key.shown is not None]


@pytest.mark.parametrize("key", SHOWN, ids=lambda k: f"{k.model.__name__}.{k.name}")
def test_the_example_of_a_key_is_one_of_its_own(key: Key) -> None:
    """The key takes its example, which lies within five times the default where there is one."""
    found = key.take(key.shown)
    usual = key.field.default
    if isinstance(usual, float) and usual and isinstance(found, float) and not isinstance(key.shown, int):
        assert 0.2 <= found / usual <= 5, f"{key.shown} beside a default of {usual:g}"


@pytest.mark.parametrize(
    ("table", "key", "least", "most"),
    [
        ("BuildingTable", "old_efficiency", 0.6, 1.0),
        ("BuildingTable", "design_outdoor", -30.0, 0.0),
        ("BuildingTable", "doubt", 0.05, 0.4),
        ("BuildingTable", "heating_oil_a_year", 0.5, 8.0),
        ("BoilerTable", "seasonal_efficiency", 0.6, 0.95),
        ("StoreTable", "reserve", 100.0, 1500.0),
        ("StoreTable", "residue", 30.0, 500.0),
        ("StoreTable", "ullage", 0.1, 0.8),
        ("StoreTable", "inlet_clearance", 0.05, 0.5),
        ("StoreTable", "channel", 0.1, 0.5),
        ("PlaceTable", "elevation", 50.0, 2000.0),
        ("LogsTable", "load", 10.0, 80.0),
        ("HopperTable", "size", 20.0, 400.0),
        ("UpkeepTable", "ash_box", 0.005, 0.2),
        ("OfferTable", "vat", 0.05, 0.3),
        ("AccessTable", "tanker", 10_000.0, 40_000.0),
        ("AccessTable", "tanker_axle", 5_000.0, 13_000.0),
        ("TankerTable", "laden_weight", 10_000.0, 40_000.0),
        ("RulesTable", "spare_a_day", 500.0, 10_000.0),
        ("SecondSourceTable", "power", 2.0, 15.0),
    ],
)
def test_the_example_of_a_key_is_of_its_size(table: str, key: str, least: float, most: float) -> None:
    """Efficiencies, hoppers, tankers and their like have examples that a person would write for them."""
    found = next(k for k in SHOWN if (k.model.__name__, k.name) == (table, key))
    value = found.take(found.shown)
    assert isinstance(value, float) and least <= value <= most


def _said_in_documents() -> list[tuple[str, str, str]]:
    """Return (where, key, value) of everything in back quotes that a document sets by a name."""
    found = []
    for path in DOCUMENTS:
        for text in re.findall(r"`([^`\n]+)`", path.read_text(encoding="utf-8")):
            match = re.fullmatch(r"([a-z][a-z_]+) = (.+)", text)
            if match:
                found.append((path.name, match[1], match[2]))
    return found


def _said_by_the_program() -> list[tuple[str, str, str]]:
    """Return (where, key, value) of every setting that a sentence of the program tells people to write."""
    found = []
    for path in sorted(CODE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                text = re.sub(r"\{[^}]*\}", "", node.value)  # the inside of a table is not a key of its own
                for key, value in re.findall(r'\b([a-z][a-z_]+) = ("[^"]+"|true\b|false\b)', text):
                    found += [(path.name, key, value)] if key != "key" else []  # how to write any key
    return found


@pytest.mark.parametrize(("where", "name", "value"), sorted({*_said_in_documents(), *_said_by_the_program()}))
def test_a_key_that_is_told_of_is_known_and_takes_the_value(where: str, name: str, value: str) -> None:
    """A setting that a document or a sentence of the program shows can be written as it stands there."""
    of_this_name = [key for key in KEYS if key.name == name]
    assert of_this_name, f"{where}: no folder knows the key {name}"
    written = tomllib.loads(f"x = {value}")["x"]
    refused = []
    for key in of_this_name:
        try:
            key.take(written)
        except ValidationError as error:
            refused.append(str(error))
    assert len(refused) < len(of_this_name), f"{where}: {name} = {value}: {refused}"


def test_documents_and_program_tell_of_keys() -> None:
    """The search for told keys finds those that are surely there."""
    assert ("roads_and_hours.md", "waiting_is_break", "false") in _said_in_documents()
    assert {"file", "design_outdoor", "kind"} <= {name for _, name, _ in _said_by_the_program()}


def test_a_table_told_of_beside_a_key_holds_it() -> None:
    """Where a document says "[rules] `risk`", the table has the key."""
    pairs = [
        (path.name, table, key)
        for path in DOCUMENTS
        for table, key in re.findall(r"`?\[+([a-z_]+)\]+`? `([a-z_]+)`", path.read_text(encoding="utf-8"))
    ]
    tables = {
        field.alias or name: {f.alias or n for n, f in inner.model_fields.items()}
        for model in (SiteTable, RoundTable)
        for name, field in model.model_fields.items()
        for inner in (field.annotation, *typing.get_args(field.annotation))
        if isinstance(inner, type) and issubclass(inner, BaseModel)
    }
    assert len(pairs) >= 2
    assert [p for p in pairs if p[2] not in tables.get(p[1], ())] == []


def test_waiting_counts_as_a_break_unless_the_round_says_otherwise() -> None:
    """[driver] waiting_is_break reaches the rules by which days are timed."""
    text = (CODE.parent / "demo_sites" / "round_quellmark" / "round.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    assert driver_rules(RoundTable.model_validate(data)).waiting_is_break
    data["driver"] = {**data.get("driver", {}), "waiting_is_break": False}
    assert not driver_rules(RoundTable.model_validate(data)).waiting_is_break
