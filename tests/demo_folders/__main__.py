"""Make the demo folders again: `python -m tests.demo_folders demo_sites`."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.demo_folders import family_house, farmhouse, round, school

FOLDERS = {
    "family_house": family_house.write,
    "farmhouse": farmhouse.write,
    "village_school": school.write,
    "round_quellmark": round.write,
}


def main(arguments: list[str]) -> int:
    """Write every demo folder below the one named."""
    if len(arguments) != 1:
        sys.stderr.write("usage: python -m tests.demo_folders FOLDER\n")
        return 2
    for name, write in FOLDERS.items():
        write(Path(arguments[0]) / name)
        sys.stderr.write(f"wrote {Path(arguments[0]) / name}\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
