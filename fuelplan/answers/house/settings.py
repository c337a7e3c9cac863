"""Settings of a folder changed one by one, or its `site.toml` as a whole; every change can be taken back."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from fuelplan import units
from fuelplan.answers.house.new import FieldFaults
from fuelplan.answers.house.new_values import too_long
from fuelplan.messages import Listed, Own, Refusal, Said, message, said_by
from fuelplan.records.folder import (
    MARK,
    MAX_TOML_BYTES,
    Value,
    changed_text,
    saving,
)
from fuelplan.records.folder import Change as Change
from fuelplan.records.folder import EditError as EditError
from fuelplan.records.folder import UndoError as UndoError
from fuelplan.records.round import open_books
from fuelplan.records.schema import SITE_FILE
from fuelplan.records.site import faults_with
from fuelplan.records.tables import Fault, SiteFaults

NOT_SAVED = message("saving.settings", "your settings were not saved")
LONGEST = 400
MOST = {
    "building.pellets_a_year": ("mass", 1e8),
    "building.heating_oil_a_year": ("volume", 1e5),
    "building.gas_a_year": ("energy", 1e9),
    "building.heat_a_year": ("energy", 1e9),
    "building.floor_area": ("area", 1e6),
    "boiler.rated": ("power", 1e5),
    "store.capacity": ("mass", 1e8),
    "store.reserve": ("mass", 1e8),
}
"""Beyond these a slip of the pen is meant, in the fixed unit of each quantity."""


@dataclass(frozen=True)
class HouseSetting:
    """One setting: its place in `site.toml`, what it takes, and whether it may be empty.

    `always` says that it is offered even where the file does not have it; `beside` names another one beside
    which it is.
    """

    key: tuple[str, ...]
    kind: Literal["text", "whole", "number"] = "text"
    needed: bool = False
    always: bool = True
    beside: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The setting's name: "store.reserve"."""
        return ".".join(self.key)


HOUSE_SETTINGS: tuple[HouseSetting, ...] = (
    HouseSetting(("name",), needed=True),
    HouseSetting(("place", "country")),
    HouseSetting(("place", "latitude"), "number", always=False),
    HouseSetting(("place", "longitude"), "number", always=False),
    HouseSetting(("building", "pellets_a_year"), always=False),
    HouseSetting(("building", "heating_oil_a_year"), always=False),
    HouseSetting(("building", "gas_a_year"), always=False),
    HouseSetting(("building", "heat_a_year"), always=False),
    HouseSetting(("building", "design_loss"), always=False),
    HouseSetting(("building", "design_outdoor"), always=False),
    HouseSetting(("building", "floor_area"), always=False),
    HouseSetting(("building", "indoor")),
    HouseSetting(("building", "heating_limit")),
    HouseSetting(("building", "people"), "whole"),
    HouseSetting(("boiler", "rated")),
    HouseSetting(("boiler", "installed"), "whole"),
    HouseSetting(("boiler", "full_load_efficiency")),
    HouseSetting(("boiler", "part_load_efficiency"), always=False),
    HouseSetting(("store", "capacity"), always=False),
    HouseSetting(("store", "length"), always=False),
    HouseSetting(("store", "width"), always=False),
    HouseSetting(("store", "height"), always=False),
    HouseSetting(("access", "inlet_below_ceiling"), always=False, beside=("store", "height")),
    HouseSetting(("store", "reserve"), needed=True),
    HouseSetting(("supply", "lead_time")),
    HouseSetting(("supply", "smallest_drop")),
    HouseSetting(("supply", "price")),
    HouseSetting(("risk", "per_order")),
    HouseSetting(("risk", "look_again_days"), "whole"),
)


def site_text(folder: Path) -> str:
    """Return the text of `site.toml` as it stands; :class:`EditError` where it cannot be read as text."""
    return open_books(folder).settings()


def settings_of(folder: Path) -> dict[str, str]:
    """Return every setting that the page offers, by name, as the file has it; empty where it has none.

    Parameters
    ----------
    folder
        The folder of a house.

    Returns
    -------
    dict
        "store.reserve" → "350 kg", in the order of :data:`HOUSE_SETTINGS`.

    Raises
    ------
    EditError
        Where the file cannot be read as TOML.
    """
    try:
        data = tomllib.loads(changed_text(site_text(folder), {}).removeprefix(MARK))
    except tomllib.TOMLDecodeError as error:
        raise EditError.because(
            "house.not_toml", "{file} is not TOML: {why}", file=Own(SITE_FILE), why=Own(str(error))
        ) from error
    found = {s: _value_at(data, s.key) for s in HOUSE_SETTINGS}
    return {
        s.name: "" if v is None else str(v)
        for s, v in found.items()
        if s.always or v is not None or (s.beside and _value_at(data, s.beside) is not None)
    }


@saving(NOT_SAVED)
def change_settings(folder: Path, expected: str, entries: Mapping[str, str]) -> int:
    """Write changed settings into `site.toml`, its comments and all else kept; return how many changed.

    Parameters
    ----------
    expected
        The file's text when the person saw it (:func:`site_text`).
    entries
        Text by setting; an empty one takes the line out, so that the usual is taken.

    Raises
    ------
    FieldFaults
        With a sentence for each setting that cannot be; nothing is written then.
    EditError
        Where the file was changed meanwhile, or cannot be changed.
    """
    before = settings_of(folder)
    changed = {n: text.strip() for n, text in entries.items() if text.strip() != before.get(n, "")}
    if not changed:
        return 0
    known = {s.name: s for s in HOUSE_SETTINGS}
    faults: dict[str, Said] = {}
    values: dict[tuple[str, ...], Value] = {}
    with units.bought_in(changed.get("place.country", before.get("place.country"))):
        for name, text in changed.items():
            try:
                values[known[name].key] = _value_of(known[name], text)
            except ValueError as error:
                faults[name] = said_by(error)
    if faults:
        raise FieldFaults(faults)
    text = changed_text(expected, values)
    wrong = faults_with(folder, text)
    if wrong:
        raise FieldFaults(_at_settings(wrong, changed))
    what = message(
        "change.settings", "changed in {file}: {names}", file=Own(SITE_FILE),
        names=Listed(tuple(Own(name) for name in changed), ", "),
    )  # fmt: skip
    open_books(folder).change_settings(expected, text, what)
    return len(changed)


@saving(NOT_SAVED)
def change_site_text(folder: Path, expected: str, text: str) -> None:
    """Replace the whole of `site.toml` by what a person wrote.

    Parameters
    ----------
    expected
        The file's text when the person saw it.
    text
        What it is to be; line ends become those of the file.

    Raises
    ------
    SiteFaults
        With every fault that the new text would bring; nothing is written then.
    EditError
        Where the file was changed meanwhile.
    """
    text = text.replace("\r\n", "\n")
    if "\r\n" in expected:
        text = text.replace("\n", "\r\n")
    if len(text.encode("utf-8")) > MAX_TOML_BYTES:
        said = message("house.text_too_long", "more than {most} bytes are not kept", most=MAX_TOML_BYTES)
        raise SiteFaults([Fault(SITE_FILE, None, "", said)])
    wrong = faults_with(folder, text)
    if wrong:
        raise SiteFaults(wrong)
    what = message("change.as_text", "{file} was edited as text", file=Own(SITE_FILE))
    open_books(folder).change_settings(expected, text, what)


def last_change(folder: Path) -> Change | None:
    """Return the folder's last change, to be shown and handed to :func:`undo_change`; None without one."""
    return open_books(folder).last_change()


@saving(message("saving.earlier_state", "the earlier state was not saved"))
def undo_change(folder: Path, shown: Change | None) -> Change:
    """Take the change back that :func:`last_change` showed: a reading, an order, a delivery, a setting, an
    import.

    Raises
    ------
    UndoError
        Where there is none, where another change followed the one that was shown, or where its file has been
        changed since by something else; nothing is undone then.
    """
    return open_books(folder).take_back(shown)


def _value_at(data: Mapping[str, Any], key: tuple[str, ...]) -> Any:
    at: Any = data
    for part in key:
        if not isinstance(at, Mapping) or part not in at:
            return None
        at = at[part]
    return None if isinstance(at, (Mapping, list)) else at


def _value_of(setting: HouseSetting, text: str) -> Value:
    if len(text) > LONGEST:
        raise Refusal(too_long(len(text), LONGEST))
    if not text:
        if setting.needed:
            raise Refusal.because("house.needed", "this cannot be left out")
        return None
    if setting.kind == "text":
        if setting.name == "supply.lead_time" and "day" not in text.casefold():
            return f"{text} working days"
        quantity, most = MOST.get(setting.name, ("", 0.0))
        read = units.parse_mass(text) if quantity == "mass" else quantity and units.parse(text, quantity)
        if read and read > most:
            raise Refusal.because(
                "house.setting_too_much", '"{written}" is too much to be meant', written=Own(text[:40])
            )
        return text
    try:
        return int(text) if setting.kind == "whole" else float(text)
    except ValueError:
        written = Own(text[:40])
        if setting.kind == "whole":
            said = message("house.setting_not_whole", '"{written}" is no whole number', written=written)
        else:
            said = message("house.setting_not_a_number", '"{written}" is no number', written=written)
        raise Refusal(said) from None


def _at_settings(faults: list[Fault], changed: Mapping[str, str]) -> dict[str, Said]:
    """Return each fault at the setting it comes from; what comes of another one goes to the first changed."""
    found: dict[str, Said] = {}
    for fault in faults:
        key = fault.key if fault.file == SITE_FILE else ""
        name = key if key in changed else next((n for n in changed if key and n.startswith(f"{key}.")), "")
        found.setdefault(name or next(iter(changed)), fault.said if name else fault.as_line())
    return found
