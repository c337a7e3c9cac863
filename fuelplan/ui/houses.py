"""Where a person's houses are kept, and the drafts of houses that have no folder of their own yet."""

from __future__ import annotations

import atexit
import os
import shutil
import sys
import tempfile
from functools import lru_cache
from pathlib import Path

import streamlit as st

import fuelplan

PLACE_VARIABLE = "FUELPLAN_HOUSES"
PLACE_NAME = "fuelplan_houses"
DRAFT_KEY = "draft-house"
KEPT_KEY = "houses-kept"


def demo_folder() -> Path:
    """Return where the demo houses of a source checkout are; the folder need not exist."""
    return Path(fuelplan.__file__).resolve().parent.parent / "demo_sites"


def given_folder() -> Path | None:
    """Return the folder that the pages were started with."""
    return Path(sys.argv[1]).resolve() if len(sys.argv) > 1 else None


def place_for_houses() -> Path:
    """Return the folder in which new houses are kept: no text from the browser has a say in it.

    It is the one that the environment names, else the one that the pages were started with or that lies
    around it, else one in the person's own folder. Nothing is ever kept among the demo houses.
    """
    named = os.environ.get(PLACE_VARIABLE)
    if named:
        return Path(named).expanduser().resolve()
    given = given_folder()
    if given is not None and given.is_dir():
        place = given.parent if (given / "site.toml").exists() else given
        if demo_folder() not in (place, *place.parents):
            return place
    return Path.home() / PLACE_NAME


def draft() -> Path | None:
    """Return this visit's draft of a house; None where there is none."""
    kept = st.session_state.get(DRAFT_KEY)
    return Path(kept) if kept is not None and Path(kept).is_dir() else None


def take_draft(made: Path) -> None:
    """Put a draft in the place of the one there was."""
    drop_draft()
    st.session_state[DRAFT_KEY] = str(made)


def drop_draft() -> None:
    """Forget the draft and remove its files."""
    old = st.session_state.pop(DRAFT_KEY, None)
    if old is not None:
        shutil.rmtree(Path(old).parent, ignore_errors=True)


def room_for_draft() -> Path:
    """Return a new folder for one draft, readable by nobody else; it goes when the program ends."""
    return Path(tempfile.mkdtemp(prefix="draft-", dir=_drafts()))


@lru_cache(maxsize=1)
def _drafts() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="fuelplan-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder
