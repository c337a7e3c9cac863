"""Reading the files of a folder: bounded, at rest, UTF-8."""

from __future__ import annotations

import os
import time
from pathlib import Path

from fuelplan import files
from fuelplan.messages import Message, Own, message
from fuelplan.records.tables.faults import Fault

MAX_FILE_BYTES = 50_000_000
MAX_LINE = 10_000  # characters; a longer line is no table of this job
LOOKS = 3  # at a file that changes while it is read
BETWEEN_LOOKS_S = 0.1


def read_text(
    path: Path,
    *,
    max_bytes: int = MAX_FILE_BYTES,
    max_line: int | None = MAX_LINE,
    folder: Path | None = None,
) -> tuple[str | None, list[Fault]]:
    """Return the text of a file, or None and the reason why it cannot be read.

    Nothing past `max_bytes` is read into memory; lines of more than `max_line` characters are faults.
    `folder` as in :func:`fuelplan.files.open_file`.
    """
    raw, faults = read_bytes(path, max_bytes=max_bytes, folder=folder)
    return (None, faults) if raw is None else text_of(path.name, raw, max_line)


def text_of(name: str, raw: bytes, max_line: int | None = MAX_LINE) -> tuple[str | None, list[Fault]]:
    """Return what a file says, or None and why it is no text; lines that are too long are faults.

    Parameters
    ----------
    name
        For the faults.
    max_line
        The most characters of a line; None: any number.
    """
    if b"\x00" in raw:
        said = message("file.binary", "this is a binary file, not text; save it as text (CSV or TOML), UTF-8")
        return None, [Fault(name, None, "", said)]
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        said = message(
            "file.not_utf8", "a letter here is not UTF-8; save the file again with the encoding UTF-8"
        )
        return None, [Fault(name, line, "", said)]
    return text, [] if max_line is None else long_lines(name, text, max_line)


def read_bytes(
    path: Path, *, max_bytes: int = MAX_FILE_BYTES, folder: Path | None = None, anywhere: bool = False
) -> tuple[bytes | None, list[Fault]]:
    """Return what a file holds, or None and the reason why it cannot be read; no more than `max_bytes`.

    `folder` and `anywhere` as in :func:`fuelplan.files.open_file`.
    """
    name = path.name
    try:
        raw, size = _at_rest(path, max_bytes, folder, anywhere)
        if size <= max_bytes and raw is not None:
            return raw, []
        said = message("file.changes", "the file changes while it is read; try again in a moment")
        if size > max_bytes:
            said = message(
                "file.too_large", "the file has {bytes} bytes; {most} is the most that is read",
                bytes=size, most=max_bytes,
            )  # fmt: skip
    except FileNotFoundError:
        said = message("file.none_here", "there is no file {name} in this folder", name=Own(name))
        if anywhere:
            said = message(
                "file.none_there", "there is no file {name} in {folder}", name=Own(name),
                folder=Own(str(path.parent)),
            )  # fmt: skip
    except files.NotAFile as error:
        said = error.said
    except OSError as error:
        said = message("file.cannot_be_read", "the file cannot be read: {why}", why=files.why_not(error))
    return None, [Fault(name, None, "", said)]


def _at_rest(path: Path, most: int, folder: Path | None, anywhere: bool) -> tuple[bytes | None, int]:
    """Return the bytes of a file that nobody wrote to meanwhile, and their number; None for the bytes where
    it never comes to rest or has more than `most`.

    An editor that saves a file in place leaves half of it for a moment: read then, rows would be missing.
    """
    for look in range(LOOKS):
        if look:
            time.sleep(BETWEEN_LOOKS_S)
        with files.open_file(path, folder=folder, anywhere=anywhere) as stream:
            before = os.fstat(stream.fileno())
            if before.st_size > most:
                return None, before.st_size
            raw = stream.read(most + 1)
        after = path.stat()
        if (before.st_size, before.st_mtime_ns, before.st_ino) == (
            after.st_size,
            after.st_mtime_ns,
            after.st_ino,
        ) and len(raw) <= most:
            return raw, len(raw)
    return None, 0


def long_lines(name: str, text: str, most: int = MAX_LINE) -> list[Fault]:
    """Return a fault for each line that is longer than any row of a table."""
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return [
        Fault(name, number, "", _too_long(len(line), most))
        for number, line in enumerate(text.split("\n"), 1)
        if len(line) > most
    ]


def _too_long(length: int, most: int) -> Message:
    return message(
        "file.long_line",
        "this line has {length} characters; {most} is the most. Is a line break missing?",
        length=length, most=most,
    )  # fmt: skip
