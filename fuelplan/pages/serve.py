"""How the pages are started: one command, the same for the command line, the tests and the pictures."""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
PAGE = HERE / "page.py"
SERVED = HERE / "app_of_pages.py"  # which the server finds by its name `app`
SETTINGS = HERE / "settings.toml"


def server_command(path: str | None = None, port: int = 8501) -> list[str]:
    """Return the command that serves the pages on this machine alone.

    Parameters
    ----------
    path
        A site folder, or a folder of site folders; None shows the demo houses of a source checkout.
    port
        Port on the loopback address.

    Every setting is given as an argument: arguments win over every settings file, so that none of the
    person's own can open the pages by accident.
    """
    settings = tomllib.loads(SETTINGS.read_text(encoding="utf-8"))
    return [
        *(sys.executable, "-m", "fuelplan.pages.served", "run", str(SERVED)),
        *_arguments(settings),
        f"--server.port={port}",
        "--logger.level=error",
        *(["--", str(Path(path).resolve())] if path is not None else []),
    ]


def _arguments(table: Mapping[str, Any], prefix: str = "") -> Iterator[str]:
    """Yield a table of settings as arguments; a list is its argument repeated."""
    for key, value in table.items():
        name = f"{prefix}{key}"
        if isinstance(value, Mapping):
            yield from _arguments(value, f"{name}.")
            continue
        for item in value if isinstance(value, list) else [value]:
            text = str(item).lower() if isinstance(item, bool) else str(item)
            yield f"--{name}={text}"
