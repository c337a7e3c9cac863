"""The process that serves the pages: what every page needs is read in while the first browser still opens."""

from __future__ import annotations

import importlib
import signal
import sys
import threading
from contextlib import suppress

NEEDED = (
    "fuelplan.pages.main",
    "fuelplan.answers.when_to_order.order",
    "fuelplan.answers.weather_of_site",
    "fuelplan.pages.order.page",
    "fuelplan.records.site.checks",
    "fuelplan.answers.house.opening",
    "pint",
    "holidays.countries",
)
"""In the order in which the first page asks for them."""


def read_in() -> None:
    """Import what the first page needs; whoever asks for it meanwhile waits for that part alone."""
    for name in NEEDED:
        with suppress(ImportError):  # the page itself says what is missing
            importlib.import_module(name)


def main() -> None:
    """Serve the pages as `streamlit run` does, with its arguments."""
    from streamlit.web.cli import main as serve

    # The server hands the signal on once it has ended: an orderly end removes what is temporary.
    signal.signal(signal.SIGTERM, lambda number, frame: sys.exit(0))
    threading.Thread(target=read_in, name="read-in", daemon=True).start()
    sys.argv[0] = "streamlit"
    serve()


if __name__ == "__main__":
    main()
