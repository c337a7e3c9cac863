"""The pages in the browser: they ask a person's question, answer it in a sentence, and show why."""

from __future__ import annotations

from fuelplan.pages.serve import server_command

__all__ = ["run", "server_command"]


def run() -> None:
    """Show the page that the address asks for; called by the script that Streamlit runs."""
    from fuelplan.pages.main import run as show

    show()
