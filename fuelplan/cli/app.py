"""`fuelplan app`: the pages, served on this machine's own address only."""

from __future__ import annotations


def run(path: str | None, as_of: str | None, port: int) -> int:
    """Serve the pages until Ctrl-C; return the exit status."""
    from fuelplan.ui.serve import main

    arguments = ["--port", str(port)]
    if as_of is not None:
        arguments += ["--as-of", as_of]
    if path is not None:
        arguments += ["--", path]
    return main(arguments)
