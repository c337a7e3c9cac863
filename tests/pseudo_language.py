"""A language that nobody speaks: every template of the code between marks, so that a text shows whether it
went through the catalogue.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog

from fuelplan.messages import catalogue
from fuelplan.units import Reader
from tests.catalogues import compiled, extracted

PSEUDO = Reader(language="xx")
_INNERMOST = re.compile("⟦[^⟦⟧]*⟧")


def use_catalogue(monkeypatch: pytest.MonkeyPatch, folder: Path, catalog: Catalog, language: str) -> None:
    """Let the program read this catalogue for this language, and no other."""
    compiled(catalog, folder, language)
    monkeypatch.setattr(catalogue, "FOLDER", folder)


def speak_pseudo(monkeypatch: pytest.MonkeyPatch, folder: Path) -> Reader:
    """Return a reader of the pseudo-language, whose catalogue is made from the code and put into `folder`."""
    catalog = Catalog(charset="utf-8")
    for entry in extracted():
        if isinstance(entry.id, (list, tuple)):
            catalog.add(entry.id, tuple(f"⟦{text}⟧" for text in entry.id), context=entry.context)
        elif entry.id:
            catalog.add(entry.id, f"⟦{entry.id}⟧", context=entry.context)
    use_catalogue(monkeypatch, folder, catalog, PSEUDO.language)
    return PSEUDO


def outside(text: str) -> str:
    """Return what of a text did not come through the catalogue."""
    while (shorter := _INNERMOST.sub("", text)) != text:
        text = shorter
    return text.strip()
