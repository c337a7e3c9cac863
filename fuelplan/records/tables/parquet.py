"""Parquet files of a round: typed columns as they are, everything else as text; never more than fits."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from fuelplan.files import NotAFile, open_file
from fuelplan.messages import Message, Own, message
from fuelplan.records.schema import CLASS_MARK, FILES, names_of
from fuelplan.records.tables.cell_sheet import CellSheet
from fuelplan.records.tables.delimited import header_faults
from fuelplan.records.tables.faults import Fault
from fuelplan.records.tables.reading import MAX_LINE

if TYPE_CHECKING:
    import pandas as pd


MAX_ROWS = 20_000_000
MAX_UNPACKED_BYTES = 3_000_000_000
MAX_TEXT_BYTES = 1_000_000_000


def read_parquet(path: Path, kind: str) -> tuple[CellSheet | None, list[Fault]]:
    """Return the cells of a Parquet file, or None and why it cannot be read; rows count from 1."""

    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError:
        said = message(
            "parquet.package",
            "Parquet files need the package pyarrow: pip install pyarrow; or save the table as CSV",
        )
        return None, [Fault(path.name, None, "", said)]
    try:
        # A text that stands in a million rows is kept once, so that it can be counted before it is unpacked.
        with open_file(path) as stream, pq.ParquetFile(stream) as first:
            texts = _text_columns(first.metadata)
        with open_file(path) as stream, pq.ParquetFile(stream, read_dictionary=texts) as file:
            too_big = _too_big(file.metadata)
            if too_big:
                return None, [Fault(path.name, None, "", too_big)]
            names = [str(name) for name in file.schema_arrow.names]
            needed = [column.name for column in FILES[kind] if column.needed]
            wrong = header_faults(path.name, 1, [n.lower() for n in names], names_of(kind), needed)
            if wrong:
                return None, wrong
            kept = [name for name in names if name.lower() in names_of(kind)]
            table = file.read(columns=kept)
        too_big = _too_long(table, kept)
        if too_big:
            return None, [Fault(path.name, None, "", too_big)]
    except NotAFile as error:
        return None, [Fault(path.name, None, "", error.said)]
    except (pa.ArrowException, OSError, ValueError, MemoryError) as error:
        said = message(
            "parquet.unreadable", "the file cannot be read as Parquet: {why}",
            why=Own(str(error).splitlines()[0][:160]),
        )  # fmt: skip
        return None, [Fault(path.name, None, "", said)]
    kinds = {column.name: column.kind for column in FILES[kind]}
    columns = {name.lower(): _cells(table[name], kinds[name.lower()]) for name in kept}
    return CellSheet(path.name, columns, np.arange(1, table.num_rows + 1, dtype=np.int64), ""), []


def _too_big(metadata: Any) -> Message | None:
    """Return what is too much before anything is unpacked."""
    if metadata.num_rows > MAX_ROWS:
        return message(
            "parquet.rows", "the file has {n} rows; {most} is the most that is read", n=metadata.num_rows,
            most=MAX_ROWS,
        )  # fmt: skip
    size = sum(metadata.row_group(i).total_byte_size for i in range(metadata.num_row_groups))
    if size > MAX_UNPACKED_BYTES:
        return message(
            "parquet.bytes", "unpacked the file has {n} bytes; {most} is the most that is read", n=size,
            most=MAX_UNPACKED_BYTES,
        )  # fmt: skip
    return None


def _text_columns(metadata: Any) -> list[str]:
    """Return the paths of the columns of text, those inside of lists too."""
    columns = (metadata.schema.column(i) for i in range(metadata.num_columns))
    return [column.path for column in columns if column.physical_type == "BYTE_ARRAY"]


def _too_long(table: Any, names: list[str]) -> Message | None:
    """Return what is too much of text once each row has its own copy; None for nothing."""
    import pyarrow as pa
    import pyarrow.compute as pc

    total = 0
    for name in names:
        for part in table[name].chunks:
            while pa.types.is_list(part.type) or pa.types.is_large_list(part.type):
                part = part.flatten()
            if not pa.types.is_dictionary(part.type) or not len(part.dictionary):
                continue
            lengths = pc.cast(pc.binary_length(part.dictionary), pa.int64())
            longest = pc.max(lengths).as_py() or 0
            if longest > MAX_LINE:
                return message(
                    "parquet.long_text", "column {column} holds a text of {n} bytes; {most} are the most",
                    column=Own(name), n=longest, most=MAX_LINE,
                )  # fmt: skip
            total += pc.sum(pc.take(lengths, part.indices)).as_py() or 0
    if total > MAX_TEXT_BYTES:
        return message(
            "parquet.text_bytes", "unpacked the file has {n} bytes of text; {most} is the most that is read",
            n=total, most=MAX_TEXT_BYTES,
        )  # fmt: skip
    return None


def _cells(column: Any, kind: str) -> pd.Series:
    """Return numbers and dates as they are where the column wants such, everything else as text."""
    import pandas as pd
    import pyarrow as pa

    column = column.combine_chunks()
    if pa.types.is_dictionary(column.type):
        column = column.dictionary_decode()
    is_number = pa.types.is_integer(column.type) or pa.types.is_floating(column.type)
    if kind in {"number", "share"} and is_number:
        return pd.Series(column.cast(pa.float64(), safe=False).to_numpy(zero_copy_only=False))
    if kind == "date" and (pa.types.is_date(column.type) or pa.types.is_timestamp(column.type)):
        days = column.to_numpy(zero_copy_only=False).astype("datetime64[D]")
        return pd.Series(days.astype("datetime64[s]"))
    if pa.types.is_string(column.type) or pa.types.is_large_string(column.type):
        text: pd.Series = column.to_pandas().fillna("").astype(str).str.strip()
        return text
    return pd.Series([_as_written(value) for value in column.to_pylist()], dtype=str)


def _as_written(value: Any) -> str:
    """Return a typed value as a person would write it into the cell."""
    if value is None or value != value:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, list | tuple):
        return CLASS_MARK.join(_as_written(part) for part in value)
    if hasattr(value, "strftime") and not hasattr(value, "year"):
        return str(value.strftime("%H:%M"))
    return str(value).strip()
