"""Every fault of a round folder at once, its weather files with it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fuelplan.answers.weather_of_site import check_weather
from fuelplan.records.round import Round, is_round, read_round
from fuelplan.records.tables import Fault, counted, fault_lines

__all__ = ["RoundCheck", "check_round_folder", "counted", "fault_lines", "is_round"]


@dataclass(frozen=True)
class RoundCheck:
    """What was found in a round folder.

    `round` holds the sound rows and is None where the folder cannot be used at all.
    """

    round: Round | None
    faults: tuple[Fault, ...]

    @property
    def grave(self) -> int:
        """How many faults must be mended; the others are warnings."""
        return sum(not fault.warning for fault in self.faults)


def check_round_folder(path: Path | str) -> RoundCheck:
    """Return all faults and warnings of a round folder, by file and row."""
    found, faults = read_round(Path(path))
    if found is not None:
        seen = set()
        for area in found.areas:
            if area.table.weather.file not in seen:
                faults = [*faults, *check_weather(area)]
            seen.add(area.table.weather.file)
    return RoundCheck(found, tuple(sorted(faults, key=lambda f: (f.file, f.line or 0))))
