"""Charts drawn once: putting one together and checking it takes longer than all the rest of a page."""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Callable
from typing import Any

import streamlit as st

from fuelplan.charts import in_language
from fuelplan.messages import Said, as_text
from fuelplan.pages.parts import reading


def _spec(name: str, _make: Callable[[], Any]) -> dict[str, Any]:
    return in_language(_make().to_dict())


def _drawing(name: str, _make: Callable[[], list[str]]) -> list[str]:
    return _make()


_specs = st.cache_data(_spec, max_entries=64, show_spinner=False)
_drawings = st.cache_data(_drawing, max_entries=32, show_spinner=False)


def chart(source: object, make: Callable[[], Any], alt: Said, *, key: str) -> None:
    """Show a chart with its text alternative.

    Parameters
    ----------
    source
        All that the chart is made from besides the theme and the reader: the same again gives the same chart.
    make
        Makes the chart where it has not been made yet.
    """
    spec = _specs(_name(key, source), make)
    st.vega_lite_chart(None, spec, theme=None, width="stretch", alt=as_text(alt), key=key)


def drawings(source: object, make: Callable[[], list[str]], *, key: str) -> list[str]:
    """Return drawings as SVG text, made where they have not been made yet from the same source."""
    found: list[str] = _drawings(_name(key, source), make)
    return found


def _name(key: str, source: object) -> str:
    """Return what tells this picture from all others, by the content of what it is made from."""
    mark = hashlib.sha256(pickle.dumps(source)).hexdigest()
    return f"{key} {mark} {st.context.theme.type} {reading.key()}"
