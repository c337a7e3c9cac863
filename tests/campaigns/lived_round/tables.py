"""A round's files as a person changes them: a row added, a cell written over, a line of TOML."""

from __future__ import annotations

import csv
import io
import os
import tomllib
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

Row = dict[str, str]


def read(path: Path) -> tuple[list[str], list[Row]]:
    """Return the columns and the rows of a table."""
    if not path.exists():
        return [], []
    rows = csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"), newline=""))
    return list(rows.fieldnames or ()), [{k: v or "" for k, v in row.items() if k} for row in rows]


def write(path: Path, names: list[str], rows: list[Row]) -> None:
    """Write a table in one step."""
    stream = io.StringIO(newline="")
    out = csv.DictWriter(stream, names, lineterminator="\n", restval="")
    out.writeheader()
    out.writerows(rows)
    _replace(path, stream.getvalue())


def add(path: Path, row: Mapping[str, str], head: list[str]) -> None:
    """Add a row; a file that is not there begins with `head`, a column that is not there is added."""
    names, rows = read(path)
    names = names or list(head)
    names += [name for name in row if name not in names]
    write(path, names, [*rows, dict(row)])


def set_cell(path: Path, key: str, who: str, column: str, value: str) -> None:
    """Write over a cell of the rows whose `key` is `who`."""
    names, rows = read(path)
    if column not in names:
        names.append(column)
    for row in rows:
        if row[key] == who:
            row[column] = value
    write(path, names, rows)


def drop(path: Path, key: str, who: str) -> None:
    """Delete the rows whose `key` is `who`."""
    names, rows = read(path)
    write(path, names, [row for row in rows if row[key] != who])


def read_toml(path: Path) -> Any:
    """Return what stands in `round.toml`."""
    return tomllib.loads(path.read_text(encoding="utf-8"))


def write_toml(path: Path, document: Any) -> None:
    """Write `round.toml` in one step: single keys, tables, lists of tables; what lies deeper in one line."""
    lines = [f"{k} = {_value(v)}" for k, v in document.items() if not _is_table(v)]
    for name, table in document.items():
        if _is_table(table):
            for one in table if isinstance(table, list) else [table]:
                lines.append(f"[[{name}]]" if isinstance(table, list) else f"[{name}]")
                lines += [f"{k} = {_value(v)}" for k, v in one.items()]
    _replace(path, "\n".join(lines) + "\n")


def _is_table(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and isinstance(value[0], dict))


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float, date)):
        return str(value)
    if isinstance(value, list):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k} = {_value(v)}" for k, v in value.items()) + "}"
    return '"' + str(value).replace("\\", "\\\\").replace('"', '\\"') + '"'


def iso(day: date) -> str:
    """Return a day as the files write it."""
    return day.isoformat()


def _replace(path: Path, text: str) -> None:
    beside = path.with_name(f".{path.name}.campaign")
    beside.write_text(text, encoding="utf-8")
    os.replace(beside, path)
