"""One reader of typed rows: a cell means the same in a house and in a round, row by row and in columns."""

from __future__ import annotations

import csv
import io

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.records.schema import FILES, HOUSE_FILES, Column
from fuelplan.records.tables.cell_sheet import CellSheet, RowSheet
from fuelplan.records.tables.cell_words import date_of, yes_of
from fuelplan.records.tables.cells import Cells
from fuelplan.records.tables.fault_groups import all_faults
from fuelplan.records.tables.text_table import table_of_text

COLUMNS = (Column("date", "date", "a day", "2025-10-08", needed=True), Column("right", "yes", "whether"))
CELLS = st.lists(
    st.tuples(
        st.sampled_from(["2025-10-08", "2025-02-30", "8.10.2025", "", "today"]),
        st.sampled_from(["yes", "No", "", "perhaps"]),
    ).filter(any),
    min_size=1,
    max_size=12,
)


@settings(deadline=None, max_examples=60)  # the first one loads pandas
@given(CELLS)
def test_rows_and_columns_are_read_alike(cells: list[tuple[str, str]]) -> None:
    """The same texts, row by row and as columns: the same values, the same faults at the same rows."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows([("date", "right"), *cells])
    table, faults = table_of_text("a.csv", stream.getvalue())
    assert table is not None and faults == []
    sheets = (
        CellSheet("a.csv", {"date": table.frame[0], "right": table.frame[1]}, table.row),
        RowSheet("a.csv", ["date", "right"], list(zip(table.row.tolist(), cells, strict=True))),
    )
    read = [Cells(sheet, COLUMNS) for sheet in sheets]
    for name, meant, empty in (("date", date_of, None), ("right", yes_of, False)):
        first, second = (one.parsed(name, meant, empty, object).tolist() for one in read)
        assert first == second
    assert all_faults(read[0].groups) == all_faults(read[1].groups)
    assert np.array_equal(read[0].bad, read[1].bad)
    wrong = sum(day not in ("2025-10-08",) for day, _ in cells) + sum(word == "perhaps" for _, word in cells)
    assert len(all_faults(read[1].groups)) == wrong


def test_a_column_is_described_once_for_reading_writing_and_importing() -> None:
    """Every column of every table says what it is, and a house's and a round's are of the same kind."""
    columns = [column for files in (HOUSE_FILES, FILES) for table in files.values() for column in table]
    assert len(columns) > 90 and all(column.what and column.name for column in columns)
    for files in (HOUSE_FILES, FILES):
        for name, table in files.items():
            assert len({column.name for column in table}) == len(table), name
