"""What is wrong with a folder: where, what, and what to write instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fuelplan.units import one_line


@dataclass(frozen=True)
class Fault:
    """One fault of one file.

    `line` counts from 1 and is None where the whole file is meant; `key` is the TOML key or the CSV column.
    A `warning` leaves what it is about usable. `rule` is what many faults of one kind have in common.
    """

    file: str
    line: int | None
    key: str
    message: str
    warning: bool = False
    rule: str = ""

    def __str__(self) -> str:
        """Return one line as a person reads it: file:line: key: message."""
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        return one_line(f"{where}: {self.key}: {self.message}" if self.key else f"{where}: {self.message}")


class SiteFaults(ValueError):
    """A folder cannot be used; `faults` holds all of its faults at once."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        """Keep the faults in the order of files and lines."""
        self.faults = tuple(sorted(faults, key=lambda f: (f.file, f.line or 0)))
        count = len(self.faults)
        super().__init__(
            f"{count} fault{'s' if count != 1 else ''}: " + "; ".join(str(f) for f in self.faults[:3])
        )
