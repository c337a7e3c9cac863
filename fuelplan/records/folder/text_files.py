"""Writing the text files of a folder: in one step, and only over what was read."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from fuelplan import files
from fuelplan.messages import Message, Own, Refusal, message

MARK = "\ufeff"  # with which some programs begin a file in UTF-8
NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
NOT_ALLOWED = {errno.EACCES, errno.EPERM, errno.EROFS}


class EditError(Refusal):
    """A change that cannot be made, and why; nothing was written."""


class NotWritten(EditError, OSError):
    """What the disk did not take; the old file stands as it was. `reason` says why, and what to do."""

    def __init__(self, what: Message, reason: Message) -> None:
        """Keep what was not written, and why."""
        super().__init__(message("files.trouble", "{what}: {why}", what=what, why=reason))
        self.what, self.reason = what, reason

    def __reduce__(self) -> tuple[type[NotWritten], tuple[Message, Message]]:
        """Return how it is made anew in another process."""
        return type(self), (self.what, self.reason)


@contextlib.contextmanager
def saving(what: Message) -> Iterator[None]:
    """Within, or in a function so decorated, trouble of the disk is told as that of what a person entered.

    Parameters
    ----------
    what
        That it was not saved: "your reading was not saved".

    Raises
    ------
    NotWritten
        "your reading was not saved: there is no room left on the disk; …"
    """
    try:
        yield
    except OSError as error:
        raise NotWritten(what, reason(error)) from error


def sweep(folder: Path, names: Sequence[str]) -> None:
    """Remove what a program that was killed while it wrote left of these files; the caller holds the lock.

    Such a leftover was never put in its place: what it holds was not acknowledged.
    """
    known = "|".join(re.escape(name) for name in names)
    leftover = re.compile(rf"\.(?:{known})\.[a-z0-9_]{{8}}\.part")
    for file in folder.glob(".*.part"):
        if leftover.fullmatch(file.name) and not file.is_dir():
            file.unlink(missing_ok=True)


def as_it_stands(path: Path, text: str) -> tuple[str | None, str]:
    """Return a file's whole text, None where there is none, and the mark it begins with.

    Raises
    ------
    EditError
        Where it is not the `text` (without its mark) any more that was read a moment ago.
    """
    before = files.read_file(path).decode("utf-8") if files.is_there(path) else None
    if before is None or not before.removeprefix(MARK).strip():
        return before, ""
    if before.removeprefix(MARK) != text:
        raise EditError(_changed(path))
    return before, MARK if before.startswith(MARK) else ""


def _changed(path: Path) -> Message:
    return message(
        "files.changed", "{file} was changed meanwhile by another program; open the folder again",
        file=Own(path.name),
    )  # fmt: skip


def replace_text(path: Path, before: str | None, after: str) -> None:
    """Replace a text file in one step, but only while it still reads as `before` (None: is not there).

    Parameters
    ----------
    before, after
        The whole text, with the mark before its first letter where there is one.

    Raises
    ------
    EditError
        Where another program has changed it meanwhile; nothing is written then.
    """

    expected = None if before is None else before.encode("utf-8")
    write_bytes(path, after.encode("utf-8"), last_look=lambda: refuse_changed(path, expected))


def refuse_changed(path: Path, expected: bytes | None) -> None:
    """Raise :class:`EditError` where a file does not hold what is expected (None: is not there) any more."""
    if (files.read_file(path) if files.is_there(path) else None) != expected:
        raise EditError(_changed(path))


def write_bytes(
    path: Path, content: bytes, *, sync: bool = True, last_look: Callable[[], None] | None = None
) -> None:
    """Replace a file in one step: written beside it, synced to disk, then put in its place.

    A crash at any moment leaves either the old or the new file whole; without `sync` that holds for a crash
    of the program, not of the machine. `last_look` is called just before the new file is put in its place.

    Raises
    ------
    NotWritten
        Where the disk is full or the folder may not be written to; the old file stands as it was.
    """
    try:
        files.refuse_to_replace(path)
        _put_beside(path, content, sync, last_look)
        if sync:
            _sync_folder(path.parent)
    except OSError as error:
        raise NotWritten(
            message("files.file_not_written", "{file} was not written", file=Own(path.name)), reason(error)
        ) from error


def _put_beside(path: Path, content: bytes, sync: bool, last_look: Callable[[], None] | None) -> None:
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            if sync:
                os.fsync(stream.fileno())
        os.chmod(temporary, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        if last_look is not None:
            last_look()
        os.replace(temporary, path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(temporary).unlink(missing_ok=True)
        raise


def _sync_folder(folder: Path) -> None:
    """See to it that the new name is on the disk, where the system can do that for folders."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in {errno.EINVAL, errno.ENOTSUP}:  # some network disks know no such thing
            raise
    finally:
        os.close(handle)


def reason(error: OSError) -> Message:
    """Return why the disk did not take something, and what to do."""
    if isinstance(error, NotWritten):
        return error.reason
    if error.errno in NO_ROOM:
        return message("files.no_room", "there is no room left on the disk; free some, and do it again")
    if error.errno in NOT_ALLOWED:
        return message("files.not_allowed", "this folder or file may not be written to; look at its rights")
    return files.why_not(error)
