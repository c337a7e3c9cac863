"""What a document of the program says, for checks that read it as people do."""

from __future__ import annotations

from typing import Any


def texts(document: Any) -> Any:
    """Return a document with the text of each message in its place."""
    if isinstance(document, dict):
        if set(document) == {"code", "text", "values"}:
            return document["text"]
        return {key: texts(value) for key, value in document.items()}
    return [texts(value) for value in document] if isinstance(document, list) else document
