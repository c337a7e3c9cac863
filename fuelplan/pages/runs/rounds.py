"""Which rounds the dispatcher's page offers: the one given at the start, the person's own, and the demo."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import streamlit as st

from fuelplan import answers
from fuelplan.messages import Said, as_text
from fuelplan.pages.parts import houses, pieces, reading
from fuelplan.pages.parts.flash import flash
from fuelplan.pages.parts.folders import Chosen, units_kept
from fuelplan.pages.texts import runs as words

COPY_KEY, ROUND_KEY, DAY_KEY = "round-copy", "round-kept", "round-day-kept"


@dataclass(frozen=True)
class OfferedRound:
    """A round that the page may open."""

    path: Path
    demo: bool
    copy: bool = False

    @property
    def label(self) -> Said:
        """What the chooser shows."""
        name = self.path.name.replace("_", " ")
        if self.copy:
            return words.copy(name)
        return words.demo(name) if self.demo else name


def given_round() -> Path | None:
    """Return the folder that the pages were started with, where it is a round."""
    given = houses.given_folder()
    return given if given is not None and answers.is_round(given) else None


def offered() -> list[OfferedRound]:
    """Return the rounds to choose from: a copy first, then the given one, the person's own, the demos."""
    given = houses.given_folder()
    found = [] if given is None else [given] if answers.is_round(given) else _rounds_in(given)
    for place in (houses.place_for_houses(), houses.demo_folder()):
        found += [path for path in _rounds_in(place) if path not in found]
    kept = st.session_state.get(COPY_KEY)
    copies = [OfferedRound(Path(kept), demo=False, copy=True)] if kept and Path(kept).is_dir() else []
    return copies + [OfferedRound(path, houses.demo_folder() in path.parents) for path in found]


def _rounds_in(folder: Path) -> list[Path]:
    return sorted(toml.parent.resolve() for toml in folder.glob("*/round.toml")) if folder.is_dir() else []


def choose() -> Chosen | None:
    """Let the person choose round, day and units; None where there is no round at all."""
    rounds = offered()
    if not rounds:
        return None
    paths = [str(r.path) for r in rounds]
    kept = st.session_state.get(ROUND_KEY)
    with st.popover(as_text(words.CHANGE), type="tertiary"):
        path = st.selectbox(
            as_text(words.ROUND),
            paths,
            index=paths.index(kept) if kept in paths else 0,
            format_func=pieces.named({str(r.path): r.label for r in rounds}),
            help=as_text(words.ROUND_HELP),
        )
        chosen = rounds[paths.index(path)]
        country, zone, example = _told(chosen.path)
        if kept != path:
            st.session_state[ROUND_KEY] = path
            st.session_state[DAY_KEY] = example or datetime.now(zone).date()
        day = st.date_input(as_text(words.DAY), st.session_state[DAY_KEY], format=reading.date_field(country))
        st.session_state[DAY_KEY] = day
        units_kept(country)
        reading.read_for(country)
    return Chosen(chosen.path, chosen.demo, day, country)


def _told(path: Path) -> tuple[str | None, ZoneInfo, date | None]:
    """Return country, time zone and example day of a round; the usual where it cannot be read."""
    from fuelplan.pages.runs.load import the_round

    try:
        table = the_round(path, sound_only=True).table
    except answers.SiteFaults:
        return None, ZoneInfo("UTC"), None
    return table.place.country, ZoneInfo(table.place.time_zone), table.example_date


def demo_note(chosen: Chosen) -> None:
    """Say that this is a demo, and offer a copy."""
    pieces.small(words.demo_note(chosen.as_of))
    if not st.button(as_text(words.DEMO_COPY), key="copy-round"):
        return
    made = houses.room_for_draft() / chosen.path.name
    shutil.copytree(chosen.path, made, ignore=shutil.ignore_patterns(".*"))
    st.session_state[COPY_KEY] = st.session_state[ROUND_KEY] = str(made)
    flash(words.copied(chosen.path.name.replace("_", " ")))
    st.rerun()
