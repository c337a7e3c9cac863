"""How the pages are started: one command, the same for the command line, the tests and the pictures."""

from __future__ import annotations

import sys
from pathlib import Path

HOST = "127.0.0.1"
PAGE = Path(__file__).parent / "page.py"


def server_command(path: str | None = None, port: int = 8501) -> list[str]:
    """Return the command that serves the pages on this machine alone.

    Parameters
    ----------
    path
        A site folder, or a folder of site folders; None shows the demo houses of a source checkout.
    port
        Port on the loopback address.

    The settings that keep the pages closed stand in `.streamlit/config.toml` next to the page, and once more
    here: arguments win over every settings file, so none of the person's own can open them by accident.
    """
    return [
        *(sys.executable, "-m", "streamlit", "run", str(PAGE)),
        f"--server.address={HOST}",
        f"--server.port={port}",
        "--server.headless=true",
        "--server.enableXsrfProtection=true",
        "--server.showEmailPrompt=false",
        "--browser.gatherUsageStats=false",
        "--client.showErrorDetails=type",
        "--client.toolbarMode=viewer",
        "--logger.level=error",
        *(["--", str(Path(path).resolve())] if path is not None else []),
    ]
