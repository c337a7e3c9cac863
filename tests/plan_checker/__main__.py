"""`python -m tests.plan_checker ROUND FILE.json [--outlook FILE.json]`: print what a plan breaks."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from tests.plan_checker.check import check


def main() -> int:
    """Print every breach; 1 where there is one that the plan does not say itself."""
    parser = argparse.ArgumentParser(prog="python -m tests.plan_checker")
    parser.add_argument("round")
    parser.add_argument("plan")
    parser.add_argument("--outlook")
    asked = parser.parse_args()
    plan = json.loads(Path(asked.plan).read_text(encoding="utf-8"))
    outlook = json.loads(Path(asked.outlook).read_text(encoding="utf-8")) if asked.outlook else None
    found = check(asked.round, plan, outlook)
    for breach in found:
        print(breach)
    print(f"{len(found)} breaches, {sum(b.said for b in found)} of them said by the plan")
    return int(any(not b.said for b in found))


if __name__ == "__main__":
    sys.exit(main())
