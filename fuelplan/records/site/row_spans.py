"""Where each row of a CSV text stands, so that one can be changed and every other byte stays."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class RowSpan:
    """One row: its cells, where it stands in the text, the line it ends in, and its number as a row."""

    cells: list[str]
    start: int
    end: int
    last_line: int
    number: int


def row_spans(text: str, delimiter: str = ",") -> Iterator[RowSpan]:
    """Yield every row of a CSV text, the one that names the columns and blank ones too.

    Raises
    ------
    csv.Error
        Where the text is no CSV, e.g. an open quote at its end.
    """
    taken = 0

    def lines() -> Iterator[str]:
        nonlocal taken
        for line in io.StringIO(text, newline=""):
            taken += len(line)
            yield line

    reader = csv.reader(lines(), delimiter=delimiter, strict=True)
    start = 0
    for number, cells in enumerate(reader, 1):
        yield RowSpan(cells, start, taken, reader.line_num, number)
        start = taken
