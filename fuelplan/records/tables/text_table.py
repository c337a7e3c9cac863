"""A table's text as columns of cells, with the row of each."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import message
from fuelplan.records.schema import FILES, names_of
from fuelplan.records.tables.cell_sheet import CellSheet
from fuelplan.records.tables.delimited import (
    LOST,
    OPEN_QUOTE,
    delimiter_of,
    empty_fault,
    fitting_rows,
    header_faults,
    hint_of,
    holds_row,
)
from fuelplan.records.tables.faults import Fault

if TYPE_CHECKING:
    import pandas as pd

Ints = NDArray[np.int64]
MAX_CSV_BYTES = 400_000_000


def sheet_of_text(file: str, text: str, kind: str) -> tuple[CellSheet | None, list[Fault]]:
    """Return the cells of a CSV text.

    Parameters
    ----------
    file
        For the faults.
    kind
        A table of a round: "customers", "deliveries", …

    Returns
    -------
    The cells, or None where the columns cannot be told, and the faults of rows and columns.
    """
    columns = names_of(kind)
    if not text.strip():
        return None, [empty_fault(file, columns)]
    table, faults = table_of_text(file, text)
    if table is None:
        return None, faults
    needed = [column.name for column in FILES[kind] if column.needed]
    header = [name.lower() for name in table.header]
    wrong = header_faults(file, table.header_row, header, columns, needed)
    if wrong:
        return None, [*faults, *wrong]
    kept = {name: table.frame[i] for i, name in enumerate(header) if name in columns}
    return CellSheet(file, kept, table.row, table.delimiter), faults


@dataclass(frozen=True)
class TextTable:
    """A CSV file as it stands: names, cells as text, rows as a spreadsheet numbers them.

    `encoding` is that of a table from elsewhere, `encodings` those it may be in, each with the first words
    that show it.
    """

    header: list[str]
    header_row: int
    frame: pd.DataFrame
    row: Ints
    delimiter: str
    encoding: str = ""
    encodings: Mapping[str, str] = field(default_factory=dict)


def table_of_text(file: str, text: str) -> tuple[TextTable | None, list[Fault]]:
    """Return the cells of a CSV text with any columns; blank rows are left out, rows too long are faults."""
    import pandas as pd

    hint, delimiter = hint_of(text), delimiter_of(text)
    skipped = 1 if hint else 0
    faults: list[Fault] = []
    try:
        frame = pd.read_csv(
            io.StringIO(text[len(hint) :]),
            sep=delimiter,
            header=None,
            dtype=str,
            na_filter=False,
            skip_blank_lines=False,
            engine="c",
            low_memory=False,
        )
    except (pd.errors.ParserError, pd.errors.EmptyDataError, OverflowError):
        frame, faults = _row_by_row(file, text, delimiter)
    except MemoryError:
        return None, [
            Fault(
                file, None, "",
                message("table.memory", "the file does not fit into memory; write it as Parquet"),
            )
        ]  # fmt: skip
    row = np.arange(1 + skipped, len(frame) + 1 + skipped, dtype=np.int64)
    if "_row" in frame:
        row = frame.pop("_row").to_numpy(np.int64)
    faults += _open_quotes(file, text, frame, row, delimiter)
    for name in frame.columns:
        frame[name] = frame[name].fillna("").str.strip()
    filled = np.zeros(len(frame), bool)
    for name in frame.columns:
        filled |= (frame[name] != "").to_numpy(bool)
    if not filled.any():
        return None, [*faults, Fault(file, None, "", message("table.no_header", "no line names the columns"))]
    frame, row = frame[filled], row[filled]
    header = [str(cell) for cell in frame.iloc[0]]
    header_row = int(row[0])
    frame, row = frame.iloc[1:].reset_index(drop=True), row[1:]
    while header and header[-1] == "" and bool((frame[len(header) - 1] == "").all()):
        header.pop()  # spreadsheets write empty columns at the end
    frame = frame[list(range(len(header)))]
    return TextTable(header, header_row, frame, row, delimiter), faults


def _open_quotes(file: str, text: str, frame: pd.DataFrame, row: Ints, delimiter: str) -> list[Fault]:
    """Return the rows of which a cell holds what looks like other rows, after a line break."""
    if len(frame) >= text.count("\n"):
        return []  # no row is of two lines
    found = []
    for name in frame.columns:
        broken = frame[name].str.contains("\n", regex=False, na=False).to_numpy(bool)
        for at in np.flatnonzero(broken).tolist():
            if holds_row(str(frame[name].iloc[at]), delimiter, frame.shape[1]):
                found.append(Fault(file, int(row[at]), "", OPEN_QUOTE, rule=LOST))
    return found


def _row_by_row(file: str, text: str, delimiter: str) -> tuple[pd.DataFrame, list[Fault]]:
    """Return the rows that fit the header, one by one, with a fault for each of the others."""
    import pandas as pd

    faults: list[Fault] = []
    rows: list[list[str]] = []
    numbers: list[int] = []
    width = 0
    for span in fitting_rows(file, text, delimiter, faults):
        width = width or len(span.cells)
        rows.append([*span.cells[:width], *[""] * (width - len(span.cells))])
        numbers.append(span.number)
    frame: Any = pd.DataFrame(rows, columns=range(width), dtype=str)
    frame["_row"] = numbers
    return frame, faults
