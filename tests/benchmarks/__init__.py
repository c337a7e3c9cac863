"""Speed, as ratios within one run: `python -m tests.benchmarks.NAME`."""
