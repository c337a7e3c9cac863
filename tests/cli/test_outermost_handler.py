"""Whatever happens, the command line ends in one sentence, a status of the contract, and no traceback."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from fuelplan.cli import main
from fuelplan.cli.outcome import BAD_INPUT, NO_WEATHER, OK, STOPPED, report_errors
from tests.site_folders import make_site

DEMO = Path(__file__).parents[2] / "demo_sites"
VERBS = {
    "check": ("check", "x"),
    "order": ("order", "x"),
    "learn": ("learn", "x"),
    "size": ("size", "x"),
    "report": ("report", "x", "--pdf", "x.pdf"),
    "import_command": ("import", "x", "y", "--as", "orders"),
    "outlook": ("outlook", "x"),
    "runs": ("runs", "x"),
    "replay": ("replay", "x"),
    "degree_days": ("degree-days", "x"),
}
UNFORESEEN = (
    KeyError("28 February"), RuntimeError("Symlink loop"), OverflowError("date value out of range"),
    ZeroDivisionError("division by zero"), RecursionError("too deep"), AssertionError(), IndexError("x\ny"),
    UnicodeEncodeError("utf-8", "\udcff", 0, 1, "surrogates not allowed"), MemoryError(), TypeError("no"),
    OSError(28, "No space left on device"), ValueError("said in words"), StopIteration(),
)  # fmt: skip


def left(arguments: list[str]) -> Any:
    """The status with which the command line leaves."""
    with pytest.raises(SystemExit) as found:
        main(arguments)
    return found.value.code


@pytest.mark.parametrize("verb", VERBS)
@pytest.mark.parametrize("error", UNFORESEEN, ids=lambda e: type(e).__name__)
def test_every_error_of_every_verb_is_a_sentence_and_a_status(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], verb: str, error: Exception
) -> None:
    """Errors that nobody foresaw end with status 2: one line on stderr, or the document of errors."""

    def fail(*given: Any, **more: Any) -> int:
        raise error

    monkeypatch.setattr(import_module(f"fuelplan.cli.{verb}"), "run", fail)
    assert left([*VERBS[verb]]) == BAD_INPUT
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("fuelplan: ") and said.err.count("\n") == 1
    assert left([*VERBS[verb], "--json"]) == BAD_INPUT
    said = capsys.readouterr()
    document = json.loads(said.out)
    assert document["schema"] == 2
    assert document["error"]["message"]
    assert document["error"]["kind"] in {"program", "memory", "file", "input"}
    assert said.err == ""


Done = subprocess.CompletedProcess[bytes]


def run_python(*arguments: str, stdout: Any = subprocess.PIPE, **env: str) -> Done:
    """Run the command line as a person does."""
    return subprocess.run(
        [sys.executable, "-m", "fuelplan", *arguments], stdout=stdout, stderr=subprocess.PIPE,
        env={**os.environ, **env}, timeout=100,
    )  # fmt: skip


FAMILY = str(DEMO / "family_house")
SHORT = (
    ("check", FAMILY), ("check", FAMILY, "--json"), ("order", FAMILY), ("--help",), ("--version",),
    ("check", "no_such_folder", "--json"), ("degree-days", "x", "--method", "list"),
)  # fmt: skip


@pytest.mark.parametrize("arguments", SHORT, ids=" ".join)
def test_a_full_disk_behind_standard_output_is_a_sentence(arguments: tuple[str, ...]) -> None:
    """`fuelplan check SITE --json >/dev/full` says: the result is lost; no traceback, status 2."""
    with open("/dev/full", "w") as full:
        done = run_python(*arguments, stdout=full)
    assert done.returncode == BAD_INPUT
    assert done.stderr.decode() == "fuelplan: the result could not be shown: No space left on device\n"


@pytest.mark.parametrize("arguments", SHORT[:3], ids=" ".join)
def test_a_closed_standard_output_is_a_sentence(arguments: tuple[str, ...]) -> None:
    """`fuelplan order SITE >&-` says that standard output is closed; no file that is opened becomes it."""
    command = 'exec "$0" -m fuelplan "$@" >&-'
    done = subprocess.run(
        ["sh", "-c", command, sys.executable, *arguments], stderr=subprocess.PIPE, timeout=100
    )
    assert done.returncode == BAD_INPUT
    assert done.stderr.decode() == "fuelplan: the result could not be shown: standard output is closed\n"


@pytest.mark.parametrize("closed", ["2>&-", "2>/dev/full", "<&-"])
def test_other_streams_that_are_closed_or_full_change_nothing(closed: str) -> None:
    """Without standard error or standard input the result is shown, and a fault keeps its status."""
    command = f'exec "$0" -m fuelplan "$@" {closed}'
    for path, status in ((FAMILY, OK), ("no_such_folder", BAD_INPUT)):
        done = subprocess.run(
            ["sh", "-c", command, sys.executable, "check", path], stdout=subprocess.PIPE, timeout=100
        )
        assert (done.returncode, bool(done.stdout)) == (status, True)


def test_a_reader_who_has_had_enough_is_no_error() -> None:
    """`fuelplan order SITE | head -1` ends quietly."""
    command = '"$0" -m fuelplan "$@" | head -c 1'
    done = subprocess.run(
        ["sh", "-c", command, sys.executable, "degree-days", "x", "--method", "list"],
        capture_output=True, timeout=100,
    )  # fmt: skip
    assert (done.returncode, len(done.stdout), done.stderr) == (0, 1, b"")


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "utf-8"])
def test_names_that_standard_output_has_no_letters_for_are_shown(tmp_path: Path, encoding: str) -> None:
    """A name of another alphabet: "?" in the text, and in JSON the letters by number: they mean the same."""
    folder = make_site(tmp_path / "house", changes=[("Test house", "Дом ő, cats")])
    text = run_python("check", str(folder), PYTHONIOENCODING=encoding)
    assert text.returncode == OK and b"Traceback" not in text.stderr
    last = text.stdout.decode(encoding).splitlines()[-1]
    assert last.startswith("Дом ő, cats" if encoding == "utf-8" else "??? ?, cats")
    document = run_python("check", str(folder), "--json", PYTHONIOENCODING=encoding)
    assert document.returncode == OK
    assert json.loads(document.stdout.decode(encoding))["site"] == "Дом ő, cats"


def test_a_folder_whose_name_is_no_text_is_named(tmp_path: Path) -> None:
    """A name with a byte that is no letter, as old disks hold them, is shown, with "?" for it."""
    odd = os.fsdecode(b"h\xff")
    for more in ((), ("--json",)):
        done = run_python("check", str(tmp_path / odd), *more)
        assert done.returncode == BAD_INPUT
        assert b"Traceback" not in done.stderr and b"no such folder" in done.stdout


def test_ctrl_c_is_said_with_its_status(capsys: pytest.CaptureFixture[str]) -> None:
    """A person who stops the program reads "stopped", status 130."""

    def act() -> int:
        raise KeyboardInterrupt

    assert report_errors(act, as_json=False) == STOPPED
    assert capsys.readouterr().err == "stopped\n"


def test_weather_that_is_not_to_be_had_keeps_its_status(capsys: pytest.CaptureFixture[str]) -> None:
    """Errors with a status of their own keep it."""
    from fuelplan.answers import WeatherUnavailable

    def act() -> int:
        raise WeatherUnavailable("nobody answers")

    assert report_errors(act, as_json=True) == NO_WEATHER
    assert json.loads(capsys.readouterr().out)["error"]["kind"] == "weather"


def test_wrong_usage_with_json_is_a_document(capsys: pytest.CaptureFixture[str]) -> None:
    """An unknown option, an unknown verb and a missing folder come as documents, too."""
    for arguments in (["order", "x", "--nonsense", "--json"], ["nonsense", "--json"], ["order", "--json"]):
        assert left(arguments) == BAD_INPUT
        assert json.loads(capsys.readouterr().out)["error"]["kind"] == "usage"


def test_nothing_is_written_past_the_guard(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where standard output knows plain letters alone, the text still goes through the same guard."""
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))

    def act() -> int:
        import click

        click.echo("a\x9b2J\u202eb")
        return 0

    assert report_errors(act, as_json=False) == OK
    assert raw.getvalue() == b"a?2J?b\n"
