"""Changing `site.toml` as its owner would: the value and nothing else; comments and unknown lines stay."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Table
from tomlkit.toml_document import TOMLDocument

from fuelplan.messages import Own, said_by
from fuelplan.records.folder.text_files import MARK, EditError
from fuelplan.records.schema import SITE_FILE, SITE_STEPS, Step, lift

Value = str | int | float | bool | date | list[float] | None
Key = tuple[str, ...]


def toml_value(value: str) -> str:
    """Return a text as TOML writes it, quotes and all."""
    return tomlkit.item(value).as_string()


def changed_text(text: str, changes: Mapping[Key, Value], steps: Sequence[Step] = SITE_STEPS) -> str:
    """Return the text with these keys set, or removed where the value is None.

    A text of an older format becomes one of the newest, all else in it kept.

    Parameters
    ----------
    changes
        Values by the path of their key: ("store", "reserve").

    Raises
    ------
    EditError
        Where the text is not TOML or of a format to come, or a key stands where a table is needed.
    """
    try:
        plain = text.removeprefix(MARK)
        document = tomlkit.parse(plain)
        lift(document, steps)
        for key, value in changes.items():
            _change(document, key, value)
        return text[: len(text) - len(plain)] + tomlkit.dumps(document)
    except (TOMLKitError, RecursionError) as error:
        raise EditError.because(
            "edit.not_toml", "{file} is not TOML: {why}", file=Own(SITE_FILE), why=Own(str(error))
        ) from error
    except EditError:
        raise
    except ValueError as error:
        raise EditError.because(
            "edit.format", "{file}: format {why}", file=Own(SITE_FILE), why=said_by(error)
        ) from error


def _change(document: TOMLDocument, key: Key, value: Value) -> None:
    *tables, name = key
    at: TOMLDocument | Table = document
    for part in tables:
        if part not in at:
            if value is None:
                return
            at[part] = tomlkit.table()
        inner = at[part]
        if isinstance(inner, AoT) or not isinstance(inner, Table):
            raise EditError.because(
                "edit.as_text", "{key} cannot be changed here; edit {file} as text",
                key=Own(".".join(key)), file=Own(SITE_FILE),
            )  # fmt: skip
        at = inner
    if value is None:
        if name in at:
            at.remove(name)
        return
    at[name] = value  # what stands behind the value in its line, tomlkit keeps
