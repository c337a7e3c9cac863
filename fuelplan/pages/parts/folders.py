"""Which site folders the pages offer: the one given at the start, and the demos of a source checkout."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import streamlit as st

from fuelplan import answers
from fuelplan.messages import Said, as_text
from fuelplan.pages.parts import houses, load, reading
from fuelplan.pages.parts.houses import demo_folder
from fuelplan.pages.parts.pieces import named, plain_label
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import new_house as new_house_texts
from fuelplan.units import reader


@dataclass(frozen=True)
class Offered:
    """A folder that the pages may open."""

    path: Path
    demo: bool
    draft: bool = False

    @property
    def label(self) -> Said:
        """What the chooser shows."""
        name = self.path.name.replace("_", " ")
        if self.draft:
            return new_house_texts.draft(name)
        return texts.house_demo(name) if self.demo else name


@dataclass(frozen=True)
class Chosen:
    """The folder and the day that the page answers for."""

    path: Path
    demo: bool
    as_of: date
    country: str | None = None


def offered() -> list[Offered]:
    """Return the folders to choose from: the given one first, then the person's own, then the demos."""
    path = houses.given_folder()
    found: list[Path] = []
    if path is not None:
        # A folder without site.toml is offered all the same: its page says what is missing.
        found = _sites_in(path) if path.is_dir() and not (path / "site.toml").exists() else []
        found = found or ([] if answers.is_round(path) else [path])
    found += [d for d in _sites_in(houses.place_for_houses()) if d not in found]
    found += [d for d in _sites_in(demo_folder()) if d not in found]
    draft = houses.draft()
    drafts = [] if draft is None else [Offered(draft, demo=False, draft=True)]
    return drafts + [Offered(path, demo_folder() in path.parents) for path in found]


def take(path: Path, day: date) -> None:
    """Choose a folder and a day for every page."""
    st.session_state["house_kept"] = str(path)
    st.session_state["day_kept"] = day


def first_index(found: list[Offered]) -> int:
    """Return which folder is shown at first: the draft where there is one, else the first."""
    return next((i for i, house in enumerate(found) if house.draft), 0)


def _sites_in(folder: Path) -> list[Path]:
    return sorted(toml.parent.resolve() for toml in folder.glob("*/site.toml")) if folder.is_dir() else []


def default_day(path: Path) -> date:
    """Return the day to answer for: the one that an example's folder names, or today."""
    return example_day(path) or _today(path)


def _today(path: Path) -> date:
    """Return today where the house stands; today here where its folder cannot be read."""
    try:
        return datetime.now(ZoneInfo(load.site(path).table.place.time_zone)).date()
    except answers.SiteFaults:
        return date.today()


def example_day(path: Path) -> date | None:
    """Return the day for which an example folder is made; None for all others and for faulty ones."""
    try:
        return load.site(path).table.example_date
    except answers.SiteFaults:
        return None


def name_of(chosen: Chosen) -> str:
    """Return what the person calls the place; the folder's name where that cannot be read."""
    try:
        return load.site(chosen.path).name
    except answers.SiteFaults:
        return chosen.path.name


def file_word(name: str, otherwise: str = "house") -> str:
    """Return a name as a part of a file's name that every system takes."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or otherwise


def choose() -> Chosen | None:
    """Let the person choose house and day; None where there is no folder at all."""
    houses_offered = offered()
    if not houses_offered:
        return None
    paths = [str(house.path) for house in houses_offered]
    kept = st.session_state.get("house_kept")
    with st.popover(as_text(texts.CHANGE), type="tertiary"):
        labels = {str(h.path): h.label for h in houses_offered}
        path = st.selectbox(
            as_text(texts.HOUSE),
            paths,
            index=paths.index(kept) if kept in paths else first_index(houses_offered),
            format_func=named(labels),
            help=as_text(texts.HOUSE_HELP),
        )
        house = houses_offered[paths.index(path)]
        if kept != path:
            st.session_state["house_kept"] = path
            st.session_state["day_kept"] = default_day(house.path)
        country = country_of(house.path)
        day = st.date_input(
            as_text(texts.DAY),
            st.session_state["day_kept"],
            help=as_text(texts.DAY_HELP),
            format=reading.date_field(country),
        )
        st.session_state["day_kept"] = day
        units_kept(country)
        reading.read_for(country)
        example = example_day(house.path)
        if example:
            st.caption(plain_label(texts.demo_note(example)))
    return Chosen(house.path, house.demo, day, country)


def units_kept(country: str | None) -> None:
    """Let the person choose the units; at first they are those of the country."""
    reading.read_for(country)
    system = st.segmented_control(
        as_text(texts.UNITS),
        list(texts.UNITS_NAMES),
        default=reader().system,
        format_func=named(texts.UNITS_NAMES),
        required=True,
        help=as_text(texts.UNITS_HELP),
        key=f"units-{country}",
    )
    if system != reader().system:
        reading.choose("us" if system == "us" else "metric")


def country_of(path: Path) -> str | None:
    """Return the country of a folder; None where it names none or cannot be read."""
    try:
        return load.site(path).table.place.country
    except answers.SiteFaults:
        return None
