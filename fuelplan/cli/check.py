"""`fuelplan check`."""

from __future__ import annotations

import click

from fuelplan.cli.outcome import BAD_INPUT, OK, SCHEMA, guarded, show_json


def run(path: str, as_json: bool) -> int:
    """Show every fault of a folder; 0 when there is none."""
    return guarded(lambda: _run(path, as_json), as_json=as_json)


def _run(path: str, as_json: bool) -> int:
    from fuelplan.answers import check_folder, check_weather

    site, faults = check_folder(path)
    if site is not None:
        faults = [*faults, *check_weather(site)]
    faults = sorted(faults, key=lambda f: (f.file, f.line or 0))
    if as_json:
        listed = [{"file": f.file, "line": f.line, "key": f.key, "message": f.message} for f in faults]
        show_json({"schema": SCHEMA, "site": None if site is None else site.name, "faults": listed})
    elif faults:
        for fault in faults:
            click.echo(str(fault))
        click.echo(f"{len(faults)} fault{'s' if len(faults) != 1 else ''}", err=True)
    elif site is not None:
        click.echo(
            f"{site.name}: sound. {len(site.deliveries)} deliveries and orders, {len(site.readings)} "
            "readings."
        )
    return BAD_INPUT if faults else OK
