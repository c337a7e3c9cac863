"""`python -m tests.campaigns.lived_round --seeds 20 --days 20`: four weeks of a fuel supplier, many times.

Two rounds – a copy of the demo round, and one of 400 customers, six tankers and two depots – are lived in day
by day: plan, publish two days, drive, weigh notes that differ from the plan, failed drops, a tanker out, a
depot out of stock, urgent orders, customers who leave and come, credit stops, narrowed windows, holidays, two
people at work at once. After every step the plan checker looks at the plan, and a ledger of all that was
entered and published at the folder. It ends with a table, and with 1 where anything was violated.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from tests.campaigns.lived_round.life import Budget
from tests.campaigns.lived_round.play import WORLDS, play
from tests.campaigns.lived_round.tally import Tally, table


def main() -> int:
    """Run the campaign."""
    parser = argparse.ArgumentParser(prog="python -m tests.campaigns.lived_round")
    parser.add_argument("--seeds", type=int, default=20)
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--days", type=int, default=20, help="working days of each life")
    parser.add_argument("--worlds", nargs="+", choices=list(WORLDS), default=list(WORLDS))
    parser.add_argument("--moves", type=int, default=400)
    parser.add_argument("--ahead", type=int, default=5, help="working days that a plan looks ahead")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--json", metavar="FILE")
    asked = parser.parse_args()
    budget = Budget(asked.moves, asked.ahead)
    lives = [(w, s) for s in range(asked.first_seed, asked.first_seed + asked.seeds) for w in asked.worlds]
    os.environ.setdefault("NUMBA_NUM_THREADS", "1")
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    tallies: list[Tally] = []
    with ProcessPoolExecutor(asked.workers) as pool:
        jobs = [pool.submit(play, world, seed, asked.days, budget) for world, seed in lives]
        for job in jobs:
            tallies.append(job.result())
            print(tallies[-1].line(), flush=True)
    print("\n" + table(tallies))
    if asked.json:
        Path(asked.json).write_text(json.dumps([t.to_json() for t in tallies], indent=1), encoding="utf-8")
    return int(any(t.violations for t in tallies))


if __name__ == "__main__":
    sys.exit(main())
