"""`fuelplan replay`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import OK, day_asked, progress, refetch_asked, report_errors, show_json, wrapped

if TYPE_CHECKING:
    from fuelplan.answers import ReplayAnswer

NAMES = {
    "plan": "the plan",
    "rings": "when they ring",
    "k-factor": "K-factor",
}


def run(
    path: str, as_of: str | None, seed: int, as_json: bool, winters: int, iterations: int | None,
    workers: int, scheduler: str | None = None,
) -> int:  # fmt: skip
    """Print how the plan does beside two rules over past winters."""
    return report_errors(
        lambda: _run(path, as_of, seed, as_json, winters, iterations, workers, scheduler), as_json=as_json
    )


def _run(
    path: str, as_of: str | None, seed: int, as_json: bool, winters: int, iterations: int | None,
    workers: int, scheduler: str | None,
) -> int:  # fmt: skip
    from fuelplan import answers

    crew = None if scheduler is None else answers.crew_of(None, scheduler)
    round_ = answers.open_round(path)
    day = day_asked(round_, as_of)
    weather = answers.weather_for_round(round_, day, progress, refetch=refetch_asked(round_.areas))
    progress(f"playing {winters} winters three times, day by day; this takes some minutes a winter")
    answer = answers.replay(
        round_, weather, winters, seed, as_of=day, settings=answers.with_moves(iterations), workers=workers,
        crew=crew,
        progress=lambda share, what: progress(f"{share:.0%}: {what}"),
    )  # fmt: skip
    if as_json:
        show_json(answer.to_json())
    else:
        click.echo(as_text(answer))
    return OK


def as_text(answer: ReplayAnswer) -> str:
    """Return the replay as a person reads it in a terminal."""
    lines = [f"{answer.round}: {len(answer.winters)} winters played again", ""]
    lines += [wrapped(s) for s in answer.sentences]
    lines += ["", *table_of(answer), ""]
    if answer.loss is not None:
        a = answer.loss
        lines.append(
            wrapped(
                f"  On {a.evenings} evenings the search was given {a.full_moves:,} moves as well as "
                f"{a.moves:,}: the short budget loses {a.per_plan.mean:.0f} {answer.currency} a plan of "
                f"{answer.days} days ({a.per_plan.low:.0f} to {a.per_plan.high:.0f}), {a.share:.1%} of what "
                "its deliveries cost."
            )
        )
    lines.append(wrapped(f"  What was burned: {answer.truth}. Ranges hold 95 %, by winter."))
    lines += [wrapped(f"! {note}") for note in answer.notes]
    return "\n".join(lines)


def table_of(answer: ReplayAnswer) -> list[str]:
    """Return the table of the policies: a line for each figure."""
    width = 28
    rows = [f"  {'':<34}" + "".join(f"{NAMES.get(p.name, p.name):>{width}}" for p in answer.policies)]
    figures = (
        ("run-outs per 1,000 customer-years", "run_outs_per_1000_customer_years", 1),
        ("kilometres a tonne", "km_per_t", 2),
        ("kilometres a tonne burned", "km_per_burned_t", 2),
        ("tonnes a drop", "t_per_drop", 2),
        (f"{answer.currency} a tonne, without the fuel", "cost_per_t", 2),
        ("tanker hours a tonne", "hours_per_t", 3),
        ("overtime hours a year", "overtime_h_per_year", 1),
    )
    for words, key, digits in figures:
        cells = ""
        for p in answer.policies:
            at = getattr(p, key)
            cells += f"{f'{at.mean:.{digits}f} ({at.low:.{digits}f} to {at.high:.{digits}f})':>{width}}"
        rows.append(f"  {words:<34}{cells}")
    for words, key in (("run-outs in all", "run_outs"), ("orders late", "late_orders"), ("drops", "drops")):
        rows.append(f"  {words:<34}" + "".join(f"{getattr(p, key):>{width},}" for p in answer.policies))
    return rows
