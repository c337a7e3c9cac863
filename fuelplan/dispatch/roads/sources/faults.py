"""What is wrong with a file or a service of distances."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class RoadFileFault:
    """One fault of a matrix file: line (from 1; None = the whole file), column, and what to write instead."""

    line: int | None
    column: str
    message: str

    def __str__(self) -> str:
        """Return one line as a person reads it."""
        where = "the file" if self.line is None else f"line {self.line}"
        return f"{where}, {self.column}: {self.message}" if self.column else f"{where}: {self.message}"


class RoadFileFaults(ValueError):
    """A matrix file cannot be used; `faults` holds all of its faults at once."""

    def __init__(self, file: str, faults: Sequence[RoadFileFault]) -> None:
        """Keep the faults in the order of the lines."""
        self.file = file
        self.faults = tuple(sorted(faults, key=lambda f: f.line or 0))
        count = len(self.faults)
        more = "; …" if count > 3 else ""
        super().__init__(
            f"{file}: {count} fault{'s' if count != 1 else ''}: "
            + "; ".join(str(f) for f in self.faults[:3])
            + more
        )


class RoadServiceError(ValueError):
    """A table service did not answer, or not with a table."""
