"""Fields that say what they are for, and show what is wrong right under what was written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import streamlit as st

from fuelplan.messages import Said, as_text
from fuelplan.pages.parts import pieces

LONGEST = 120


@dataclass(frozen=True)
class Form:
    """The fields of one form: what was written outlasts a visit to another page.

    `name` begins every key; `faults` holds a sentence by field.
    """

    name: str
    faults: Mapping[str, Said]

    def key(self, field: str) -> str:
        """Return a field's key in the session."""
        return f"{self.name}-{field}"

    def kept(self, field: str, otherwise: Any = "") -> Any:
        """Return what was last written into a field."""
        return st.session_state.get(f"{self.name}-kept", {}).get(field, otherwise)

    def text(self, field: str, label: Said, why: Said, *, start: str = "", longest: int = LONGEST) -> None:
        """Show a field for text."""
        st.text_input(as_text(label), self._start(field, start), max_chars=longest, key=self.key(field))
        self._under(field, why)

    def area(self, field: str, label: Said, why: Said, *, start: str = "", longest: int = 400) -> None:
        """Show a field for a longer text."""
        value = self._start(field, start)
        st.text_area(as_text(label), value, max_chars=longest, height="content", key=self.key(field))
        self._under(field, why)

    def choice(
        self, field: str, label: Said, why: Said, options: Mapping[str, Said], none: Said | None
    ) -> None:
        """Show a field to choose in; `none` is shown where nothing need be chosen."""
        keys = list(options)
        kept = self.kept(field, None)
        index = keys.index(kept) if kept in keys else None if none is not None else 0
        st.selectbox(
            as_text(label),
            keys,
            index=index,
            format_func=pieces.named(options),
            placeholder=None if none is None else as_text(none),
            key=self.key(field),
        )
        self._under(field, why)

    def day(self, field: str, label: Said, why: Said, written: str) -> None:
        """Show a field for a day, empty at first; `written` is how the country writes dates."""
        kept: date | None = self.kept(field, None)
        st.date_input(as_text(label), kept, format=written, key=self.key(field))
        self._under(field, why)

    def tick(self, field: str, label: Said, why: Said) -> None:
        """Show a box to tick."""
        st.checkbox(as_text(label), bool(self.kept(field, False)), key=self.key(field))
        self._under(field, why)

    def file(self, field: str, label: Said, why: Said, endings: list[str]) -> None:
        """Show a field for a file of a person's own."""
        st.file_uploader(as_text(label), endings, key=self.key(field))
        self._under(field, why)

    def read(self, fields: Mapping[str, Any]) -> dict[str, Any]:
        """Return what is written in the fields, by name, and keep it; `fields` holds what none stands for."""
        found = {f: st.session_state.get(self.key(f), self.kept(f, none)) for f, none in fields.items()}
        found = {f: none if found[f] is None else found[f] for f, none in fields.items()}
        st.session_state[f"{self.name}-kept"] = found
        return found

    def forget(self) -> None:
        """Forget what was written, once it is saved."""
        st.session_state.pop(f"{self.name}-kept", None)

    def _start(self, field: str, start: str) -> str:
        return str(self.kept(field, start))

    def _under(self, field: str, why: Said) -> None:
        if field in self.faults:
            pieces.field_fault(self.faults[field])
        pieces.small(why)
