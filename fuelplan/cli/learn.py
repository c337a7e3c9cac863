"""`fuelplan learn`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import (
    OK,
    day_asked,
    progress,
    refetch_asked,
    show_json,
    wrapped,
)

if TYPE_CHECKING:
    from fuelplan.answers import LearnAnswer, PriceSeason, Textbook
    from fuelplan.answers.what_we_burn import LearnedTable
    from fuelplan.messages import Message

PLOT_HALF = 10
"""Characters on either side of zero in the plot of what the line leaves over."""


def run(path: str, as_of: str | None, seed: int, as_json: bool) -> int:
    """Print what the building really burns."""
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
    from fuelplan.answers.what_we_burn import words
    from fuelplan.messages import as_text

    lines = [
        f"{answer.site}, {units.show_date(answer.as_of, year=True)}",
        "",
        *map(wrapped, answer.sentences),
        "",
    ]
    lines += _named([(f.name, f"{as_text(f.middle)}  ({as_text(f.span)})") for f in words.facts(answer)])
    scatter = words.scatter(answer)
    if scatter is not None:
        lines += ["", wrapped(scatter)]
    if answer.intervals:
        lines += ["", *_columns(words.stretches(answer), left=2)]
    lines += ["", *textbook_lines(answer)]
    if answer.price_season is not None:
        lines += ["", *price_lines(answer.price_season, answer.price_season_said)]
    if answer.warming_said is not None:
        lines += ["", wrapped(answer.warming_said)]
    noted = dict.fromkeys([*(flag.sentence for flag in answer.flags), *answer.notes])
    lines += ["", *(wrapped(text, "! ") for text in noted if text not in answer.sentences)]
    return "\n".join(lines)


def textbook_lines(answer: LearnAnswer) -> list[str]:
    """Return where the textbook line parts from what was learned, the line, and what it leaves over."""
    from fuelplan.answers.what_we_burn import words
    from fuelplan.messages import as_text

    lines = [wrapped(answer.textbook_said)]
    book = answer.textbook
    if book is None:
        return lines
    tested = [(c.name, f"{as_text(c.value)}  ({as_text(c.tested)})") for c in words.coefficients(book)]
    lines += ["", *_named([*tested, (words.BASE, as_text(words.base_of_line(book)))])]
    lines += [
        "",
        wrapped(words.fit_said(book)),
        "",
        *_columns(words.points(book), left=2, plots=_plots(book)),
    ]
    lines += ["", wrapped(words.sum_said(book))]
    return lines if book.points[-1].cusum is None else [*lines, wrapped(words.SUM_HOW)]


def price_lines(season: PriceSeason, said: tuple[Message, ...]) -> list[str]:
    """Return when fuel is cheap by the folder's own prices, month by month with its error."""
    from fuelplan.answers.what_we_burn import words

    return [*map(wrapped, said), "", *_columns(words.months(season))]


def _named(rows: Sequence[tuple[Message, str]]) -> list[str]:
    """Return figures under each other, each behind its name."""
    from fuelplan.messages import as_text

    names = [f"{as_text(name)}:" for name, _ in rows]
    width = max(map(len, names)) + 2
    return [f"  {name:<{width}}{text}" for name, (_, text) in zip(names, rows, strict=True)]


def _columns(table: LearnedTable, left: int = 1, plots: Sequence[str] = ()) -> list[str]:
    """Return a table with its words to the left and its numbers to the right, and a plot before the last two
    columns.
    """
    from fuelplan.messages import as_text

    cells = [[as_text(cell) for cell in row] for row in (table.head, *table.rows)]
    if plots:
        for row, plot in zip(cells, ("", *plots), strict=True):
            row.insert(-2, plot)
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    return [_line(row, widths, left) for row in cells]


def _line(cells: Sequence[str], widths: Sequence[int], left: int) -> str:
    padded = [
        f"{c:<{w}}" if i < left else f"{c:>{w}}" for i, (c, w) in enumerate(zip(cells, widths, strict=True))
    ]
    return "  ".join(["", *padded]).rstrip()


def _plots(book: Textbook) -> list[str]:
    """Return what the line leaves over of each stretch as a point in a line of characters, zero marked."""
    most = max(abs(p.residual_kg_per_day) for p in book.points) or 1.0
    return [_plotted(p.residual_kg_per_day / most) for p in book.points]


def _plotted(share: float) -> str:
    marks = ["·"] * (2 * PLOT_HALF + 1)
    marks[PLOT_HALF] = "|"
    marks[PLOT_HALF + round(PLOT_HALF * share)] = "o"
    return "".join(marks)
