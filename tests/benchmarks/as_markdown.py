"""What was measured as a page to read: every row with what it was held against, growth, and the machine."""

from __future__ import annotations

from typing import Any

from tests.benchmarks.growth import AXES, FLOOR, OURS, PLAIN, exponent
from tests.benchmarks.measure import short

HEAD = """\
# Measured

Made by `python -m tests.benchmarks --json FILE --chart FILE.png --page FILE.md`, each row in a process of its
own, one after the other. *Plain* is what a practitioner would write first, in pandas or plain Python; *floor*
is reading and writing the same arrays once with numpy. Both ran beside ours in the same run, and their ratios
are of processor time. A floor says how far a thing is from doing nothing but moving its numbers; where much
is worked out of few numbers it is a long way off. A plain way that does less (read the files and no more,
drive to the nearest with no access, hours or classes) is quicker than ours, and the ratio is below 1.
"""


def page_of(document: dict[str, Any]) -> str:
    """Return the page of a run's document."""
    parts = [HEAD, _machine(document["machine"])]
    if document["rows"]:
        parts.append(_rows(document["rows"]))
    if document.get("growth"):
        parts.append(_growth(document["growth"]))
    return "\n".join(parts)


def _machine(m: dict[str, Any]) -> str:
    packages = ", ".join(f"{name} {number}" for name, number in m["packages"].items())
    return (
        f"Machine: {m['processors']} processors ({m['kind']}), {m['memory_gib']:g} GiB, {m['system']}, "
        f"Python {m['python']}, {packages}.\nLoad before it began: {m['load_before']:g}.\n"
    )


def _rows(rows: list[dict[str, Any]]) -> str:
    lines = [
        "| what | s | processor s | times as quick as plain | times the floor | peak MB |",
        "|---|---|---|---|---|---|",
    ]
    notes: dict[str, None] = {}
    for row in rows:
        more = "; ".join(f"{name.replace('_', ' ')} {short(value)}" for name, value in row["more"].items())
        what = row["what"] + (f" ({more})" if more else "")
        keys = ("seconds", "busy_s", "times_quicker", "times_floor", "peak_mb")
        lines.append(f"| {what} | " + " | ".join(short(row.get(key)) for key in keys) + " |")
        notes.setdefault(
            f"- {row['benchmark']}: "
            + "; ".join(f"{word} is {row[word]}" for word in ("plain", "floor") if row[word])
        )
    return "\n".join([*lines, "", "What they were held against:", "", *(n for n in notes if " is " in n), ""])


def _growth(points: list[dict[str, Any]]) -> str:
    lines = [
        "## Growth\n",
        "![Time and memory by customers, sites, years and winters](pictures/growth.png)\n",
        "Processor time grows with "
        + ", with ".join(f"{axis} as n^{exponent(points, axis):.2f}" for axis in AXES)
        + ".\n",
        "| growth with | size | processor s | plain pandas | numpy floor | peak MB |",
        "|---|---|---|---|---|---|",
    ]
    for p in points:
        ways = " | ".join(f"{p['ways'][way]['busy_s']:.3g}" for way in (OURS, PLAIN, FLOOR))
        lines.append(f"| {p['axis']} | {p['size']:,} | {ways} | {p['peak_mb']:,.0f} |")
    return "\n".join([*lines, ""])
