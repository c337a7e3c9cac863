"""`fuelplan degree-days`."""

from __future__ import annotations

import click

from fuelplan.cli.outcome import OK, show_json


def _list_methods() -> int:
    from fuelplan.answers import degree_day_methods
    from fuelplan.messages import as_text

    for name, says in degree_day_methods():
        click.echo(f"{name:<18}{as_text(says)}")
    return OK


def run(path: str, base: float, unit: str, method: str, by: str, as_json: bool) -> int:
    """Print the degree-days of a weather file."""
    from fuelplan.answers import degree_days_of_file
    from fuelplan.messages import as_text, message

    if method == "list":
        return _list_methods()
    found = degree_days_of_file(path, base, unit=unit, method=method, by=by)
    if as_json:
        show_json(found.to_json())
        return OK
    for row in found.rows:
        gone = message(
            "degree_days.of_days_missing",
            "{missing} of {days} days missing",
            missing=row.missing,
            days=row.days,
        )
        missing = f"   {as_text(gone)}" if row.missing else ""
        value = f"{'–':>10}" if row.value is None else f"{row.value:>10.1f}"
        click.echo(f"{row.period:<12}{value}{missing}")
    total = message("degree_days.total", "total")
    click.echo(f"{as_text(total):<12}{found.total:>10.1f}")
    for said in (found.described, *found.notes):
        click.echo(as_text(said), err=True)
    return OK
