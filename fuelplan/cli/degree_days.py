"""`fuelplan degree-days`."""

from __future__ import annotations

import click

from fuelplan.cli.outcome import OK, SCHEMA, report_errors, show_json


def run(path: str, base: float, unit: str, method: str, by: str, as_json: bool) -> int:
    """Print the degree-days of a weather file."""
    if method == "list":
        return _list_methods()
    return report_errors(lambda: _run(path, base, unit, method, by, as_json), as_json=as_json)


def _list_methods() -> int:
    from fuelplan.answers import degree_day_methods

    for name, says, source in degree_day_methods():
        click.echo(f"{name:<18}{says} ({source})")
    return OK


def _run(path: str, base: float, unit: str, method: str, by: str, as_json: bool) -> int:
    from fuelplan.answers import degree_days_of_file

    found = degree_days_of_file(path, base, unit=unit, method=method, by=by)
    if as_json:
        show_json({"schema": SCHEMA, **found.to_json()})
        return OK
    for row in found.rows:
        missing = f"   {row.missing} of {row.days} days missing" if row.missing else ""
        click.echo(
            f"{row.period:<12}{row.value:>10.1f}{missing}"
            if row.value is not None
            else f"{row.period:<12}         –{missing}"
        )
    click.echo(f"{'total':<12}{found.total:>10.1f}")
    click.echo(f"{found.unit_said}, method {found.method}: {found.says}", err=True)
    for note in found.notes:
        click.echo(note, err=True)
    return OK
