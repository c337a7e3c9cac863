"""`fuelplan learn`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import OK, day_asked, guarded, progress, refetch_asked, show_json, wrapped

if TYPE_CHECKING:
    from fuelplan.answers import LearnAnswer


def run(path: str, as_of: str | None, seed: int, as_json: bool) -> int:
    """Print what the building really burns."""
    return guarded(lambda: _run(path, as_of, seed, as_json), as_json=as_json)


def _run(path: str, as_of: str | None, seed: int, as_json: bool) -> int:
    from fuelplan import answers

    site = answers.open_site(path)
    day = day_asked(site, as_of)
    weather = answers.weather_for(site, day, progress, refetch=refetch_asked([site]))
    answer = answers.learn(site, weather, day, seed)
    if as_json:
        show_json(answer.to_json())
    else:
        click.echo(as_text(answer))
    return OK


def as_text(answer: LearnAnswer) -> str:
    """Return the finding as a person reads it in a terminal."""
    from fuelplan import units

    lines = [
        f"{answer.site}, {units.show_date(answer.as_of, year=True)}",
        "",
        *map(wrapped, answer.sentences),
        "",
    ]
    for name, found, unit, digits in (
        ("For each degree-day", answer.kg_per_degree_day, "kg", 2),
        ("Every day besides", answer.kg_per_day, "kg", 1),
        ("Heating begins below", answer.base_c, "°C", 1),
    ):
        lines.append(
            f"  {name + ':':<24}{found.p50:.{digits}f} {unit}  ({found.p10:.{digits}f} to "
            f"{found.p90:.{digits}f})"
        )
    if answer.cv_rmse is not None and answer.nmbe is not None:
        lines.append(
            f"  {'Scatter, bias:':<24}{answer.cv_rmse:.0%}, {answer.nmbe:+.1%} of the use between readings"
        )
    if answer.intervals:
        lines += [
            "",
            "  "
            f"{'from':<12}{'to':<12}{'days':>6}{'K·d':>8}{'burned kg':>11}{'expected':>10}"
            f"{'sum of difference':>19}",
        ]
        for i in answer.intervals:
            flag = "  set aside" if i.flagged else ""
            lines.append(
                "  "
                f"{i.first_day!s:<12}{i.last_day!s:<12}{i.days:>6.0f}{i.degree_days:>8.0f}{i.used_kg:>11,.0f}"
                f"{i.expected_kg:>10,.0f}{i.cusum_kg:>19,.0f}{flag}"
            )
    lines += ["", *(wrapped(f"! {flag.sentence}") for flag in answer.flags)] if answer.flags else []
    lines += [wrapped(f"! {note}") for note in answer.notes]
    return "\n".join(lines)
