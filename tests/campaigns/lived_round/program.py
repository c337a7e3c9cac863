"""The program as a person uses it: its command line, called in this process or in one of its own."""

from __future__ import annotations

import contextlib
import io
import json
import subprocess
import sys
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from tests.plan_checker.texts import texts

PAGE = Path(__file__).parents[3] / "fuelplan" / "docs" / "round_folder.md"


@dataclass(frozen=True)
class Said:
    """What a command said: its status, its document (empty where there is none), and its other words."""

    status: int
    document: dict[str, Any]
    words: str


def called(*arguments: str) -> Said:
    """Call the command line in this process."""
    from fuelplan.cli.main import main

    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    status = 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main(list(arguments))
        except SystemExit as end:
            status = int(end.code or 0) if not isinstance(end.code, str) else 1
        except BaseException as error:  # what a person would see as a traceback
            return Said(-1, {}, f"{type(error).__name__}: {error}")
    document = _document(out)
    told = document.get("error", {})
    words = f"{told.get('message', '')} {told.get('faults', '')} {_text(err)}"
    return Said(status, document, words.strip())


def begun(*arguments: str) -> subprocess.Popen[str]:
    """Start the command line in a process of its own."""
    command = [sys.executable, "-m", "fuelplan", *arguments]
    return subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, encoding="utf-8"
    )


def ended(process: subprocess.Popen[str], seconds: float = 300) -> Said:
    """Wait for a process and return what it said."""
    out, err = process.communicate(timeout=seconds)
    try:
        document = texts(json.loads(out))
    except ValueError:
        document = {}
    return Said(process.returncode, document, err[-400:])


def plan_command(folder: Path, as_of: date, moves: int, days: int, seed: int, *more: str) -> list[str]:
    """Return the words that ask for a plan."""
    return ["runs", str(folder), "--as-of", as_of.isoformat(), "--json", "--moves", str(moves),
            "--days", str(days), "--seed", str(seed), *more]  # fmt: skip


def knows(name: str) -> bool:
    """Tell whether the reference page of the folder knows a column or key."""
    return f"`{name}`" in PAGE.read_text(encoding="utf-8")


def _text(stream: io.TextIOWrapper) -> str:
    stream.flush()
    raw = stream.buffer
    assert isinstance(raw, io.BytesIO)
    return raw.getvalue().decode("utf-8", "replace")[-400:] if stream else ""


def _document(stream: io.TextIOWrapper) -> dict[str, Any]:
    stream.flush()
    raw = stream.buffer
    assert isinstance(raw, io.BytesIO)
    try:
        found = json.loads(raw.getvalue().decode("utf-8"))
    except ValueError:
        return {}
    return texts(found) if isinstance(found, dict) else {}
