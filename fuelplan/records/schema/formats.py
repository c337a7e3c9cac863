"""Folders of an older format, opened as if they were written today.

The format number of a folder says by which names its TOML file goes. A step lifts such a file by one number:
it changes names and values in place, so that it serves both the table as read and the document that is
written back with its comments. Opening a folder writes nothing; the first change that is saved writes the
newest format.

Tables, in CSV or Parquet, are found by the names of their columns, and each says what it means where it is
absent. A word in them that a step renames is read under both names, whatever number the folder has: a table
comes from elsewhere, and is brought in, without the TOML file being touched. Only the new word is written.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, MutableMapping, Sequence
from typing import Any

from fuelplan.messages import Own, Refusal

Step = Callable[[MutableMapping[str, Any]], None]


def numbered(table: MutableMapping[str, Any]) -> None:
    """Lift 0 to 1: folders were given a number, and nothing else changed."""


CONTRACTS_BEFORE_2 = {"managed": "top-up", "will-call": "on request"}
"""How a round of format 1 wrote the contracts of its customers, and what they are called since."""


def contracts_renamed(table: MutableMapping[str, Any]) -> None:
    """Lift 1 to 2: contracts got their everyday names, which stand in the customers' table alone."""


SITE_STEPS: tuple[Step, ...] = (numbered,)
ROUND_STEPS: tuple[Step, ...] = (numbered, contracts_renamed)


def number_of(table: Mapping[str, Any], newest: int) -> int:
    """Return the format number of a file's table; 0 where it has none, as before there were numbers.

    Raises
    ------
    Refusal
        Where it is no number, or one that this program does not know.
    """
    number = table.get("format", 0)
    if not isinstance(number, int) or isinstance(number, bool) or number < 0:
        raise Refusal.because(
            "format.whole", "must be a whole number such as {newest}", newest=Own(str(newest))
        )
    if number > newest:
        raise Refusal.because(
            "format.newer",
            "this folder has format {number}; this program knows formats up to {newest}. Update fuelplan",
            number=Own(str(number)), newest=Own(str(newest)),
        )  # fmt: skip
    return int(number)


def lift(table: MutableMapping[str, Any], steps: Sequence[Step]) -> int:
    """Lift a file's table to the newest format, in place; return the number it had.

    Parameters
    ----------
    table
        What `tomllib` or `tomlkit` gives; it is changed.
    steps
        One for each format number, the oldest first.
    """
    number = number_of(table, len(steps))
    for step in steps[number:]:
        step(table)
    if number < len(steps):
        table["format"] = len(steps)
    return number
