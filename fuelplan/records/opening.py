"""The way in to whatever keeps records: who asks or writes names a place, and nothing else."""

from __future__ import annotations

from pathlib import Path

from fuelplan.records.folder import BookKind, FolderBooks, RecordBooks


def books_at(place: Path | str, kind: BookKind) -> RecordBooks:
    """Return the books of a house or a round by what lies at their place; nothing of them is read yet.

    Parameters
    ----------
    place
        A folder, as a person gives it.
    kind
        What they are of.
    """
    return FolderBooks(place, kind)
