"""Reading the number in front of a unit: a plain decimal number with a point, or a sentence on what to write.

No text of a person reaches an expression parser: what is not one plain number is refused.
"""

from __future__ import annotations

import re

_SHOWN = 40
_LONGEST = 80
LARGEST = 1e12
_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_LEADING = re.compile(rf"({_NUMBER})\s*(.*)", re.DOTALL)
_COMMA = re.compile(r"([+-]?[0-9]{1,15}),([0-9]{1,15})(?![0-9.,])\s*(.*)", re.DOTALL)
_THOUSANDS = re.compile(
    r"(?P<whole>[+-]?[0-9]{1,3}(?P<mark>[,.'’\u00a0\u202f _])[0-9]{3}(?:(?P=mark)[0-9]{3})*)"
    r"(?:[.,](?P<part>[0-9]+))?(?![0-9.,'’_])\s*(?P<rest>.*)",
    re.DOTALL,
)
_FRACTION = re.compile(
    r"(?:[+-]?[0-9]{1,6}[ \u00a0]+)?[+-]?([0-9]{1,6})\s*[/⁄]\s*([0-9]{1,6})(?![0-9])|.*[¼½¾⅓⅔⅛]"
)
_NOT_A_NUMBER = re.compile(r"[+-]?(?:nan|inf|infinity|∞)\b|[+-]?∞", re.IGNORECASE)
_EXPRESSION = re.compile(rf"{_NUMBER}\s*(?:[eE][+-]?[0-9]|\*|×|[xX]\s*[0-9]|\^|\+\s*[0-9])")
_VAGUE = re.compile(r"(?:about|around|approx\.?|ca\.?|circa|roughly|~|≈|<|>|≤|≥)\s*", re.IGNORECASE)


class UnitError(ValueError):
    """A quantity that cannot be read; the sentence says what is wrong and what to write instead."""


def quoted(text: object) -> str:
    """Return a person's text in quotes, shortened and without control characters, to stand in a message."""
    shown = "".join(c if c.isprintable() else "?" for c in str(text)[: _SHOWN + 1])
    return f'"{shown[:_SHOWN]}…"' if len(shown) > _SHOWN else f'"{shown}"'


def plain(text: str) -> str:
    """Return the text with its surrounding space removed and a typographic minus made a plain one."""
    return text.strip().replace("\u2212", "-")


def read_number(text: str, example: str) -> tuple[float, str, str]:
    """Split "3.5 t" into its number, the number as written, and the rest.

    Parameters
    ----------
    text
        What the person wrote.
    example
        A right way to write the quantity, for the message.

    Raises
    ------
    UnitError
        For a decimal comma, separators of thousands, a fraction, an expression, no number, or one beyond
        1e12.
    """
    shown = quoted(text)
    stripped = plain(text)
    if not stripped:
        raise UnitError(f'nothing is written; write e.g. "{example}"')
    if len(stripped) > _LONGEST:
        raise UnitError(
            f'{shown} is {len(stripped)} characters long; write one number and its unit, e.g. "{example}"'
        )
    _refuse_other_ways(stripped, shown, example)
    found = _LEADING.fullmatch(stripped)
    if found is None:
        raise UnitError(f'{shown} does not begin with a number; write e.g. "{example}"')
    written, rest = found.groups()
    value = float(written)
    if abs(value) > LARGEST:
        raise UnitError(f"{shown} is too large to be meant")
    if rest[:1] in {".", ",", "'", "’", "_"}:
        raise UnitError(f'{shown} does not hold one plain number; write e.g. "{example}"')
    return value, written, rest.strip()


def _refuse_other_ways(text: str, shown: str, example: str) -> None:
    """Raise for the ways of writing a number that are understood but not accepted, saying what to write."""
    if _NOT_A_NUMBER.match(text):
        raise UnitError(f'{shown} is not a number; write e.g. "{example}"')
    vague = _VAGUE.match(text)
    if vague:
        raise UnitError(
            f"{shown}: leave out {quoted(vague.group(0).strip())} and write the number and its unit alone"
        )
    if _FRACTION.match(text):
        raise UnitError(f'{shown}: write the fraction as a decimal number, as in "{example}"')
    _refuse_commas(text, shown)
    if _EXPRESSION.match(text):
        raise UnitError(
            f'{shown}: write one plain number without powers of ten or signs of arithmetic, e.g. "{example}"'
        )


def _refuse_commas(text: str, shown: str) -> None:
    """Raise for a decimal comma or separators of thousands; `1,500` could be either, so both are offered."""
    comma = _COMMA.fullmatch(text)
    if comma:
        whole, part, rest = comma.groups()
        tail = f" {rest}" if rest else ""
        if len(part) == 3 and len(whole.lstrip("+-")) <= 3 and whole.lstrip("+-") != "0":
            raise UnitError(
                f'{shown}: a comma has two readings; write "{whole}{part}{tail}" or "{whole}.{part}{tail}"'
            )
        raise UnitError(f'{shown}: write a decimal point, "{whole}.{part}{tail}"')
    grouped = _THOUSANDS.fullmatch(text)
    if not grouped or (grouped["mark"] == "." and grouped["whole"].count(".") == 1 and not grouped["part"]):
        return  # "1.500 t" is a plain decimal number
    number = re.sub(r"[^0-9+-]", "", grouped["whole"]) + (f".{grouped['part']}" if grouped["part"] else "")
    tail = f" {grouped['rest']}" if grouped["rest"] else ""
    raise UnitError(f'{shown}: write the number without separators of thousands, "{number}{tail}"')
