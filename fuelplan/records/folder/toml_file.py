"""A folder's TOML file into its model, with every fault at its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import replace
from difflib import get_close_matches
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from fuelplan.messages import Message, Own, as_message, message, said_by
from fuelplan.records.folder.country import country_of
from fuelplan.records.folder.refused import refused
from fuelplan.records.schema import SITE_FILE, SITE_STEPS, SiteTable, Step, lift, site_model
from fuelplan.records.tables import Fault
from fuelplan.units import bought_in, is_one_line

NO_CONTROL = message("toml.control", "a control character or a line break stands in this text; take it out")
_HEADER = re.compile(r"^\s*\[\[?\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"^\s*([A-Za-z0-9_\-\"']+)\s*(?:\.[^=]+)?=")


M = TypeVar("M", bound=BaseModel)


SITE_NEEDS = message("toml.site_needs", "format, name, [place], [weather], [building] and [store]")


def site_of_text(text: str) -> tuple[SiteTable | None, list[Fault]]:
    """Return the model of the text that a `site.toml` has or is to have, or None and all of its faults."""
    return toml_of_text(SITE_FILE, text, site_model(), steps=SITE_STEPS, needs=SITE_NEEDS)


def toml_of_text(
    name: str, text: str, model: type[M], *, steps: Sequence[Step], needs: Message
) -> tuple[M | None, list[Fault]]:
    """Return the model of a TOML text, or None and all of its faults.

    Parameters
    ----------
    name
        For the faults.
    steps
        What lifts an older format to the newest that this program knows, one number each.
    needs
        What the file holds at least, for the person who starts with an empty one.
    """
    if not text.strip():
        said = message("toml.empty", "the file is empty; it needs at least {needs}", needs=needs)
        return None, [Fault(name, None, "", said)]
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return None, [_toml_fault(name, str(error))]
    except (RecursionError, ValueError):  # thousands of brackets, or a number of thousands of digits
        said = message(
            "toml.too_deep", "a value has too many brackets within brackets, or a number too many digits"
        )
        return None, [Fault(name, None, "", said)]
    try:
        lift(data, steps)
    except ValueError as error:
        return None, [Fault(name, KeyLines(text).line(("format",)), "format", said_by(error))]
    steering = list(_steering(data))
    if steering:
        at = KeyLines(text)
        return None, [Fault(name, at.line(key), ".".join(map(str, key)), NO_CONTROL) for key in steering]
    try:
        with bought_in(country_of(data)):
            return model.model_validate(data), []
    except ValidationError as error:
        lines = KeyLines(text)
        return None, [_fault(name, lines, model, e) for e in error.errors(include_url=False)]


def _steering(data: Any, key: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Yield the keys whose text holds a line break, or what steers a terminal or turns letters round."""
    if isinstance(data, str):
        if not is_one_line(data):
            yield key
        return
    if isinstance(data, dict | list):
        for name, value in data.items() if isinstance(data, dict) else enumerate(data):
            if isinstance(name, str) and not is_one_line(name):
                yield key
            yield from _steering(value, (*key, name))


def _toml_fault(name: str, error: str) -> Fault:
    match = re.search(r"\(at line (\d+), column (\d+)\)", error)
    line = int(match[1]) if match else None
    said = message(
        "toml.not_toml", 'this line is not TOML: {why}; write key = "text" or key = 1.5, one to a line',
        why=Own(error[: match.start()].strip() if match else error),
    )  # fmt: skip
    return Fault(name, line, "", said)


class KeyLines:
    """Finds the line of a key in a TOML text, by its tables."""

    def __init__(self, text: str) -> None:
        """Scan the text once."""
        self._lines: dict[tuple[str | int, ...], int] = {}
        table: tuple[str | int, ...] = ()
        counts: dict[tuple[str | int, ...], int] = {}
        for number, line in enumerate(text.splitlines(), 1):
            header = _HEADER.match(line)
            if header:
                table = ()
                names = [part.strip(" \"'") for part in header[1].split(".")]
                for place, name in enumerate(names, 1):
                    table = (*table, name)
                    if place == len(names) and line.lstrip().startswith("[["):
                        counts[table] = counts.get(table, -1) + 1
                    if table in counts:
                        table = (*table, counts[table])
                self._lines.setdefault(table, number)
                continue
            key = _KEY.match(line)
            if key:
                self._lines.setdefault((*table, key[1].strip("\"'")), number)

    def line(self, location: Sequence[str | int]) -> int | None:
        """Return the line of a key, else that of the nearest table around it."""
        parts = tuple(location)
        while parts:
            if parts in self._lines:
                return self._lines[parts]
            parts = parts[:-1]
        return None


def with_lines(file: str, text: str | None, faults: Sequence[Fault]) -> list[Fault]:
    """Return the faults, those of the settings that lack a line with the line of their key.

    Parameters
    ----------
    file, text
        Name and text of the settings.
    """
    lines = KeyLines(text or "")
    return [
        replace(f, line=lines.line([int(part) if part.isdigit() else part for part in f.key.split(".")]))
        if f.file == file and f.line is None
        else f
        for f in faults
    ]


def _fault(name: str, lines: KeyLines, root: type[BaseModel], error: Any) -> Fault:
    location = tuple(error["loc"])
    key = ".".join(f"{part}" for part in location)
    if error["type"] == "missing":
        said = _missing(root, location)
    elif error["type"] == "extra_forbidden":
        said = _unknown(root, location)
    elif error["type"] == "value_error":
        said = said_by(error["ctx"]["error"])
    else:
        said = refused(error["type"], error.get("ctx", {}), f"{error['input']!r:.60}", error["msg"])
    return Fault(name, lines.line(location), key, said)


def _model_at(root: type[BaseModel], location: Sequence[str | int]) -> type[BaseModel] | None:
    """Return the model of the table that a location lies in."""
    model = root
    for part in location[:-1]:
        if isinstance(part, int):
            continue
        field = next((f for n, f in model.model_fields.items() if part in (n, f.alias)), None)
        if field is None:
            return None
        candidates = [field.annotation, *getattr(field.annotation, "__args__", ())]
        inner = next((c for c in candidates if isinstance(c, type) and issubclass(c, BaseModel)), None)
        if inner is None:
            return None
        model = inner
    return model


def key_names(model: type[BaseModel]) -> list[str]:
    """Return the keys of a table as people write them."""
    return [field.alias or name for name, field in model.model_fields.items()]


def _unknown(root: type[BaseModel], location: Sequence[str | int]) -> Message:
    model = _model_at(root, location)
    known = key_names(model) if model else []
    close = get_close_matches(str(location[-1]), known, n=1)
    if close:
        return message("toml.key_meant", 'unknown key; did you mean "{key}"?', key=Own(close[0]))
    if known:
        return message("toml.keys_known", "unknown key; known here: {keys}", keys=Own(", ".join(known)))
    return message("toml.key_unknown", "unknown key")


def _missing(root: type[BaseModel], location: Sequence[str | int]) -> Message:
    model = _model_at(root, location)
    fields = {} if model is None else model.model_fields
    field = next((f for n, f in fields.items() if location[-1] in (n, f.alias)), None)
    if field is not None and field.description:
        return message(
            "toml.key_missing_for", "the key is missing: {what}", what=as_message(field.description)
        )
    return message("toml.key_missing", "the key is missing")
