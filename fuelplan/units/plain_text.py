"""What a person or a server wrote, in one line that is what it seems to be: nothing in it steers or turns."""

from __future__ import annotations

import re

STEERING = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u206f\ufff9-\ufffb]"
)
"""What steers a terminal, breaks a line unseen, or turns the order of letters round: no name needs it.

Right-to-left letters themselves are not among them: they turn nothing but themselves.
"""
BREAKS = re.compile("[\t\n\x0b\x0c\r\x1c-\x1e\x85\u2028\u2029]+")


NOT_ONE_LINE = f"{STEERING.pattern[:-1]}\t\n\r]"
_NOT_ONE_LINE = re.compile(NOT_ONE_LINE)


def is_one_line(text: str) -> bool:
    """Tell whether a text is one line in which nothing steers or turns."""
    return _NOT_ONE_LINE.search(text) is None


def one_line(text: str) -> str:
    """Return a text in one line: a space for line breaks and tabs, "?" for what steers or turns."""
    return text if is_one_line(text) else STEERING.sub("?", BREAKS.sub(" ", text)).strip()


def escaped(text: str) -> str:
    r"""Return a JSON text in which what steers stands as its number, e.g. ``\u202e``: it means the same."""
    return STEERING.sub(lambda found: f"\\u{ord(found[0]):04x}", text)
