"""The benchmarks that `python -m tests.benchmarks` runs, by name, and the module that holds each."""

from __future__ import annotations

MODULES = {
    "command-line": "command_line",
    "ordering": "ordering_speed",
    "weather": "weather",
    "heating": "heating",
    "hopper": "hopper",
    "sizing": "sizing",
    "signature": "signature_speed",
    "round-folder": "round_folder",
    "budgets": "budgets",
    "outlook": "outlook_speed",
    "many-machines": "many_machines",
    "runs": "runs_speed",
    "routing": "routing",
    "page": "page",
    "calibration": "calibration",
}
"""Each module has `rows(quick)`, which returns the lines of the table."""

BROWSER = ("page",)
"""Those that need Chromium: left out with --quick."""
