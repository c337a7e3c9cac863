"""A house lived in, day by day: `python -m tests.campaigns.lived_house --seeds 20 --days 400`.

An invented truth writes into a folder only what a person would, asks `order` every few days, and acts on
it. Ends with 1 where something was wrong that must never be.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from tests.campaigns.lived_house.report import document, line_of, one_life, table


def main(arguments: list[str] | None = None) -> int:
    """Live the houses and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=20)
    parser.add_argument("--first", type=int, default=1, help="the first seed")
    parser.add_argument("--days", type=int, default=400)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--json", type=Path, help="also write everything found to this file")
    asked = parser.parse_args(arguments)
    os.environ.setdefault("STREAMLIT_LOGGER_LEVEL", "error")
    tasks = [(seed, asked.days) for seed in range(asked.first, asked.first + asked.seeds)]
    lives, result = [], document([])
    with ProcessPoolExecutor(asked.workers) as pool:
        for one in map(one_life, tasks) if asked.workers == 1 else pool.map(one_life, tasks):
            lives.append(one)
            result = document(lives)
            print(line_of(one), flush=True)
            if asked.json:  # what was found stays where a long run is stopped
                asked.json.write_text(json.dumps(result, indent=1), encoding="utf-8")
    print("", table(result), sep="\n")
    return 1 if any(result["violations"].values()) else 0


if __name__ == "__main__":
    sys.exit(main())
