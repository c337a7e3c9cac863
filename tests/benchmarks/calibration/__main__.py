"""`python -m tests.benchmarks.calibration [--houses=N] [--workers=N] [--seed=N] [--quick] [WORLD …]`."""

from __future__ import annotations

import sys

from tests.benchmarks.calibration.run import main

if __name__ == "__main__":
    main(sys.argv[1:])
