"""Speed, as ratios within one run: `python -m tests.benchmarks` for all, `….benchmarks.NAME` for one."""
