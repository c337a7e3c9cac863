"""The cells of one file of a round."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    import pandas as pd

Ints = NDArray[np.int64]


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
