"""Reading the number in front of a unit: a plain decimal number with a point, or a sentence on what to write.

No text of a person reaches an expression parser: what is not one plain number is refused.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypeAlias

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
    """A quantity that cannot be read; it says what is wrong and what to write instead.

    Its message is plain data, since this room stands above `messages`, whose `said_by` makes a `Message` of
    it; a phrase of a sentence is one, too, and then never raised. `str(error)` is the English sentence.

    Parameters
    ----------
    code
        "units.what_is_said", used once.
    template
        English, with a `{name}` for each value.
    values
        What stands at the names: a text as somebody wrote it, a whole number, texts of which one is to be
        chosen, or another error.
    """

    def __init__(self, code: str, template: str, /, **values: Part) -> None:
        """Keep the message."""
        super().__init__(code, template)
        self.code, self.template, self.values = code, template, values

    def __str__(self) -> str:
        """Return the English sentence."""
        return _PLACE.sub(lambda place: _in_english(self.values[place[1]]), self.template)

    def __reduce__(self) -> tuple[Callable[..., UnitError], tuple[Any, ...]]:
        """Return how it is made anew in another process."""
        return _again, (type(self), self.code, self.template, self.values)


Part: TypeAlias = "str | int | tuple[str, ...] | UnitError"
_PLACE = re.compile(r"\{(\w+)\}")


def _again(kind: type[UnitError], code: str, template: str, values: dict[str, Part]) -> UnitError:
    return kind(code, template, **values)


def _in_english(value: Part) -> str:
    if isinstance(value, tuple):
        return ", ".join([*value[:-2], " or ".join(value[-2:])])
    return f"{value:,}" if isinstance(value, int) else str(value)


def about(text: object, reason: UnitError) -> UnitError:
    """Return what is wrong with a text of a person, named before the reason: '"7 hp": "hp" has …'."""
    return UnitError("units.about", '"{written}": {reason}', written=shortened(text), reason=reason)


def shortened(text: object) -> str:
    """Return a person's text, shortened and without control characters, to stand in a message."""
    shown = "".join(c if c.isprintable() else "?" for c in str(text)[: _SHOWN + 1])
    return f"{shown[:_SHOWN]}…" if len(shown) > _SHOWN else shown


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
    shown = shortened(text)
    stripped = plain(text)
    if not stripped:
        raise UnitError(
            "units.nothing_written", 'nothing is written; write e.g. "{example}"', example=example
        )
    if len(stripped) > _LONGEST:
        raise UnitError(
            "units.too_long",
            '"{written}" is {length} characters long; write one number and its unit, e.g. "{example}"',
            written=shown, length=str(len(stripped)), example=example,
        )  # fmt: skip
    _refuse_other_ways(stripped, text, example)
    found = _LEADING.fullmatch(stripped)
    if found is None:
        raise UnitError(
            "units.begins_otherwise", '"{written}" does not begin with a number; write e.g. "{example}"',
            written=shown, example=example,
        )  # fmt: skip
    written, rest = found.groups()
    value = float(written)
    if abs(value) > LARGEST:
        raise UnitError("units.too_large", '"{written}" is too large to be meant', written=shown)
    if rest[:1] in {".", ",", "'", "’", "_"}:
        raise UnitError(
            "units.not_one_number", '"{written}" does not hold one plain number; write e.g. "{example}"',
            written=shown, example=example,
        )  # fmt: skip
    return value, written, rest.strip()


def _refuse_other_ways(text: str, whole: str, example: str) -> None:
    """Raise for the ways of writing a number that are understood but not accepted, saying what to write."""
    if _NOT_A_NUMBER.match(text):
        raise UnitError(
            "units.not_a_number", '"{written}" is not a number; write e.g. "{example}"',
            written=shortened(whole), example=example,
        )  # fmt: skip
    vague = _VAGUE.match(text)
    if vague:
        raise about(
            whole,
            UnitError(
                "units.vague",
                'leave out "{word}" and write the number and its unit alone',
                word=shortened(vague.group(0).strip()),
            ),
        )
    if _FRACTION.match(text):
        raise about(
            whole,
            UnitError(
                "units.fraction", 'write the fraction as a decimal number, as in "{example}"', example=example
            ),
        )
    _refuse_commas(text, whole)
    if _EXPRESSION.match(text):
        raise about(
            whole,
            UnitError(
                "units.expression",
                'write one plain number without powers of ten or signs of arithmetic, e.g. "{example}"',
                example=example,
            ),
        )


def _refuse_commas(text: str, written: str) -> None:
    """Raise for a decimal comma or separators of thousands; `1,500` could be either, so both are offered."""
    comma = _COMMA.fullmatch(text)
    if comma:
        whole, part, rest = comma.groups()
        tail = f" {rest}" if rest else ""
        point = f"{whole}.{part}{tail}"
        if len(part) == 3 and len(whole.lstrip("+-")) <= 3 and whole.lstrip("+-") != "0":
            raise about(
                written,
                UnitError(
                    "units.two_readings",
                    'a comma has two readings; write "{whole}" or "{point}"',
                    whole=f"{whole}{part}{tail}",
                    point=point,
                ),
            )
        raise about(written, UnitError("units.comma", 'write a decimal point, "{point}"', point=point))
    grouped = _THOUSANDS.fullmatch(text)
    if not grouped or (grouped["mark"] == "." and grouped["whole"].count(".") == 1 and not grouped["part"]):
        return  # "1.500 t" is a plain decimal number
    number = re.sub(r"[^0-9+-]", "", grouped["whole"]) + (f".{grouped['part']}" if grouped["part"] else "")
    tail = f" {grouped['rest']}" if grouped["rest"] else ""
    raise about(
        written,
        UnitError(
            "units.thousands",
            'write the number without separators of thousands, "{number}"',
            number=f"{number}{tail}",
        ),
    )
