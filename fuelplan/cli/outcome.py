"""How results and errors leave the command line."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from datetime import date
from typing import TYPE_CHECKING, Any, cast

import click

if TYPE_CHECKING:
    from fuelplan.units import Reader

SCHEMA = 1
REFETCH = "fuelplan.refetch"  # under which the command line keeps what --refetch said
WIDTH = 110
OK, BAD_INPUT, NO_WEATHER, ORDER_DUE, STOPPED = 0, 2, 3, 10, 130


def wrapped(text: str) -> str:
    """Return a paragraph broken into lines for a terminal, in the reader's units."""
    from fuelplan.units import for_reader

    return textwrap.fill(for_reader(text), WIDTH, subsequent_indent="  ", break_on_hyphens=False)


def reader_of(us: bool) -> Reader:
    """Return for whom is written: with `--us`, for a person in the United States."""
    from fuelplan.units import Reader

    return Reader("us", "month first") if us else Reader()


def show_json(document: dict[str, Any]) -> None:
    """Print one JSON document."""
    click.echo(json.dumps(document, ensure_ascii=False, indent=1))


def show_error(kind: str, message: str, faults: Sequence[Any] = (), *, as_json: bool) -> None:
    """Print an error: as a document on stdout with `--json`, else in plain lines on stderr."""
    if as_json:
        listed = [{"file": f.file, "line": f.line, "key": f.key, "message": f.message} for f in faults]
        show_json({"schema": SCHEMA, "error": {"kind": kind, "message": message, "faults": listed}})
        return
    if not faults:
        click.echo(_harmless(f"fuelplan: {message}"), err=True)
    for line in _lines(faults):
        click.echo(_harmless(line), err=True)


def _harmless(text: str) -> str:
    """Return a text that may hold what a file or a server sent, without what would steer the terminal."""
    from fuelplan.answers import STEERING

    return STEERING.sub("?", text)


class _HarmlessStream:
    """Standard output through which no name of a customer steers the terminal."""

    def __init__(self, stream: Any) -> None:
        self._stream = stream

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)

    def write(self, text: str) -> int:
        """Write a text without its control characters."""
        return int(self._stream.write(_harmless(text)))


def _lines(faults: Sequence[Any]) -> list[str]:
    """Return the faults as lines; of very many, the first and how many there are of each kind."""
    from fuelplan.answers.round_check import shown

    return shown(faults)


def guarded(action: Callable[[], int], *, as_json: bool) -> int:
    """Run an action; turn the errors a person can mend into messages and an exit status."""
    from fuelplan.answers import SiteFaults, WeatherFault, WeatherUnavailable

    try:
        with redirect_stdout(cast(Any, _HarmlessStream(sys.stdout))):
            return action()
    except SiteFaults as error:
        show_error("site", str(error), error.faults, as_json=as_json)
        return BAD_INPUT
    except WeatherFault as error:
        show_error("weather-file", str(error), _weather_faults(error), as_json=as_json)
        return BAD_INPUT
    except WeatherUnavailable as error:
        show_error("weather", str(error), as_json=as_json)
        return NO_WEATHER
    except ValueError as error:
        show_error("input", str(error), as_json=as_json)
        return BAD_INPUT
    except OSError as error:
        what = error.strerror or str(error)
        show_error("file", f"{error.filename}: {what}" if error.filename else what, as_json=as_json)
        return BAD_INPUT


def _weather_faults(error: Any) -> list[Any]:
    from fuelplan.answers import Fault

    return [Fault(error.path.name, fault.line or None, fault.column, fault.message) for fault in error.faults]


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
        raise ValueError("--refetch: nothing is fetched here; the weather is a file's or monthly means")
    return asked


def progress(text: str) -> None:
    """Show what is being done, on stderr and only to a person."""
    if sys.stderr.isatty():
        click.echo(_harmless(text), err=True)
