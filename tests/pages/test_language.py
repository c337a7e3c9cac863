"""Every text of the pages stands in a module of texts: another language is another set of those modules."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import fuelplan.pages

UI = Path(fuelplan.pages.__file__).parent
# Style sheets, pictures and the server's own command: nobody reads them as text.
# Values of answers and of files that the code asks about, no texts.
KEYS = {"day first", "month first", "not met", "can never", "failed drop", "slow roads", "tanker out"}
NO_TEXTS = {"look.py", "serve.py", "page.py"}
WORDS = re.compile(r"[A-Za-z]{2,} [a-z]{2,}|^[A-Z][a-z]+$")


def texts_in(path: Path) -> list[str]:
    """Strings of a file that a person would read: words, in no docstring and no annotation."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, (ast.Module, ast.FunctionDef, ast.ClassDef, ast.AsyncFunctionDef))
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    loose = {
        id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant)
    }
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in docs | loose
        and node.value not in KEYS
        and WORDS.search(node.value)
        and not node.value.startswith(("<", "fp-", "\n"))
    ]


def test_pages_hold_no_texts_of_their_own() -> None:
    """No sentence and no label is written in a page's code."""
    pages = [p for p in UI.rglob("*.py") if "texts" not in p.parts and p.name not in NO_TEXTS]
    assert len(pages) > 15
    found = {str(p.relative_to(UI)): texts_in(p) for p in pages}
    assert {name: texts for name, texts in found.items() if texts} == {}


def test_the_search_sees_texts() -> None:
    """The search of the test above finds the sentences in a module of texts."""
    assert len(texts_in(UI / "texts" / "common.py")) > 100
