"""A house taken along as one file, and opened from one."""

from __future__ import annotations

from pathlib import Path

from fuelplan.records.folder import new_folder, pack, unpack


def pack_house(folder: Path) -> bytes:
    """Return a site folder as a zip file.

    Raises
    ------
    FolderError
        Where it is no site folder.
    """
    return pack(folder)


def unpack_house(content: bytes, parent: Path, name: str = "") -> Path:
    """Make a folder inside `parent` from a zip file and return it; it may still have faults of its own.

    Parameters
    ----------
    name
        Name of the zip file, for one that holds no folder.

    Raises
    ------
    FolderError
        Where the zip file is none, too large, or leads out of its folder; nothing is written then.
    """
    top, files = unpack(content)
    return new_folder(parent, top or Path(name).stem or "house", files)
