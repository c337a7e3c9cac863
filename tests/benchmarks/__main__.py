"""All benchmarks in one table:
`python -m tests.benchmarks [--quick] [--json FILE] [--chart FILE.png] [--page FILE.md] [NAME …]`.

Each is measured in a process of its own, one after the other: seconds, how many times quicker than the plain
way a practitioner would write, how many times the floor of reading and writing the same arrays once with
numpy, and the most memory held. `growth` measures how time and memory grow with customers, sites, years and
winters; `--chart` draws that, and measures it where it was not asked for.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from tests.benchmarks.catalogue import BROWSER, MODULES
from tests.benchmarks.measure import apart, machine, table

GROWTH = "growth"


def measured(names: list[str], quick: bool) -> list[dict[str, Any]]:
    """Run the benchmarks and return one entry for each row, in the order of the names."""
    found = []
    for name in names:
        print(f"measuring {name} …", file=sys.stderr, flush=True)
        one = apart(name, *(["--quick"] if quick else []))
        found += [{"benchmark": name, **row, "peak_mb": one["peak_mb"]} for row in one["rows"]]
    return found


def main() -> None:
    """Measure what is asked for, print it, and write the files."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.benchmarks", description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join([*MODULES, GROWTH]))
    parser.add_argument("--quick", action="store_true", help="small sizes, without the browser")
    parser.add_argument("--json", metavar="FILE", help="write rows, growth and the machine here")
    parser.add_argument("--chart", metavar="FILE.png", help="draw growth here")
    parser.add_argument("--page", metavar="FILE.md", help="write rows, growth and the machine as a page here")
    given = parser.parse_args()
    unknown = [name for name in given.names if name not in (*MODULES, GROWTH)]
    if unknown:
        parser.error(f'there is no "{unknown[0]}"; name some of {", ".join([*MODULES, GROWTH])}')
    usual = [name for name in MODULES if not (given.quick and name in BROWSER)]
    names = [name for name in (given.names or usual) if name != GROWTH]
    document: dict[str, Any] = {"schema": 1, "machine": machine(), "quick": given.quick}
    document["rows"] = measured(names, given.quick)
    if document["rows"]:
        print("\n".join(table(document["rows"])))
    if given.chart or GROWTH in given.names or not given.names:
        from tests.benchmarks.growth import measured_growth, words_of

        document["growth"] = measured_growth(given.quick)
        print("\n".join(words_of(document["growth"])))
    if given.chart:
        from tests.benchmarks.growth_chart import png

        Path(given.chart).write_bytes(png(document["growth"]))
    if given.page:
        from tests.benchmarks.as_markdown import page_of

        Path(given.page).write_text(page_of(document), encoding="utf-8")
    if given.json:
        Path(given.json).write_text(json.dumps(document, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
