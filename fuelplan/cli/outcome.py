"""How results and errors leave the command line."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from fuelplan.cli.streams import NotShown, Shown, forget_the_rest, standard_output_kept
from fuelplan.units import escaped, one_line

if TYPE_CHECKING:
    from fuelplan.messages import Message, Said, Value
    from fuelplan.units import Reader

REFETCH = "fuelplan.refetch"  # under which the command line keeps what --refetch said
WIDTH = 110
LISTED = 1_000  # faults in a document; beyond, they are counted
OK, BAD_INPUT, NO_WEATHER, ORDER_DUE, STOPPED = 0, 2, 3, 10, 130


def wrapped(said: Said, before: str = "") -> str:
    """Return a paragraph broken into lines for a terminal, in the reader's units, behind a mark."""
    return hung(before, said, "  ")


def hung(first: str, said: Said | Value, below: str | None = None) -> str:
    """Return a paragraph behind `first`, broken into lines: the further ones stand behind `below`, or under
    its first word. A number stays in one line with its unit.
    """
    from fuelplan.messages import as_text
    from fuelplan.units import reader, unbroken

    with unbroken():
        text, held = as_text(said), reader().space
    lines = textwrap.fill(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first) if below is None else below,
        break_on_hyphens=False,
    )
    return lines.replace(held, " ")


def reader_of(us: bool) -> Reader:
    """Return for whom is written: with `--us`, for a person in the United States."""
    from fuelplan.units import Reader

    return Reader("us", "month first") if us else Reader()


def show_json(document: dict[str, Any]) -> None:
    """Print one JSON document of the present schema; letters that standard output has not, and what would
    steer it, by number.
    """
    from fuelplan.messages import SCHEMA

    document = {"schema": SCHEMA, **document}
    text = json.dumps(document, ensure_ascii=False, indent=1)
    if isinstance(sys.stdout, Shown) and not sys.stdout.can_write(text):
        text = json.dumps(document, indent=1)
    click.echo(escaped(text))


def show_error(kind: str, said: Said, faults: Sequence[Any] = (), *, as_json: bool) -> None:
    """Print an error: as a document on stdout with `--json`, else in plain lines on stderr."""
    from fuelplan.messages import as_message, as_text, in_document

    if as_json:
        first = faults[:LISTED]
        places = [fault.to_json() for fault in first]
        error = in_document(as_message(said))
        more = len(faults) - len(first)
        told = {"kind": kind, "message": error["text"], **error, "faults": places, "more_faults": more}
        show_json({"error": told})
        return
    for line in listed(faults) if faults else [f"fuelplan: {as_text(said)}"]:
        with suppress(OSError):  # a full disk behind standard error: the exit status still tells
            click.echo(one_line(line), err=True)


def listed(faults: Sequence[Any]) -> list[str]:
    """Return the faults as lines; of very many, the first and how many there are of each kind."""
    from fuelplan.answers.round import fault_lines
    from fuelplan.messages import render
    from fuelplan.units import one_line

    return [one_line(render(line)) for line in fault_lines(faults)]


def report_errors(action: Callable[[], int], *, as_json: bool) -> int:
    """Run an action; whatever goes wrong in it becomes one sentence, and a status of the contract.

    With `as_json` the sentence comes in the document of an error.
    """
    try:
        with standard_output_kept() as stream:
            status = _mapped(action, as_json)
            stream.flush()
        return status
    except click.exceptions.Exit as left:
        return int(left.exit_code)
    except BrokenPipeError:  # whoever read the result had enough of it
        forget_the_rest()
        return OK
    except NotShown as error:
        forget_the_rest()
        from fuelplan.messages import message, said_by

        said = message("cli.not_shown", "the result could not be shown: {why}", why=said_by(error))
        show_error("output", said, as_json=False)
        return BAD_INPUT


def _mapped(action: Callable[[], int], as_json: bool) -> int:
    try:
        return int(action() or OK)
    except (NotShown, BrokenPipeError, click.exceptions.Exit):
        raise
    except (KeyboardInterrupt, click.Abort):
        with suppress(OSError):
            click.echo("stopped", err=True)
        return STOPPED
    except Exception as error:
        kind, said, faults, status = told(error)
        show_error(kind, said, faults, as_json=as_json)
        return status


def told(error: Exception) -> tuple[str, Said, Sequence[Any], int]:
    """Return kind, message, faults and exit status of an error."""
    from fuelplan.answers import SiteFaults, WeatherFault, WeatherUnavailable
    from fuelplan.messages import Own, as_message, message, said_by

    if isinstance(error, click.UsageError):
        return "usage", error.format_message(), (), BAD_INPUT
    if isinstance(error, SiteFaults):
        return "site", said_by(error), error.faults, BAD_INPUT
    if isinstance(error, WeatherFault):
        return "weather-file", said_by(error), error.faults, BAD_INPUT
    if isinstance(error, WeatherUnavailable):
        return "weather", said_by(error), (), NO_WEATHER
    if type(error) is MemoryError:
        said = message("cli.memory", "there is not enough memory for this; end other programs")
        return "memory", said, (), BAD_INPUT
    if isinstance(error, OSError) and not isinstance(error, ValueError):
        said = as_message(error.strerror or str(error))
        if error.filename:
            said = message("cli.file", "{file}: {why}", file=Own(str(error.filename)), why=said)
        return "file", said, (), BAD_INPUT
    if isinstance(error, ValueError) and not isinstance(error, UnicodeError):
        return "input", said_by(error), (), BAD_INPUT
    return "program", _unforeseen(error), (), BAD_INPUT


def _unforeseen(error: Exception) -> Message:
    """Return what there is to say about an error that nobody foresaw: what, and where in the program."""
    import traceback

    from fuelplan.messages import Own, message

    at = traceback.extract_tb(error.__traceback__)[-1:]
    kind = Own(type(error).__name__)
    first = Own((str(error).splitlines() or [""])[0][:200])
    if not at:
        return message(
            "cli.unforeseen",
            "this is a fault of the program, not yours ({kind}: {what}); report it with the folder it "
            "happened on",
            kind=kind, what=first,
        )  # fmt: skip
    return message(
        "cli.unforeseen_there",
        "this is a fault of the program, not yours ({kind} in {file}, line {line}: {what}); report it with "
        "the folder it happened on",
        kind=kind, file=Own(Path(at[0].filename).name), line=Own(str(at[0].lineno)), what=first,
    )  # fmt: skip


def day_asked(site: Any, as_of: str | None) -> date:
    """Return the day to answer for: as asked, the example folder's own, or today where the site stands."""
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from fuelplan import units

    if as_of is not None:
        return units.parse_date(as_of)
    if site.table.example_date is not None:
        day: date = site.table.example_date
        return day
    return datetime.now(ZoneInfo(site.table.place.time_zone)).date()


def refetch_asked(folders: Sequence[Any]) -> bool:
    """Return whether weather is to be fetched anew; refused where no folder has weather of stations."""
    context = click.get_current_context(silent=True)
    asked = context is not None and bool(context.meta.get(REFETCH))
    named = {source for f in folders for source in (f.table.weather.source, f.table.weather.fallback)}
    if asked and "meteostat" not in named:
        from fuelplan.messages import Refusal, message

        raise Refusal(
            message(
                "cli.refetch", "--refetch: nothing is fetched here; the weather is a file's or monthly means"
            )
        )
    return asked


def progress(said: Said) -> None:
    """Show what is being done, on stderr and only to a person."""
    from fuelplan.messages import as_text

    if sys.stderr is not None and sys.stderr.isatty():
        with suppress(OSError):
            click.echo(one_line(as_text(said)), err=True)
