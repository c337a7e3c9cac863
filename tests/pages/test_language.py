"""Every text of the pages is a message in a module of texts: a translator's catalogue holds them all."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import fuelplan.pages

UI = Path(fuelplan.pages.__file__).parent
TEXTS = UI / "texts"
# Values of answers and of files that the code asks about, no texts.
KEYS = {"day first", "month first", "not met", "can never", "failed drop", "slow roads", "tanker out"}
# Style sheets, pictures and the server's own command: nobody reads them as text.
NO_TEXTS = {"look.py", "serve.py", "page.py"}
NAMES = {"fuelplan"}  # the same in every language
WORDS = re.compile(r"[A-Za-z]{2,} [a-z]{2,}|^[A-Z][a-z]+$")
WORD = re.compile(r"[^\W\d_]{2,}")
SAYING = {"message", "counted_message"}
READ_ALOUD = {"label", "help", "placeholder", "body", "alt", "text"}
KINDS = {"warn", "danger"}
NOT_READ = {"html", "Page", "set_page_config", "container", "form", "cache_data", "get_option"}
FIELDS = {"text", "area", "choice", "day", "tick", "file"}


def docs_of(tree: ast.AST) -> set[int]:
    """The docstrings and other loose strings of a module."""
    return {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }


def texts_in(path: Path) -> list[str]:
    """Strings of a file that a person would read: words, in no docstring and no annotation."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = docs_of(tree)
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in docs
        and node.value not in KEYS
        and WORDS.search(node.value)
        and not node.value.startswith(("<", "fp-", "\n"))
    ]


def unsaid_in(source: str) -> list[str]:
    """Strings of words in a module of texts that are in no message: a translator would never see them."""
    tree = ast.parse(source)
    aside = docs_of(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAYING:
            aside |= {id(argument) for argument in node.args}
        if isinstance(node, ast.Dict):
            aside |= {id(key) for key in node.keys}
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in aside
        and node.value not in NAMES
        and WORD.search(node.value)
    ]


def shown_in(source: str) -> list[str]:
    """Literals of words that a module hands to Streamlit or to our pieces to be read."""
    return [
        ast.unparse(found)
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        for argument in _read_aloud(node)
        for found in _literals(argument)
    ]


def _read_aloud(call: ast.Call) -> Iterator[ast.expr]:
    """What of a call is shown: with Streamlit and forms the first value, with our pieces every value."""
    if not (isinstance(call.func, ast.Attribute) and isinstance(call.func.value, ast.Name)):
        return
    room, name = call.func.value.id, call.func.attr
    if room == "st" and name not in NOT_READ:
        yield from call.args[:1]
    elif room == "form" and name in FIELDS:
        yield from call.args[1:3]
    elif room == "pieces":
        yield from call.args
    else:
        return
    yield from (keyword.value for keyword in call.keywords if keyword.arg in READ_ALOUD)


def _literals(argument: ast.expr) -> Iterator[ast.expr]:
    """The strings of words in what is shown, but for keys that something is looked up by."""
    if isinstance(argument, (ast.Call, ast.Subscript)):
        return
    if isinstance(argument, ast.JoinedStr):
        if WORD.search(
            "".join(str(part.value) for part in argument.values if isinstance(part, ast.Constant))
        ):
            yield argument
    elif isinstance(argument, ast.Constant):
        if isinstance(argument.value, str) and argument.value not in KINDS and WORD.search(argument.value):
            yield argument
    else:
        for part in ast.iter_child_nodes(argument):
            if isinstance(part, ast.expr):
                yield from _literals(part)


def test_pages_hold_no_texts_of_their_own() -> None:
    """No sentence and no label is written in a page's code."""
    pages = [p for p in UI.rglob("*.py") if "texts" not in p.parts and p.name not in NO_TEXTS]
    assert len(pages) > 15
    found = {str(p.relative_to(UI)): texts_in(p) for p in pages}
    assert {name: texts for name, texts in found.items() if texts} == {}


def test_the_search_sees_texts() -> None:
    """The search of the test above finds the sentences in a module of texts."""
    assert len(texts_in(TEXTS / "new_house.py")) > 60


def test_every_text_is_a_message() -> None:
    """In the modules of texts no string of words stands outside of a message."""
    modules = list(TEXTS.glob("*.py"))
    assert len(modules) > 5
    found = {path.name: unsaid_in(path.read_text(encoding="utf-8")) for path in modules}
    assert {name: texts for name, texts in found.items() if texts} == {}


def test_nothing_is_shown_that_is_no_message() -> None:
    """No literal of words is handed to Streamlit or to our pieces: a label, a help text, a cell."""
    found = {str(p.relative_to(UI)): shown_in(p.read_text(encoding="utf-8")) for p in UI.rglob("*.py")}
    assert {name: texts for name, texts in found.items() if texts} == {}


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('SAVE = "save"', 1),
        ('HEAD = (message("a.b", "Day"), "Amount")', 1),
        ('NAMES = {"us": "pounds"}', 1),
        ('NAMES = {"us": message("a.b", "pounds")}', 0),
        ('def days(n):\n    """Say it."""\n    return message("a.b", "{x} days", x=Own(f"{n} h"))', 0),
    ],
)
def test_a_text_outside_of_a_message_is_found(source: str, found: int) -> None:
    """The test of the modules of texts sees a single word, in a tuple and in a table, too."""
    assert len(unsaid_in(source)) == found


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('st.button("save", key="save-it")', 1),
        ('st.button(as_text(texts.SAVE), key="save it", type="primary")', 0),
        ('st.text_input(as_text(texts.DAY), help="the day")', 1),
        ('pieces.small(f"{count} days")', 1),
        ('pieces.small(f"{a} · {b}")', 0),
        ('pieces.table((texts.DAY, "amount"), rows)', 1),
        ('pieces.notes([(texts.DAY, "")], "warn")', 0),
        ('form.text("use", "Burned", words.USE_WHY)', 1),
    ],
)
def test_a_literal_that_is_shown_is_found(source: str, found: int) -> None:
    """The test of what is shown sees labels, help texts, cells and texts put together."""
    assert len(shown_in(source)) == found
