"""The README keeps its word: what it quotes is printed, what it links to is there, what it shows runs."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from fuelplan.cli.main import fuelplan
from tests.readme import README, ROOT, printed_answer, quoted_answer

TEXT = README.read_text(encoding="utf-8")
DOCUMENTS = ("README.md", "DEVELOPERS.md")


def test_quoted_answer_is_the_printed_one() -> None:
    """The answer in the README is what the demo prints today; `python -m tests.readme` puts it right."""
    assert quoted_answer() == printed_answer()
    assert "Order by" in quoted_answer()


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_link_leads_somewhere(document: str) -> None:
    """Every file that a document links to or shows is in the project."""
    text = (ROOT / document).read_text(encoding="utf-8")
    targets = [t for t in re.findall(r"\]\(([^)#]+)", text) if "://" not in t]
    assert targets
    missing = [t for t in targets if not (ROOT / t).exists()]
    assert not missing


def test_every_command_exists() -> None:
    """Every `fuelplan VERB` of the README is a verb of the command line, and every verb is in the README."""
    named = set(re.findall(r"`fuelplan ([a-z-]+)", TEXT)) - {"--help"}
    assert named == set(fuelplan.commands)


def test_python_example_runs() -> None:
    """The lines of Python in the README run as they stand and print a sentence."""
    (code,) = re.findall(r"```python\n(.*?)```", TEXT, re.DOTALL)
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert re.search(r"\d", done.stdout)
    assert done.stdout.rstrip().endswith(".")


def test_both_commands_are_those_of_the_set_up_script() -> None:
    """The two commands of the README are the two jobs of the set-up script, which needs nothing installed."""
    commands = re.findall(r"^python3 -m fuelplan\.bootstrap (\w+)$", TEXT, re.MULTILINE)
    assert commands == ["demo", "test"]
    for job in commands:
        # -S: no installed package is on the path, only the standard library and the project's own folder.
        ask = [sys.executable, "-S", "-m", "fuelplan.bootstrap", job, "--help"]
        done = subprocess.run(ask, cwd=ROOT, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        assert "usage: python3 -m fuelplan.bootstrap" in done.stdout
