"""Reading and writing the text files of a folder: bounded, UTF-8, atomic."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from fuelplan.site.faults import Fault

MAX_FILE_BYTES = 50_000_000
MAX_LINE = 10_000  # characters; a longer line is no table of this job


def read_text(
    path: Path, *, max_bytes: int = MAX_FILE_BYTES, max_line: int | None = MAX_LINE
) -> tuple[str | None, list[Fault]]:
    """Return the text of a file, or None and the reason why it cannot be read.

    Nothing past `max_bytes` is read into memory; lines of more than `max_line` characters are faults.
    """
    name = path.name
    try:
        size = path.stat().st_size
        if not path.is_file():
            return None, [Fault(name, None, "", "this is not a file")]
        if size > max_bytes:
            return None, [
                Fault(name, None, "", f"the file has {size:,} bytes; {max_bytes:,} is the most that is read")
            ]
        raw = path.read_bytes()
    except FileNotFoundError:
        return None, [Fault(name, None, "", f"there is no file {name} in this folder")]
    except OSError as error:
        return None, [Fault(name, None, "", f"the file cannot be read: {error.strerror or error}")]
    if b"\x00" in raw:
        return None, [
            Fault(name, None, "", "this is a binary file, not text; save it as text (CSV or TOML), UTF-8")
        ]
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        return None, [
            Fault(name, line, "", "a letter here is not UTF-8; save the file again with the encoding UTF-8")
        ]
    return text, [] if max_line is None else _long_lines(name, text, max_line)


def _long_lines(name: str, text: str, most: int) -> list[Fault]:
    faults = []
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > most:
            faults.append(
                Fault(
                    name,
                    number,
                    "",
                    f"this line has {len(line):,} characters; {most:,} is the most. Is a line break missing?",
                )
            )
    return faults


def write_text(path: Path, text: str) -> None:
    """Replace a text file in one step, as :func:`write_bytes` does; UTF-8, line ends as in `text`."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, content: bytes, *, sync: bool = True) -> None:
    """Replace a file in one step: written beside it, synced to disk, then put in its place.

    A crash at any moment leaves either the old or the new file whole; without `sync` that holds for a crash
    of the program, not of the machine.
    """
    folder = path.parent
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=folder)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            if sync:
                os.fsync(stream.fileno())
        if path.exists():
            os.chmod(temporary, path.stat().st_mode & 0o777)
        else:
            os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    if sync and hasattr(os, "O_DIRECTORY"):
        folder_handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(folder_handle)
        finally:
            os.close(folder_handle)
