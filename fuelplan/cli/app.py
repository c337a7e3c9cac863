"""`fuelplan app`: hands over to the server of the pages, on this machine's own address only."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from pathlib import Path

import click

from fuelplan.cli.outcome import BAD_INPUT

HOST = "127.0.0.1"


def run(path: str | None, port: int) -> int:
    """Serve the pages until Ctrl-C; return the exit status."""
    from fuelplan.messages import Own, message, render
    from fuelplan.pages import server_command

    if path is not None and not Path(path).is_dir():
        said = message(
            "app.no_folder", "fuelplan: {folder}: no such folder; give the one that holds site.toml",
            folder=Own(path),
        )  # fmt: skip
        click.echo(render(said), err=True)
        return BAD_INPUT
    if not _is_free(port):
        said = message(
            "app.port_taken", "fuelplan: port {port} is taken; give another one, e.g. --port {other}",
            port=Own(str(port)), other=Own(str(port + 1)),
        )  # fmt: skip
        click.echo(render(said), err=True)
        return BAD_INPUT
    command = server_command(path, port)
    said = message(
        "app.address", "fuelplan: the page is at {address} (stop it with Ctrl-C)",
        address=Own(f"http://localhost:{port}"),
    )  # fmt: skip
    click.echo(render(said), err=True)
    if os.name == "nt":
        return subprocess.call(command)
    os.execv(sys.executable, command)


def _is_free(port: int) -> bool:
    """Tell whether a server could listen on the port."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError:
            return False
    return True
