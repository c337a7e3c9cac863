"""Making a new folder: all of its files or none, and never over one that is there."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
import unicodedata
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from fuelplan.files import NotAFile, read_file
from fuelplan.messages import Own, Refusal
from fuelplan.records.folder.text_files import reason, write_bytes
from fuelplan.records.schema import SITE_FILE

MOST_FOLDERS = 500


class FolderError(Refusal):
    """A folder that cannot be made, and why."""


def folder_word(name: str) -> str:
    """Return a folder's name for a place's name: plain small letters, which every system takes."""
    plain = unicodedata.normalize("NFKD", name.casefold()).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "_", plain).strip("_")[:40].strip("_") or "house"


def new_folder(parent: Path, name: str, files: Mapping[str, bytes]) -> Path:
    """Make a folder with these files inside `parent`, under a name that is still free; return it.

    The files are written beside it first, so that a crash leaves no half of a folder.

    Parameters
    ----------
    name
        What a person calls the place; see :func:`folder_word`.
    files
        Contents by name.

    Raises
    ------
    FolderError
        Where nothing can be written there.
    """
    if any(Path(file).name != file or file.startswith(".") for file in files):
        raise FolderError.because(
            "folder.leads_elsewhere",
            "a file of the folder has a name that leads elsewhere; nothing was written",
        )
    try:
        parent.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(prefix=".new-", dir=parent))
    except OSError as error:
        raise FolderError.because(
            "folder.nothing_written", "nothing can be written in {folder}: {why}",
            folder=Own(str(parent)), why=reason(error),
        ) from error  # fmt: skip
    try:
        for file, content in files.items():
            write_bytes(made / file, content)
        made.chmod(0o755)
        return _move_to_free_name(made, parent, folder_word(name))
    except OSError as error:
        raise FolderError.because(
            "folder.house_not_saved", "your house was not saved: {why}", why=reason(error)
        ) from error
    finally:
        shutil.rmtree(made, ignore_errors=True)


def _move_to_free_name(made: Path, parent: Path, word: str) -> Path:
    for number in range(1, MOST_FOLDERS):
        target = parent / (word if number == 1 else f"{word}_{number}")
        if target.exists() or target.is_symlink():
            continue
        try:
            os.rename(made, target)
        except OSError:
            if target.exists():  # another session was quicker
                continue
            raise
        return target
    raise FolderError.because(
        "folder.many_of_that_name", "there are {most} folders of that name already; choose another name",
        most=MOST_FOLDERS,
    )  # fmt: skip


def folder_files(folder: Path) -> dict[str, bytes]:
    """Return the files of a site folder by name, hidden ones and what leads out of it left out.

    Raises
    ------
    FolderError
        Where it is no site folder.
    """
    found = {}
    for file in sorted(folder.iterdir()):
        if not file.name.startswith("."):
            with suppress(NotAFile):
                found[file.name] = read_file(file)
    if SITE_FILE not in found:
        raise FolderError.because(
            "folder.no_site", "{folder} has no {file}", folder=Own(folder.name), file=Own(SITE_FILE)
        )
    return found
