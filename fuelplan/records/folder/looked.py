"""For which days a person has looked at a folder's answer: a short memory beside the folder's files."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

from fuelplan.records.folder.text_files import write_bytes
from fuelplan.records.tables import read_text

LOOKED_FILE = ".fuelplan.looked.json"
MOST_DAYS = 30


def looked_on(folder: Path) -> list[date]:
    """Return the days, earliest first; a memory that cannot be read counts as none."""
    path = folder / LOOKED_FILE
    text = read_text(path)[0]
    try:
        return sorted({date.fromisoformat(day) for day in json.loads(text or "[]")})
    except (ValueError, TypeError):
        return []


def remember_look(folder: Path, day: date) -> None:
    """Remember a day; where the folder cannot be written, nothing is remembered and nothing is lost."""
    days = looked_on(folder)
    if day in days:
        return
    kept = sorted({*days, day})[-MOST_DAYS:]
    text = json.dumps([d.isoformat() for d in kept])
    try:
        write_bytes(folder / LOOKED_FILE, text.encode("utf-8"), sync=False)
    except OSError:
        return
