"""The last changes of a folder, kept beside its files, so that each can be taken back.

Kept in `.fuelplan.undo.json`: what was done, the file as it was, and a mark of the file as it became. A
change is taken back only by who was shown that very change, and only while it is the last one and its file
still is as it became; what somebody has written since is never lost.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from fuelplan.files import read_file
from fuelplan.messages import Message, Own, Refusal, as_message, kept, message, said_again
from fuelplan.records.folder.text_files import replace_text, write_bytes
from fuelplan.records.tables import read_text

UNDO_FILE = ".fuelplan.undo.json"
MOST_CHANGES = 20
MOST_CHARACTERS = 2_000_000  # kept over all changes; the oldest go first


class UndoError(Refusal):
    """A change that cannot be taken back, and why; nothing was written."""


@dataclass(frozen=True)
class Change:
    """One change of one file.

    `before` is the whole text of the file as it was, None where there was no such file; `after_mark` tells
    the text that it became.
    """

    what: Message
    when: str
    file: str
    before: str | None
    after_mark: str


def write_remembered(path: Path, before: str | None, after: str, what: Message) -> None:
    """Replace a file and remember how it was; the caller holds the folder's lock.

    Parameters
    ----------
    before
        The whole text as it must still stand; None where there is no file yet.
    what
        What is done, for who takes it back.

    Raises
    ------
    EditError
        Where another program has changed it meanwhile; nothing is written.
    """
    if before == after:
        return
    folder = path.parent
    now = datetime.now().isoformat(timespec="seconds")
    _keep(folder, [*_changes(folder), Change(what, now, path.name, before, mark_of(after.encode("utf-8")))])
    replace_text(path, before, after)


def last_change(folder: Path) -> Change | None:
    """Return the change that :func:`take_back` would take back; None where there is none."""
    for change in reversed(_changes(folder)):
        if _text(folder / change.file) != change.before:  # else it was never finished
            return change
    return None


def take_back(folder: Path, shown: Change | None) -> Change:
    """Take back the change that a person was shown, and return it; the caller holds the folder's lock.

    Parameters
    ----------
    shown
        What :func:`last_change` returned when the person looked.

    Raises
    ------
    UndoError
        Where there is none, where something followed it, or where its file has been changed since.
    """
    change = last_change(folder)
    if change is None:
        raise UndoError.because("undo.none", "there is no change to undo in this folder")
    if change != shown:
        raise UndoError(_followed(folder, shown))
    path = folder / change.file
    text = _text(path)
    if text is None or mark_of(text.encode("utf-8")) != change.after_mark:
        raise UndoError.because(
            "undo.changed_since",
            "{file} has been changed since by something else; nothing was undone, so that "
            "nothing of that is lost", file=Own(change.file),
        )  # fmt: skip
    if change.before is None:
        path.unlink()
    else:
        replace_text(path, text, change.before)
    changes = _changes(folder)
    _keep(folder, changes[: changes.index(change)])
    return change


def _followed(folder: Path, shown: Change | None) -> Message:
    """Return why what was shown is not what would be undone now."""
    changes = _changes(folder)
    if shown is None or shown not in changes:
        return message("undo.done", "this change was undone already, or is too long ago; nothing was undone")
    since = [change.what for change in changes[changes.index(shown) + 1 :]]
    if len(since) == 1:
        return message(
            "undo.followed",
            "since then {change}; nothing was undone, so that this is not lost. Undo that first",
            change=since[-1],
        )
    return message(
        "undo.followed_by_more",
        "since then {change} (and {n} more); nothing was undone, so that this is not lost. Undo that first",
        change=since[-1], n=len(since) - 1,
    )  # fmt: skip


def _text(path: Path) -> str | None:
    """Return the text as it stands, a byte order mark and all; None where it cannot be had."""
    try:
        return read_file(path).decode("utf-8")
    except (OSError, UnicodeDecodeError):
        return None


def mark_of(content: bytes) -> str:
    """Return what tells the content of a file from any other."""
    return hashlib.sha256(content).hexdigest()


def way_of_changes(folder: Path, file: str, old: str, new: str) -> list[tuple[int, Message]]:
    """Return place in the journal and what of the changes that led a file from one mark to another ("": no
    file), oldest first; none where the journal does not know the whole way.
    """
    way: list[tuple[int, Message]] = []
    at = old
    for place, change in enumerate(_changes(folder)):
        before = "" if change.before is None else mark_of(change.before.encode("utf-8"))
        if change.file == file and before == at:
            way.append((place, change.what))
            at = change.after_mark
    return way if at == new else []


def _changes(folder: Path) -> list[Change]:
    """Return the changes kept, oldest first; a file that cannot be read counts as none."""
    text, _ = read_text(folder / UNDO_FILE, max_line=None)
    try:
        return [_change(entry) for entry in json.loads(text or "[]")]
    except (ValueError, TypeError, KeyError, RecursionError):
        return []


def _change(entry: Any) -> Change:
    what = entry["what"]
    change = Change(**{**entry, "what": as_message(what) if isinstance(what, str) else said_again(what)})
    texts = (change.when, change.file, change.after_mark, change.before or "")
    if not all(isinstance(text, str) for text in texts):
        raise ValueError("a change that is not of texts")
    if Path(change.file).name != change.file or change.file.startswith("."):
        raise ValueError("a change of a file that is none of the folder's")
    return change


def _keep(folder: Path, changes: list[Change]) -> None:
    last = changes[-MOST_CHANGES:]
    while len(last) > 1 and sum(len(c.before or "") for c in last) > MOST_CHARACTERS:
        last = last[1:]
    entries = [{**asdict(c), "what": kept(c.what)} for c in last]
    text = json.dumps(entries, ensure_ascii=False, indent=1)
    write_bytes(folder / UNDO_FILE, text.encode("utf-8"), sync=False)  # losing it loses no row
