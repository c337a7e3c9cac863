"""The cells of one file: as columns, which many rows need, or row by row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    import pandas as pd

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class CellSheet:
    """The cells of one file.

    Attributes
    ----------
    columns
        By name: text without surrounding space ("" for nothing written), or typed values from Parquet.
    row
        Shape (n,), number of each row as a spreadsheet shows it (from Parquet: 1 is the first).
    delimiter
        What parts the columns; "" for Parquet.
    """

    file: str
    columns: dict[str, pd.Series]
    row: Ints
    delimiter: str = ","

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.row)

    def written(self, name: str) -> Bools:
        """Return where anything is written in a column, shape (n,)."""
        column = self.columns.get(name)
        if column is None:
            return np.zeros(len(self), bool)
        if is_text(column):
            return (column != "").to_numpy(bool)
        return column.notna().to_numpy(bool)

    def different(self, name: str) -> tuple[Ints, Sequence[str]] | None:
        """Return for each row the number of its text, shape (n,), and the different texts of a column; None
        where there is no such column.
        """
        import pandas as pd

        column = self.columns.get(name)
        if column is None:
            return None
        codes, texts = pd.factorize(as_text(column))
        return codes, [str(text) for text in texts]


class RowSheet:
    """The cells of a small file, row by row: no array of them is worth its making."""

    def __init__(self, file: str, header: Sequence[str], rows: Sequence[tuple[int, Sequence[str]]]) -> None:
        """Keep the cells of rows, each with the number that its faults bear; rows may be shorter."""
        self.file, self.row = file, np.array([number for number, _ in rows], np.int64)
        self._texts = {
            name: [cells[i].strip() if i < len(cells) else "" for _, cells in rows]
            for i, name in enumerate(header)
        }

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.row)

    def written(self, name: str) -> Bools:
        """See :meth:`CellSheet.written`."""
        return np.array([text != "" for text in self._texts.get(name, [""] * len(self))], bool)

    def different(self, name: str) -> tuple[Ints, Sequence[str]] | None:
        """See :meth:`CellSheet.different`."""
        if name not in self._texts:
            return None
        known: dict[str, int] = {}
        codes = [known.setdefault(text, len(known)) for text in self._texts[name]]
        return np.array(codes, np.int64), list(known)


def is_text(column: pd.Series) -> bool:
    """Tell whether a column holds texts, not typed values."""
    import pandas as pd

    return bool(pd.api.types.is_string_dtype(column.dtype) or column.dtype == object)


def as_text(column: pd.Series) -> pd.Series:
    """Return a column as text, "" where nothing is written."""
    import pandas as pd

    if is_text(column):
        return column
    if pd.api.types.is_bool_dtype(column.dtype):
        return column.map({True: "yes", False: "no"}).fillna("").astype(str)
    return column.map(_plain_text).astype(str)


def _plain_text(value: Any) -> str:
    if value is None or value != value:
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
