"""`fuelplan check`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from fuelplan.cli.outcome import BAD_INPUT, LISTED, OK, day_asked, listed, show_json


def run(path: str, as_json: bool) -> int:
    """Show every fault of a site or a round folder; 0 when there is none."""
    from fuelplan.answers.round import is_round

    return _round(path, as_json) if is_round(path) else _site(path, as_json)


def _site(path: str, as_json: bool) -> int:
    from fuelplan.answers import check_folder, check_order, check_plausible, check_weather, today_of

    site, faults = check_folder(path, today_of)
    if site is not None:
        faults = [*faults, *check_weather(site)]
    grave = bool(faults)
    if site is not None and not grave:
        faults = [*check_plausible(site), *check_order(site, day_asked(site, None))]
    faults = sorted(faults, key=lambda f: (f.file, f.line or 0))
    if as_json:
        show_json({"site": None if site is None else site.name, **_listed(faults)})
    elif faults:
        _show(faults)
    if not as_json and not grave and site is not None:
        from fuelplan.messages import Own, message, render

        said = message(
            "check.sound",
            "{name}: sound. {deliveries} deliveries and orders, {readings} readings.",
            name=Own(site.name), deliveries=len(site.deliveries), readings=len(site.readings),
        )  # fmt: skip
        click.echo(render(said))
    return BAD_INPUT if grave else OK


def _round(path: str, as_json: bool) -> int:
    """Show the faults of a round; warnings alone leave the folder sound."""
    from fuelplan.answers.round import check_round_folder

    found = check_round_folder(path)
    if as_json:
        name = None if found.round is None else found.round.name
        show_json({"round": name, **_listed(found.faults)})
        return BAD_INPUT if found.grave else OK
    if found.faults:
        _show(found.faults)
    if not found.grave and found.round is not None:
        table, customers = found.round.table, len(found.round.customers)
        from fuelplan.messages import Own, message, render

        said = message(
            "check.round_sound",
            "{name}: sound. {customers} customers, {tankers} tankers, {depots} depots, {deliveries} "
            "deliveries, {readings} readings, {orders} orders.",
            name=Own(found.round.name), customers=customers, tankers=len(table.tankers),
            depots=len(table.depots), deliveries=len(found.round.deliveries),
            readings=len(found.round.readings), orders=len(found.round.orders),
        )  # fmt: skip
        click.echo(render(said))
    return BAD_INPUT if found.grave else OK


def _listed(faults: Sequence[Any]) -> dict[str, Any]:
    """Return the first faults one by one, how many more there are, and how many of each kind."""
    from fuelplan.answers.round import counted
    from fuelplan.messages import in_document

    kinds = counted(faults)[:LISTED]
    return {
        "faults": [{**f.to_json(), "warning": f.warning} for f in faults[:LISTED]],
        "more_faults": max(len(faults) - LISTED, 0),
        "counts": [
            {"file": file, "key": key, "what": in_document(what), "count": n} for file, key, what, n in kinds
        ],
    }


def _show(faults: Sequence[Any]) -> None:
    """Print the faults on stdout and how many there are on stderr."""
    from fuelplan.messages import counted_message, render

    for line in listed(faults):
        click.echo(line)
    grave = sum(not fault.warning for fault in faults)
    warnings = len(faults) - grave
    said = []
    if grave or not warnings:
        said.append(counted_message("check.faults", "{n} fault", "{n} faults", grave))
    if warnings:
        said.append(counted_message("check.warnings", "{n} warning", "{n} warnings", warnings))
    click.echo(", ".join(map(render, said)), err=True)
