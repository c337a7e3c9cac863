"""What a model of pydantic refuses of its own account, in words that say what to write."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from fuelplan.messages import Listed, Message, Own, message


def refused(kind: str, limits: Mapping[str, Any], found: str, otherwise: str) -> Message:
    """Return what is said of one value.

    Parameters
    ----------
    kind, limits
        pydantic's name for what is wrong, and the limits that belong to it.
    found
        The value, as it was found.
    otherwise
        What pydantic says, for a kind that is not known here.
    """
    at, wrong = Own(found), {name: Own(_plain(value)) for name, value in limits.items()}
    match kind:
        case "greater_than":
            return message(
                "value.more_than", "must be more than {limit}; found {found}", limit=wrong["gt"], found=at
            )
        case "greater_than_equal":
            return message(
                "value.or_more", "must be {limit} or more; found {found}", limit=wrong["ge"], found=at
            )
        case "less_than":
            return message(
                "value.less_than", "must be less than {limit}; found {found}", limit=wrong["lt"], found=at
            )
        case "less_than_equal":
            return message(
                "value.or_less", "must be {limit} or less; found {found}", limit=wrong["le"], found=at
            )
        case "string_too_long":
            return message(
                "value.too_long", "must have at most {most} letters; found {found}",
                most=wrong["max_length"], found=at,
            )  # fmt: skip
        case "string_too_short":
            return message("value.empty", "must not be empty; found {found}", found=at)
        case "literal_error":
            return message(
                "value.one_of", "must be one of {expected}; found {found}",
                expected=_listed(str(limits["expected"])), found=at,
            )  # fmt: skip
        case "bool_type":
            return message(
                "value.true_or_false", "write true or false, without quotes; found {found}", found=at
            )
        case "int_parsing" | "int_type":
            return message(
                "value.whole_number", "write a whole number, without quotes; found {found}", found=at
            )
        case "float_parsing" | "float_type":
            return message("value.number", "write a number, without quotes; found {found}", found=at)
        case "string_type":
            return message("value.text", "write text in quotes; found {found}", found=at)
    return message("value.otherwise", "{why}; found {found}", why=Own(otherwise), found=at)


def _listed(expected: str) -> Listed:
    """Return the words of "'a', 'b' or 'c'", each in its quotes."""
    return Listed(tuple(map(Own, re.findall(r"'[^']*'|-?[0-9]+", expected))), "or")


def _plain(limit: Any) -> str:
    return f"{limit:g}" if isinstance(limit, int | float) else str(limit)
