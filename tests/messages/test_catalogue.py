"""The catalogue of messages: complete, its codes unique, its templates and values one and the same; and what
other rooms may do with a message.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from pathlib import Path

import pytest
from babel.messages.frontend import CommandLineInterface
from babel.messages.pofile import read_po

from tests.catalogues import CATALOGUES, PACKAGE, TEMPLATE, extracted
from tests.test_house_order import FACES

PLACE = re.compile(r"\{(\w*)\}")
MAKERS = {"message": 1, "counted_message": 2, "because": 1, "UnitError": 1, "UnknownCountry": 1}
"""How many templates each takes after its code."""
MAY_RENDER = {*FACES, "messages"}
RENDERERS = {"render", "as_text", "rendering", "english", "localised", "strict"}


def calls_in(source: str) -> list[ast.Call]:
    """The calls in a module's text that make a message."""
    return [
        node
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        and (
            (isinstance(node.func, ast.Name) and node.func.id in MAKERS)
            or (isinstance(node.func, ast.Attribute) and node.func.attr in MAKERS)
        )
    ]


def called(node: ast.Call) -> str:
    """The name of what is called."""
    assert isinstance(node.func, (ast.Name, ast.Attribute))
    return node.func.id if isinstance(node.func, ast.Name) else node.func.attr


def every_call() -> list[tuple[str, ast.Call]]:
    """(where, call) of every message made in the program."""
    return [
        (f"{path.relative_to(PACKAGE)}:{node.lineno}", node)
        for path in sorted(PACKAGE.rglob("*.py"))
        for node in calls_in(path.read_text(encoding="utf-8"))
    ]


def faults_of(node: ast.Call) -> str:
    """What is wrong with a call that makes a message; empty where nothing is."""
    texts = node.args[: 1 + MAKERS[called(node)]]
    if len(texts) < 1 + MAKERS[called(node)] or not all(
        isinstance(text, ast.Constant) and isinstance(text.value, str) for text in texts
    ):
        return "code and templates are written out as plain text"
    code, *templates = [str(text.value) for text in texts if isinstance(text, ast.Constant)]
    if not re.fullmatch(r"[a-z0-9_]+(\.[a-z0-9_]+)+", code):
        return f'"{code}" is not a valid code; write "room.what_is_said"'
    names = {keyword.arg for keyword in node.keywords}
    if None in names:
        return "values are named one by one"
    places = [set(PLACE.findall(template)) for template in templates]
    if called(node) == "counted_message":
        names |= {"n"}
        places = [found | {"n"} for found in places]
    return "" if all(found == names for found in places) else f"values {names}, places {places}"


def test_every_message_is_written_out_and_its_places_are_its_values() -> None:
    """Code and template stand in the source as plain text, and each place has one value of its name."""
    calls = every_call()
    assert len(calls) > 5, "no message was found: the test would prove nothing"
    assert [f"{where}: {fault}" for where, node in calls if (fault := faults_of(node))] == []


@pytest.mark.parametrize(
    ("source", "fault"),
    [
        ('message("a.b", f"x {1}")', "plain text"),
        ('message("a.b")', "plain text"),
        ("message(code, 'x')", "plain text"),
        ('message("Order", "x")', "not a valid code"),
        ('message("a.b", "{x}")', "places"),
        ('message("a.b", "x", x=1)', "places"),
        ('message("a.b", "{x}", **values)', "one by one"),
        ('counted_message("a.b", "{n}", "{n} {m}", 3)', "places"),
    ],
)
def test_a_message_that_is_not_sound_is_found(source: str, fault: str) -> None:
    """The test above finds each way in which a message can be unsound."""
    (node,) = calls_in(source)
    assert fault in faults_of(node)


def test_every_code_is_used_once() -> None:
    """A code names one template: programs and translators can rely on it."""
    counts = Counter(node.args[0].value for _, node in every_call() if isinstance(node.args[0], ast.Constant))
    assert [code for code, count in counts.items() if count > 1] == []


def entries(path: Path) -> set[tuple[str | None, object]]:
    """(code, template or templates) of each message in a catalogue's file."""
    with path.open("rb") as file:
        return {(entry.context, entry.id) for entry in read_po(file) if entry.id}


def test_the_template_for_translators_is_complete() -> None:
    """The committed template holds what the code says, and no more; else run python -m tests.catalogues."""
    assert entries(TEMPLATE) == {(entry.context, entry.id) for entry in extracted() if entry.id}
    assert len(entries(TEMPLATE)) == len(every_call())


def test_an_ordinary_tool_finds_the_same_messages(tmp_path: Path) -> None:
    """`pybabel extract`, as a translator would run it, finds what our own command finds."""
    found = tmp_path / "found.pot"
    made = ["message:1c,2", "counted_message:1c,2,3", "because:1c,2", "UnitError:1c,2", "UnknownCountry:1c,2"]
    keywords = [word for one in made for word in ("-k", one)]
    CommandLineInterface().run(["pybabel", "-q", "extract", *keywords, "-o", str(found), str(PACKAGE)])
    assert entries(found) == entries(TEMPLATE)


def test_a_translation_has_the_places_of_its_template() -> None:
    """No catalogue of a language loses a value, or names one that is not there."""
    wrong = []
    for path in CATALOGUES.glob("*/LC_MESSAGES/fuelplan.po"):
        with path.open("rb") as file:
            catalog = read_po(file)
        for entry in catalog:
            ids = entry.id if isinstance(entry.id, (list, tuple)) else [entry.id]
            said = entry.string if isinstance(entry.string, (list, tuple)) else [entry.string]
            wanted = {"n"} | set(PLACE.findall(ids[0])) if len(ids) > 1 else set(PLACE.findall(ids[0]))
            wrong += [
                f"{path.parts[-3]}: {entry.context}: {text}"
                for text in said
                if text and entry.id and set(PLACE.findall(text)) | (wanted & {"n"}) != wanted
            ]
    assert wrong == []


def renderers_in(source: str) -> set[str]:
    """What a module's text takes from `messages` that makes texts."""
    found = set[str]()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("fuelplan.messages"):
            found |= {alias.name for alias in node.names} & RENDERERS
        if isinstance(node, ast.ImportFrom) and node.module == "fuelplan":
            found |= {alias.name for alias in node.names} & {"messages"}
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names if alias.name.startswith("fuelplan.messages")}
    return found


def test_only_faces_make_texts_of_messages() -> None:
    """No room but the faces takes `render` from `messages`, nor the room as a whole, where it could hide."""
    wrong = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        room = path.relative_to(PACKAGE).with_suffix("").parts[0]
        if room not in MAY_RENDER and (found := renderers_in(path.read_text(encoding="utf-8"))):
            wrong[str(path.relative_to(PACKAGE))] = found
    assert wrong == {}


@pytest.mark.parametrize(
    "source",
    [
        "from fuelplan.messages import render",
        "from fuelplan.messages.rendering import render",
        "def f():\n    from fuelplan import messages",
        "import fuelplan.messages.rendering",
    ],
)
def test_a_room_that_would_make_texts_is_found(source: str) -> None:
    """The test above finds each way of getting at the texts."""
    assert renderers_in(source)
