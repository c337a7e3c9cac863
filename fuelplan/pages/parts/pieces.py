"""Small pieces of page: a person's own words go through here, and never become HTML or Markdown."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import TypeAlias

import streamlit as st

from fuelplan.messages import Said, Value, as_text
from fuelplan.units import one_line

Shown: TypeAlias = "Said | Value"
"""What a piece shows: something said, or a value alone."""


@dataclass(frozen=True)
class Fact:
    """One fact: what it is, its value, and a few words under it."""

    name: Shown
    value: Shown
    note: Shown = ""


def _html(said: Shown) -> str:
    """Return a text in one line in which nothing is HTML, and nothing turns the order of letters round."""
    return escape(one_line(as_text(said)))


def kicker(text: Shown) -> None:
    """Show a quiet line above a heading."""
    st.html(f'<p class="fp-kicker">{_html(text)}</p>')


def answer(text: Shown) -> None:
    """Show the answer as the heading of the page."""
    st.html(f'<h1 class="fp-answer">{_html(text)}</h1>')


def short_answer(text: Shown) -> None:
    """Show the answer to one question among several."""
    st.html(f'<p class="fp-short">{_html(text)}</p>')


def say(text: Shown) -> None:
    """Show a sentence or two at reading size."""
    st.html(f'<p class="fp-say">{_html(text)}</p>')


def small(text: Shown) -> None:
    """Show a quiet explanation."""
    st.html(f'<p class="fp-small">{_html(text)}</p>')


def small_list(lines: Iterable[Shown]) -> None:
    """Show quiet explanations, a point each."""
    lines = list(lines)
    if not lines:
        return
    points = "".join(f"<li>{_html(line)}</li>" for line in lines)
    st.html(f'<ul class="fp-list">{points}</ul>')


def field_fault(text: Shown) -> None:
    """Show what is wrong with the field above, and what to write instead; a screen reader says it at once."""
    st.html(f'<p class="fp-fault" role="alert">{_html(text)}</p>')


def done(text: Shown) -> None:
    """Show what was done; a screen reader says it."""
    st.html(f'<p class="fp-done" role="status">{_html(text)}</p>')


def foot(said: Shown) -> None:
    """Show what holds for every page."""
    st.html(f'<p class="fp-foot">{_html(said)}</p>')


def facts(items: Iterable[Fact]) -> None:
    """Show facts side by side, two by two on a telephone."""
    st.html(f'<dl class="fp-facts">{"".join(_fact(item) for item in items)}</dl>')


def _fact(item: Fact) -> str:
    note = f"<small>{_html(item.note)}</small>" if item.note else ""
    return f"<div><dt>{_html(item.name)}</dt><dd>{_html(item.value)}{note}</dd></div>"


def table(
    head: Sequence[Shown],
    rows: Iterable[Sequence[Shown]],
    *,
    changed: Sequence[bool] = (),
    stack: bool = False,
) -> None:
    """Show a table whose first column names the row.

    `changed` marks rows to make bold; `stack` turns each row into a little list on a telephone.
    """
    top = "".join(f'<th scope="col">{_html(cell)}</th>' for cell in head)
    body = []
    for i, row in enumerate(rows):
        cells = f'<th scope="row">{_html(row[0])}</th>' + "".join(
            f'<td data-head="{_html(head[j])}">{_html(cell)}</td>' for j, cell in enumerate(row[1:], start=1)
        )
        mark = ' class="fp-changed"' if i < len(changed) and changed[i] else ""
        body.append(f"<tr{mark}>{cells}</tr>")
    kind = "fp-table fp-stack" if stack else "fp-table"
    st.html(
        f'<div class="fp-table-box"><table class="{kind}"><thead><tr>{top}</tr></thead>'
        f"<tbody>{''.join(body)}</tbody></table></div>"
    )


def notes(items: Iterable[tuple[Shown, Shown]], kind: str = "") -> None:
    """Show a list of sentences, each with a quiet reason under it; `kind` is "", "warn" or "danger"."""
    mark = f' class="fp-{kind}"' if kind else ""
    lines = "".join(
        f"<li{mark}>{_html(text)}{f'<small>{_html(why)}</small>' if why else ''}</li>" for text, why in items
    )
    if lines:
        st.html(f'<ul class="fp-notes">{lines}</ul>')


def drawings(svgs: Sequence[str], alt: Shown) -> None:
    """Show drawings side by side, as images: what stands inside a drawing cannot act on the page.

    The first carries the text alternative for all; on a telephone each takes the width there is.
    """
    images = [
        f'<img alt="{_html(alt) if i == 0 else ""}" class="fp-drawing" '
        f'src="data:image/svg+xml;base64,{b64encode(svg.encode()).decode()}">'
        for i, svg in enumerate(svgs)
    ]
    st.html(f'<div class="fp-drawings">{"".join(images)}</div>')


def plain_label(said: Shown) -> str:
    """Return a text that may hold a person's own for a widget's label, where Markdown would be read."""
    return "".join(f"\\{c}" if c in r"\`*_{}[]<>()#+-.!|~:$" else c for c in one_line(as_text(said)))


def named(names: Mapping[str, Shown]) -> Callable[[object], str]:
    """Return what a field to choose in shows for each of its options."""
    return lambda option: as_text(names[str(option)])
