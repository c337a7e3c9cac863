"""What is compiled is kept on disk; an update that changes or renames what it is made of runs new code."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
KERNEL = """
from typing import NamedTuple
import numpy as np
from fuelplan.dispatch.run_plan import compiled

class {name}(NamedTuple):
    at: np.ndarray

@compiled.jit
def first(state):
    return state.at[0]

def value():
    return first({name}(np.array([7])))
"""
RUN = """
import sys
from fuelplan.dispatch.run_plan import compiled
compiled.SOURCES = sys.argv[1]
import kernel
print(kernel.value(), sum(kernel.first.stats.cache_hits.values()))
"""


def ran(place: Path, sources: str) -> str:
    """What the kernel gives, and how often it was found on disk, in a program of its own."""
    paths = os.pathsep.join([str(place), str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
    done = subprocess.run(
        [sys.executable, "-c", RUN, sources], capture_output=True, text=True, cwd=place, check=False,
        env={**os.environ, "PYTHONPATH": paths, "NUMBA_CACHE_DIR": str(place / "kept")},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_a_class_that_an_update_renamed_does_not_stop_the_search(tmp_path: Path) -> None:
    """Kept once and found again; with other sources it is compiled anew, though the kept file names a class
    that is gone.
    """
    file = tmp_path / "kernel.py"
    file.write_text(KERNEL.format(name="State"), encoding="utf-8")
    stamp = file.stat()
    assert ran(tmp_path, "old") == "7 0"
    assert ran(tmp_path, "old") == "7 1"
    file.write_text(KERNEL.format(name="Place"), encoding="utf-8")
    # Of the same length and time, so that nothing but the sources tells of the update.
    os.utime(file, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    shutil.rmtree(tmp_path / "__pycache__", ignore_errors=True)
    assert ran(tmp_path, "new") == "7 0"
