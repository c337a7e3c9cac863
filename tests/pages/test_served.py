"""The server's process reads in what the first page needs while the browser still opens."""

from __future__ import annotations

import importlib
import subprocess
import sys
from pathlib import Path

from fuelplan.pages import served, server_command

ROOT = Path(__file__).parents[2]

FIRST_ANSWER = """
import sys
from datetime import date
from fuelplan import answers
from fuelplan.pages.served import read_in
read_in()
before = set(sys.modules)
site = answers.open_site(sys.argv[1])
answers.order(site, answers.weather_for(site, date(2026, 1, 15)), date(2026, 1, 15))
late = [name for name in sys.modules if name not in before]
print(len(late), *late)
"""


def test_after_reading_in_the_first_answer_waits_for_hardly_any_module():
    """Of nearly 500 modules that an answer and its page need, fewer than 20 are left to the first click."""
    house = ROOT / "demo_sites" / "family_house"
    done = subprocess.run(
        [sys.executable, "-c", FIRST_ANSWER, str(house)], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout.split()[0]) < 20, done.stdout


def test_every_name_that_is_read_in_exists():
    """A module that was renamed is noticed here, not by a slower first page."""
    assert served.NEEDED
    for name in served.NEEDED:
        importlib.import_module(name)


def test_the_pages_are_served_by_that_process():
    """`fuelplan app`, the tests and the pictures start the process that reads in."""
    assert server_command(None, 8501)[1:3] == ["-m", served.__name__]
