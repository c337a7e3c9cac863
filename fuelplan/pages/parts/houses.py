"""Where a person's houses are kept, and the drafts of houses that have no folder of their own yet."""

from __future__ import annotations

import atexit
import contextlib
import os
import shutil
import stat
import sys
import tempfile
import threading
import time
from functools import lru_cache
from pathlib import Path

import streamlit as st
from streamlit import runtime
from streamlit.runtime.scriptrunner import get_script_run_ctx

import fuelplan

PLACE_VARIABLE = "FUELPLAN_HOUSES"
PLACE_NAME = "fuelplan_houses"
DRAFT_KEY = "draft-house"
DRAFTS_PREFIX, DRAFT_PREFIX = "fuelplan-drafts-", "draft-"
DRAFT_LIVES_S = 20 * 3600.0  # after the visit was last seen open: looked after hourly, it goes within a day
LOOK_S = 3600.0
_VISITS: dict[Path, str] = {}
"""The visit that each draft belongs to."""


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
    """Return a new folder for one draft, readable by nobody else; it goes when the program ends, or within a
    day of the end of the visit.
    """
    made = Path(tempfile.mkdtemp(prefix=DRAFT_PREFIX, dir=_drafts()))
    context = get_script_run_ctx(suppress_warning=True)
    _VISITS[made] = "" if context is None else context.session_id
    return made


def sweep_drafts(now: float) -> None:
    """Remove the drafts of visits closed long ago, and those that a program that was killed left."""
    for place in filter(_is_ours, Path(tempfile.gettempdir()).glob(f"{DRAFTS_PREFIX}*")):
        for made in filter(_is_ours, place.glob(f"{DRAFT_PREFIX}*")):
            with contextlib.suppress(OSError):
                if _is_open(made):
                    os.utime(made, (now, now))
                elif now - made.stat().st_mtime > DRAFT_LIVES_S:
                    shutil.rmtree(made)
        with contextlib.suppress(OSError):
            if now - place.stat().st_mtime > DRAFT_LIVES_S and place != _drafts():
                place.rmdir()  # only where nothing is left in it


def _is_ours(folder: Path) -> bool:
    """Tell whether a folder is one, no link to another, and belongs to who runs this program."""
    try:
        found = folder.lstat()
    except OSError:
        return False
    return stat.S_ISDIR(found.st_mode) and (not hasattr(os, "getuid") or found.st_uid == os.getuid())


def _is_open(made: Path) -> bool:
    """Tell whether the visit that a draft belongs to is open in a browser."""
    visit = _VISITS.get(made)
    return bool(visit) and runtime.exists() and runtime.get_instance().is_active_session(str(visit))


def _look_after_drafts() -> None:
    while True:
        time.sleep(LOOK_S)
        sweep_drafts(time.time())


@lru_cache(maxsize=1)
def _drafts() -> Path:
    folder = Path(tempfile.mkdtemp(prefix=DRAFTS_PREFIX))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    threading.Thread(target=_look_after_drafts, daemon=True).start()
    return folder
