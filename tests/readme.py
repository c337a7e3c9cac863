"""Bring the README up to date: `python -m tests.readme` puts the answer that the demo prints into it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
BLOCK = re.compile(r"(?<=on the demo's own day:\n\n```\n).*?(?=```)", re.DOTALL)


def printed_answer() -> str:
    """What `fuelplan order` prints for the demo house, up to the end of its table."""
    command = [sys.executable, "-m", "fuelplan.cli", "order", "demo_sites/family_house"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    paragraphs = done.stdout.split("\n\n")
    return "\n\n".join(paragraphs[:3]) + "\n"


def quoted_answer() -> str:
    """What the README shows."""
    found = BLOCK.search(README.read_text(encoding="utf-8"))
    assert found, "the README no longer shows the demo's answer"
    return found.group()


if __name__ == "__main__":
    text = README.read_text(encoding="utf-8")
    README.write_text(BLOCK.sub(lambda _: printed_answer(), text), encoding="utf-8")
