"""Are faults known of what fuelplan builds on? `python -m tests.known_faults`, where there is the internet.

It runs pip-audit (`pip install pip-audit`) over the packages of this environment, which asks a public list of
known faults by the packages' names and versions; nothing else is sent. No part of the test suite: its answer
changes from day to day, and it needs the internet.
"""

from __future__ import annotations

import importlib.util
import subprocess
import sys


def main() -> int:
    """Run the check; 0 where nothing is known, 1 where something is, 2 where it cannot be run."""
    if importlib.util.find_spec("pip_audit") is None:
        print("pip-audit is not installed: pip install pip-audit", file=sys.stderr)
        return 2
    return subprocess.run([sys.executable, "-m", "pip_audit"]).returncode


if __name__ == "__main__":
    sys.exit(main())
