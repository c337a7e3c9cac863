"""A supplier's own spreadsheet into a table of the round: looked at first, written when a person says so."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from fuelplan.messages import SCHEMA, Own, Refusal, message
from fuelplan.records.folder import saving
from fuelplan.records.importing import (
    KINDS,
    Joined,
    faults_of_import,
    import_own_table,
    joined,
    own_table,
    write_import,
)
from fuelplan.records.round import table_of_round
from fuelplan.records.schema import RoundTable, names_of
from fuelplan.records.tables import Fault, RoundFaults

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["KINDS", "RoundImport", "column_pairs", "look_at_import", "take_import"]

PAIR = re.compile(r"\s*([a-z_]+)\s*=\s*(.+?)\s*", re.DOTALL)
HOW = re.compile(r"(.+?)\s*(\[[^\[\]]*\])", re.DOTALL)
SHOWN_ROWS = 5


@dataclass(frozen=True)
class RoundImport:
    """What an import would bring; nothing is written yet.

    Attributes
    ----------
    source, kind
        Name of the supplier's file, and the table of the round it goes to.
    columns
        Own column → ours, with how it is written in brackets.
    not_taken
        Own columns that become nothing.
    encoding, encodings
        In what encoding the letters were read, and those they may be in, each with the first words that show
        it; empty for a spreadsheet file.
    rows
        How many rows the file has.
    frame
        The rows to write, by their row in the source: text under our names, in our units.
    faults
        Every faulty cell or row, at its row and column of the source, whether left out or not.
    added, already
        How many rows of `frame` would be added, and how many stand in the round already.
    """

    folder: Path
    source: str
    kind: str
    columns: dict[str, str]
    not_taken: tuple[str, ...]
    rows: int
    frame: pd.DataFrame
    faults: tuple[Fault, ...]
    added: int
    already: int
    instead: bool
    encoding: str = ""
    encodings: Mapping[str, str] = field(default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        """Return the look as one document."""
        faults = [fault.to_json() for fault in self.faults]
        return {
            "schema": SCHEMA,
            "source": self.source,
            "table": self.kind,
            "columns": self.columns,
            "not_taken": list(self.not_taken),
            "encoding": self.encoding,
            "encodings": dict(self.encodings),
            "rows": self.rows,
            "added": self.added,
            "already_there": self.already,
            "left_out": self.rows - len(self.frame),
            "faults": faults,
            "first_rows": [
                {"row": int(str(row)), **{str(k): v for k, v in cells.items() if v}}
                for row, cells in self.frame.head(SHOWN_ROWS).to_dict("index").items()
            ],
        }


def column_pairs(written: Sequence[str]) -> dict[str, str]:
    """Return own column → ours from texts such as "store_kg=Silo (t) [t]" or "name=Kunde".

    What stands in brackets at the end says how the cells are written; behind the name of an own column that
    ends in brackets itself there must be brackets once more.

    Raises
    ------
    Refusal
        Where a text is no such pair.
    """
    found: dict[str, str] = {}
    for text in written:
        pair = PAIR.fullmatch(text)
        if pair is None:
            raise Refusal.because(
                "import.pair",
                '"{written}": write our column, then yours, such as "name=Kunde" or "store_kg=Silo [t]"',
                written=Own(text),
            )
        ours, own = pair[1], pair[2]
        how = HOW.fullmatch(own)
        own, brackets = (how[1], f" {how[2]}") if how else (own, "")
        if own in found:
            raise Refusal.because(
                "import.given_twice", '"{column}" is given twice; a column of yours becomes one of ours',
                column=Own(own),
            )  # fmt: skip
        found[own] = f"{ours}{brackets}"
    return found


def look_at_import(
    folder: Path | str,
    file: Path | str,
    kind: str,
    columns: Mapping[str, str],
    *,
    instead: bool = False,
    sound_only: bool = False,
    encoding: str = "",
    today: date | None = None,
) -> RoundImport:
    """Return what an import would bring, with every fault of the file at once; writes nothing.

    Parameters
    ----------
    file
        The spreadsheet, as .xlsx, .ods or saved as CSV.
    columns
        Own column → ours, see :mod:`fuelplan.records.importing.rows`; own columns that have one of our
        names already need not be named.
    instead
        In the place of the round's file, not joined to it.
    sound_only
        Leave the rows with faults out.
    encoding
        Of a CSV file, where a person says so: "utf-8", "cp1250", …
    today
        Deliveries and readings dated after it have not come yet; None: today where the round is.

    Raises
    ------
    RoundFaults
        Where file, columns or round cannot be used at all.
    EditError
        Where the round's file cannot be added to.
    """
    folder, file = Path(folder), Path(file)
    table = table_of_round(folder)
    own = own_table(file, table.place.country or "", encoding)
    header = own[0].header
    mapping = {**_same_names(header, columns, kind), **columns}
    frame, cell_faults = import_own_table(file.name, own, mapping, kind, today or _today_of(table))
    rows = len(frame) + len({f.line for f in own[1] if f.line} - set(frame.index.tolist()))
    made, frame, found = _against_round(folder, file.name, kind, frame, cell_faults, instead, sound_only)
    own_of = {text.split("[")[0].strip(): own for own, text in mapping.items()}
    faults = [replace(fault, key=own_of.get(fault.key, fault.key)) for fault in found]
    return RoundImport(
        folder=folder,
        source=file.name,
        kind=kind,
        columns=dict(mapping),
        not_taken=tuple(name for name in header if name and name not in mapping),
        rows=rows,
        frame=frame,
        faults=tuple(sorted(faults, key=lambda f: (f.line or 0, f.key))),
        added=len(made.added),
        already=made.already,
        instead=instead,
        encoding=own[0].encoding,
        encodings=own[0].encodings,
    )


def _today_of(table: RoundTable) -> date:
    """Return today where the round is, or an example's own day where that is later."""
    now = datetime.now(ZoneInfo(table.place.time_zone)).date()
    return max(now, table.example_date or now)


def _against_round(
    folder: Path, source: str, kind: str, frame: pd.DataFrame, cell_faults: Sequence[Fault], instead: bool,
    sound_only: bool,
) -> tuple[Joined, pd.DataFrame, list[Fault]]:  # fmt: skip
    """Return the joined file, the rows kept, and the faults of the cells and against the round."""
    found = {(f.line, f.key, f.rule): f for f in cell_faults}
    while True:
        made = joined(folder, frame, kind, instead=instead)
        for fault in faults_of_import(made, kind, folder, source):
            found.setdefault((fault.line, fault.key, fault.rule), fault)
        told = {fault.line for fault in found.values()}
        bad = [row for row in frame.index.tolist() if row in told]
        if not sound_only or not bad:
            return made, frame, list(found.values())
        frame = frame.drop(index=bad)  # another row may have named one of these: look again


@saving(message("saving.rows", "the rows were not saved"))
def take_import(look: RoundImport) -> tuple[int, int]:
    """Write what was looked at; return how many rows were added, and how many stood there already.

    Raises
    ------
    RoundFaults
        Where a row to be written is faulty; look again with `sound_only`.
    """
    kept = set(look.frame.index.tolist())
    wrong = [fault for fault in look.faults if fault.line is None or fault.line in kept]
    if wrong:
        raise RoundFaults(wrong)
    return write_import(look.folder, look.frame, look.kind, instead=look.instead)


def _same_names(header: Sequence[str], columns: Mapping[str, str], kind: str) -> dict[str, str]:
    """Return the own columns that have one of our names and are not given otherwise."""
    ours = set(names_of(kind)) if kind in KINDS else set()
    given = {text.split("[")[0].strip() for text in columns.values()}
    return {
        own: own.lower()
        for own in dict.fromkeys(header)
        if own.lower() in ours - given and own not in columns
    }
