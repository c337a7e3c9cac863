"""`fuelplan replay`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import OK, day_asked, progress, refetch_asked, show_json, wrapped

if TYPE_CHECKING:
    from fuelplan.answers import ReplayAnswer
    from fuelplan.messages import Message



def run(
    path: str, as_of: str | None, seed: int, as_json: bool, winters: int, iterations: int | None,
    workers: int, scheduler: str | None,
) -> int:  # fmt: skip
    """Print how the plan does beside two rules over past winters."""
    from fuelplan import answers
    from fuelplan.messages import message, render

    crew = None if scheduler is None else answers.crew_of(None, scheduler)
    round_ = answers.open_round(path)
    day = day_asked(round_, as_of)
    weather = answers.weather_for_round(round_, day, progress, refetch=refetch_asked(round_.areas))
    playing = message(
        "cli_replay.playing",
        "playing {winters} winters three times, day by day; this takes some minutes a winter",
        winters=winters,
    )
    progress(render(playing))
    answer = answers.replay(
        round_, weather, winters, seed, as_of=day, settings=answers.with_moves(iterations), workers=workers,
        crew=crew,
        progress=_progress,
    )  # fmt: skip
    if as_json:
        show_json(answer.to_json())
    else:
        click.echo(as_text(answer))
    return OK


def _progress(share: float, what: Message) -> None:
    """Say what has been played."""
    from fuelplan.messages import Percent, message, render

    progress(render(message("cli_replay.done", "{share}: {what}", share=Percent(share), what=what)))


def as_text(answer: ReplayAnswer) -> str:
    """Return the replay as a person reads it in a terminal."""
    from fuelplan.answers.past_winters import presented
    from fuelplan.messages import render

    lines = [render(presented.title(answer)), "", *map(wrapped, answer.sentences), "", *table_of(answer), ""]
    lines += [wrapped(said, "  ") for said in presented.basis(answer)]
    lines += [wrapped(note, "! ") for note in answer.notes]
    return "\n".join(lines)


def table_of(answer: ReplayAnswer) -> list[str]:
    """Return the table of the policies: a line for each figure."""
    from fuelplan.answers.past_winters import presented
    from fuelplan.messages import as_text as shown

    return [
        f"  {shown(figure):<34}" + "".join(f"{shown(cell):>28}" for cell in cells)
        for figure, *cells in presented.table(answer)
    ]
