"""Every command that a document names can be run: its module, its verb and its options are there."""

from __future__ import annotations

import importlib.util
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import click
import pytest

from fuelplan.cli.main import fuelplan

ROOT = Path(__file__).parents[1]
DOCUMENTS = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "fuelplan" / "docs").glob("*.md"))]
# In code alone: in prose the program's name is the subject of sentences.
CODE = re.compile(r"^```[^\n]*\n(.*?)^```|`([^`]+)`", re.MULTILINE | re.DOTALL)
MODULE = re.compile(r"\bpython3? -m ((?:tests|fuelplan)[\w.]*)([^\n#]*)")
VERB = re.compile(r"(?:^|[\s/])fuelplan ([a-z][a-z-]*)([^\n#]*)")
OPTION = re.compile(r"(?<![\w-])(--[a-z][a-z-]*)")
WORD = re.compile(r"[a-z][a-z-]*")


@dataclass(frozen=True)
class Command:
    """A command as a document names it."""

    document: str
    name: str
    options: tuple[str, ...]
    words: tuple[str, ...]
    """Bare words before the first option, e.g. the name of a benchmark."""


def commands(pattern: re.Pattern[str], text: str, document: str) -> list[Command]:
    """Return the commands of a kind that stand in the code of a text."""
    found = []
    for block, inline in CODE.findall(text):
        code = re.sub(r"\\\n\s*", " ", block) or " ".join(inline.split())
        for name, rest in pattern.findall(code):
            words = [word for word in rest.partition(" -")[0].split() if WORD.fullmatch(word)]
            found.append(Command(document, name.rstrip("."), tuple(OPTION.findall(rest)), tuple(words)))
    return found


@cache
def all_commands(pattern: re.Pattern[str]) -> list[Command]:
    """Return the commands of a kind in all documents."""
    return [c for d in DOCUMENTS for c in commands(pattern, d.read_text(encoding="utf-8"), d.name)]


def source(module: str) -> Path | None:
    """Return the file that `python -m` runs, None where there is none."""
    try:
        spec = importlib.util.find_spec(module)
        if spec is not None and spec.submodule_search_locations is not None:
            spec = importlib.util.find_spec(f"{module}.__main__")
    except ModuleNotFoundError:
        return None
    return Path(spec.origin) if spec is not None and spec.origin else None


def fault_of_module(command: Command) -> str | None:
    """Return what is wrong with a `python -m` command."""
    file = source(command.name)
    if file is None:
        return f"{command.document}: there is no {command.name}"
    # A package may read its command line in a module beside the one that is run.
    beside = file.parent.glob("*.py") if file.name == "__main__.py" else [file]
    text = "".join(one.read_text(encoding="utf-8") for one in beside)
    if file.name != "__main__.py" and '__name__ == "__main__"' not in text:
        return f"{command.document}: {command.name} does nothing when it is run"
    lacking = [o for o in command.options if f'"{o}"' not in text and f'"{o}=' not in text]
    lacking += [word for word in command.words if f'"{word}"' not in text]
    return f"{command.document}: {command.name} has no {lacking}" if lacking else None


def fault_of_verb(command: Command) -> str | None:
    """Return what is wrong with a command of fuelplan."""
    verb = fuelplan.commands.get(command.name)
    if verb is None:
        return f"{command.document}: there is no fuelplan {command.name}"
    known = {
        "--help",
        *(o for p in verb.params if isinstance(p, click.Option) for o in (*p.opts, *p.secondary_opts)),
    }
    lacking = [option for option in command.options if option not in known]
    return f"{command.document}: fuelplan {command.name} has no {lacking}" if lacking else None


def test_every_module_named_is_there() -> None:
    """Modules that documents run exist, do something when run, and read the options and words named."""
    assert len(all_commands(MODULE)) > 40, "few commands were found: the test would prove little"
    assert [fault for c in all_commands(MODULE) if (fault := fault_of_module(c))] == []


def test_every_verb_named_is_there() -> None:
    """Verbs that documents name are those of the command line, with the options named beside them."""
    assert len(all_commands(VERB)) > 40, "few commands were found: the test would prove little"
    assert [fault for c in all_commands(VERB) if (fault := fault_of_verb(c))] == []


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("`python -m tests.no_such`", "page.md: there is no tests.no_such"),
        (
            "`python -m tests.benchmarks.measure`",
            "page.md: tests.benchmarks.measure does nothing when it is run",
        ),
        ("```\npython -m tests.benchmarks \\\n   --quik\n```", "page.md: tests.benchmarks has no ['--quik']"),
        ("`python -m tests.benchmarks degree-days`", "page.md: tests.benchmarks has no ['degree-days']"),
        ("`fuelplan ordr SITE`", "page.md: there is no fuelplan ordr"),
        ("```sh\n.venv/bin/fuelplan order SITE --jsn\n```", "page.md: fuelplan order has no ['--jsn']"),
        ("`python -m tests.benchmarks --quick`, `fuelplan order SITE --json`; fuelplan never guesses", None),
    ],
)
def test_what_is_not_there_is_found(text: str, fault: str | None) -> None:
    """A module, a verb and an option that are not there are told, in a line of text and in a block."""
    found = [fault_of_module(c) for c in commands(MODULE, text, "page.md")]
    found += [fault_of_verb(c) for c in commands(VERB, text, "page.md")]
    assert found
    assert [told for told in found if told] == ([fault] if fault else [])
