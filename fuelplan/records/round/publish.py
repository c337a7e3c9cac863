"""Writing `published.csv`: the stops of some days replaced in one step, while nobody else writes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from fuelplan.records.round.edit import (
    Row,
    TableText,
    ended,
    head,
    opened,
    refuse_faulty,
    text_of_table,
    unsound_rows,
    widened,
    write,
)
from fuelplan.records.round.folder import Round, open_round
from fuelplan.records.round.published import PublishedStop, cells_of_stop
from fuelplan.records.site import locked
from fuelplan.records.tables import OWN_COLUMN

ADDED = (
    "order", "start", "leave", "told_from", "told_to", "run_leaves", "run_back_by", "chambers", "breaks",
    "by",
)  # fmt: skip
"""Columns that an older file may lack and that are added where a stop has something for them."""


def write_published(path: Path | str, rows: Iterable[PublishedStop], *, known: Round | None = None) -> None:
    """Replace the stops of `published.csv` by others, sorted by day, tanker, run and place.

    Rows that cannot be read stay as they are, after the others. Columns of a person's own stay with their
    stop: that of the same day, customer and class.

    Raises
    ------
    RoundFaults
        Where a stop cannot be right; nothing is written.
    EditError
        Where the file cannot be changed; nothing is written.
    """
    folder = Path(path)
    round_ = opened(folder, known)
    with locked(folder):
        _replaced(folder, rows, round_)


def publish(
    path: Path | str, change: Callable[[Round], Iterable[PublishedStop]], *, sound_only: bool = False
) -> None:
    """Replace the stops of `published.csv` by what `change` makes of the folder as it is now.

    The folder's lock is held from before it is read until the file stands: nobody publishes in between. What
    `change` raises is raised, and nothing is written; other errors as in :func:`write_published`.
    """
    folder = Path(path)
    with locked(folder):
        now = open_round(folder, sound_only=sound_only)
        _replaced(folder, change(now), now)


def _replaced(folder: Path, rows: Iterable[PublishedStop], round_: Round) -> None:
    stops = sorted(rows, key=lambda s: (s.day, s.tanker, s.trip, s.position))
    cells = [cells_of_stop(stop) for stop in stops]
    file = folder / "published.csv"
    before = text_of_table(file, "published")
    unsound = unsound_rows(before, "published", round_)
    table = widened(before, [name for name in ADDED if any(row[name] for row in cells)])
    own = _own_cells(table, unsound)
    body = [table.row_text({**own.get(_stop_key(row), {}), **row}, "published") for row in cells]
    kept = [table.text[row.start : row.end] for row in table.rows if row.number in unsound]
    first = head(table)
    refuse_faulty(file.name, first + "".join(body), "published", round_, first=2)
    text = first + "".join(body) + ended("".join(kept), table)
    write(file, "published", before, text, f"{len(cells)} stops now stand in {file.name}")


def _stop_key(row: Row) -> tuple[str, str, str]:
    return row.get("date", ""), row.get("customer", ""), row.get("class", "")


def _own_cells(table: TableText, unsound: set[int]) -> dict[tuple[str, str, str], dict[str, str]]:
    """Return the cells of a person's own columns by stop."""
    found = {}
    for row in table.rows:
        cells = dict(zip(table.header, (cell.strip() for cell in row.cells), strict=False))
        own = {name: cell for name, cell in cells.items() if name.startswith(OWN_COLUMN) and cell}
        if own and row.number not in unsound:
            found[_stop_key(cells)] = own
    return found
