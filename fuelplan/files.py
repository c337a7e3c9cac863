"""The one gate of every file that is read or replaced: a regular file, in its folder, and no link.

A link leads to somebody else's file, a pipe keeps a program waiting, and a device that is replaced is gone.
What lies in a folder is therefore opened here or not at all. A folder itself may be reached through a link,
and a file that a person names on the command line may be a link to a regular file anywhere.
"""

from __future__ import annotations

import errno
import os
import stat
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

from fuelplan.messages import Message, Own, Refusal, as_message, message

LINK = message("files.link", "this is a link; put the file itself into the folder")
NO_FILE = message("files.no_file", "this is not a file")
NO_LOOP = message("files.link_to_nowhere", "this is a link that leads nowhere")
OUTSIDE = message("files.outside", "lies outside the folder; copy the file into it")
OF_A_FOLDER = {"site.toml", "round.toml"} | {
    f"{table}.{ending}"
    for table in (
        "customers", "deliveries", "readings", "orders", "published", "wishes", "happenings", "odometer",
    )
    for ending in ("csv", "parquet")
}  # fmt: skip
"""Files that hold what people entered: no export is written over one of them."""
NO_WAITING = getattr(os, "O_NONBLOCK", 0)  # opening a pipe would wait for somebody who writes
NO_LINK = getattr(os, "O_NOFOLLOW", 0)
BINARY = getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)


class NotAFile(OSError):
    """What is there is a link, a pipe, a device, a folder, or lies elsewhere; `said` says which."""

    def __init__(self, path: Path, said: Message) -> None:
        """Keep the message, also where every error of the system has its sentence."""
        super().__init__(errno.EINVAL, said, str(path))
        self.path, self.said = path, said

    def __reduce__(self) -> tuple[type[NotAFile], tuple[Path, Message]]:
        """Return how it is made anew in another process."""
        return type(self), (self.path, self.said)


def why_not(error: OSError) -> Message:
    """Return why a file cannot be read or written: our message, or what the system says."""
    return error.said if isinstance(error, NotAFile) else as_message(error.strerror or str(error))


def is_there(path: Path) -> bool:
    """Tell whether anything bears this name, a link that leads nowhere included."""
    return os.path.lexists(path)


def open_file(path: Path, *, folder: Path | None = None, anywhere: bool = False) -> BinaryIO:
    """Open a regular file for reading; it never waits, and what was looked at is what is read.

    Parameters
    ----------
    folder
        In which it lies, perhaps in a folder further down; none: it lies directly in `path.parent`.
    anywhere
        A person has named this very file: links are followed.

    Raises
    ------
    NotAFile
        Where it is none.
    OSError
        As the system raises it: not there, not allowed, …
    """
    if not anywhere:
        _refuse_links(path, path.parent if folder is None else folder)
    try:
        handle = os.open(path, os.O_RDONLY | NO_WAITING | BINARY | (0 if anywhere else NO_LINK))
    except OSError as error:
        if error.errno == errno.ELOOP:
            raise NotAFile(path, NO_LOOP if anywhere else LINK) from error
        if error.errno in {errno.ENXIO, errno.EISDIR}:  # a socket; a folder
            raise NotAFile(path, NO_FILE) from error
        raise
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise NotAFile(path, NO_FILE)
    return open(handle, "rb")


def read_file(path: Path, *, folder: Path | None = None) -> bytes:
    """Return the bytes of a file of a folder; errors as in :func:`open_file`."""
    with open_file(path, folder=folder) as stream:
        return stream.read()


def _refuse_links(path: Path, folder: Path) -> None:
    """Raise where a part of the way from the folder to the file is a link, or leads out of it."""
    try:
        parts = path.relative_to(folder).parts
    except ValueError:
        parts = ()
    if not parts or ".." in parts:
        raise NotAFile(path, OUTSIDE)
    for part in parts:
        folder = folder / part
        try:
            mode = os.lstat(folder).st_mode
        except OSError:  # the one who opens it says what is wrong
            return
        if stat.S_ISLNK(mode):
            raise NotAFile(path, LINK)


def refuse_what_is_no_file(path: Path) -> None:
    """Raise :class:`NotAFile` where what bears this name is no regular file; nothing there is fine."""
    try:
        mode = os.lstat(path).st_mode
    except FileNotFoundError:
        return
    if stat.S_ISLNK(mode):
        raise NotAFile(path, message("files.link_bears_name", "a link bears this name; give the file itself"))
    if not stat.S_ISREG(mode):
        raise NotAFile(
            path, message("files.no_file_bears_name", "what bears this name is no file, and stays as it is")
        )


def refuse_to_replace(path: Path) -> None:
    """Raise where what bears this name is no regular file that may be written to; nothing there is fine.

    Raises
    ------
    NotAFile, PermissionError
    """
    refuse_what_is_no_file(path)
    if is_there(path) and not os.access(path, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))


def export_place(out: str, folder: str | Path | None = None) -> Path:
    """Return where an export may be written, looked at before any work.

    Parameters
    ----------
    folder
        The site or round that is exported: no file of its own is written over.

    Raises
    ------
    Refusal
        With what to name instead.
    """
    file = Path(out)
    try:
        if "\0" in out or file.is_dir() or not file.parent.is_dir():
            raise Refusal(
                message(
                    "files.no_place",
                    '"{file}" is not a valid place for a file; name one in a folder that exists',
                    file=Own(out),
                )
            )
        refuse_to_replace(file)
    except OSError as error:
        raise Refusal(
            message("files.not_written", '"{file}" is not written: {why}', file=Own(out), why=why_not(error))
        ) from error
    if folder is not None and _is_of_folder(file, Path(folder)):
        raise Refusal(
            message(
                "files.of_the_folder",
                '"{file}" is a file of the folder itself; give the export a name of its own', file=Own(out),
            )
        )  # fmt: skip
    return file


def _is_of_folder(file: Path, folder: Path) -> bool:
    if not folder.is_dir() or os.path.realpath(file.parent) != os.path.realpath(folder):
        return False
    return file.name.startswith(".fuelplan") or file.name in OF_A_FOLDER | set(_named_in(folder))


def _named_in(folder: Path) -> Iterator[str]:
    """Yield every text of the folder's table: among them the names of its weather and price files."""
    for name in ("site.toml", "round.toml"):
        try:
            yield from _texts(tomllib.loads(read_file(folder / name).decode("utf-8-sig")))
        except (OSError, ValueError, RecursionError):  # whoever opens the folder says so
            continue


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _texts(inner)
