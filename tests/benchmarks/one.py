"""One benchmark in a process of its own: `python -m tests.benchmarks.one NAME|growth AXIS SIZE [--quick]`."""

from __future__ import annotations

import json
import sys
from importlib import import_module

from tests.benchmarks.catalogue import MODULES
from tests.benchmarks.measure import peak_mb


def main(words: list[str]) -> None:
    """Print one JSON document on one line: the rows, and the most memory that was held."""
    quick = "--quick" in words
    given = [w for w in words if not w.startswith("--")]
    if given[0] == "growth":
        from tests.benchmarks.growth import point

        print(json.dumps(point(given[1], int(given[2]))))
        return
    rows = import_module(f"tests.benchmarks.{MODULES[given[0]]}").rows(quick)
    memory = max(peak_mb(), peak_mb(children=True))
    print(json.dumps({"rows": [row.as_dict() for row in rows], "peak_mb": round(memory)}))


if __name__ == "__main__":
    main(sys.argv[1:])
