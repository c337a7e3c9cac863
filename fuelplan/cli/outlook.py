"""`fuelplan outlook`."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import OK, day_asked, progress, refetch_asked, show_json, wrapped

if TYPE_CHECKING:
    from fuelplan.answers import OutlookAnswer

MOST_ROWS = 20
WEEKS = 8
TELL_FROM = 5000  # customers; fewer are done before anybody wonders
MOST_CLASSES = 3
STEP = 512  # customers from one call of progress to the next


def run(
    path: str, as_of: str | None, seed: int, as_json: bool, days: int, out: str | None, sound_only: bool,
    workers: int | None, scheduler: str | None,
) -> int:  # fmt: skip
    """Print what lies ahead of all customers of a round."""
    from fuelplan import answers

    file = None if out is None else _place_for(out, path)
    crew = answers.crew_of(workers, scheduler)
    round_ = answers.open_round(path, sound_only=sound_only)
    day = day_asked(round_, as_of)
    weather = answers.weather_for_round(round_, day, progress, refetch=refetch_asked(round_.areas))
    answer = answers.outlook(round_, weather, day, seed, days=days, crew=crew, progress=_progress)
    if file is not None:
        _write(file, answer)
    if as_json:
        document = answer.to_json(with_customers=file is None)
        if file is not None:
            document["customers_file"] = str(file)
        show_json(document)
    else:
        click.echo(as_text(answer))
        if file is not None:
            click.echo(f"\nwrote {file}")
    return OK


def _progress(done: int, customers: int) -> None:
    """Tell about every tenth of a long list."""
    from fuelplan.messages import message, render

    if customers > TELL_FROM and done % (customers // 10) < max(customers // 100, STEP):
        said = message("cli_outlook.done", "{done} of {all} customers", done=done, all=customers)
        progress(render(said))


def _place_for(out: str, folder: str) -> Path:
    """Return where to write, refused before any work where that is no place."""
    from fuelplan.answers import export_place
    from fuelplan.messages import Own, Refusal, message

    if Path(out).suffix.lower() not in (".csv", ".parquet"):
        raise Refusal(message("cli_outlook.ending", '"{file}" must end in .csv or .parquet', file=Own(out)))
    file: Path = export_place(out, folder)
    return file


def _write(file: Path, answer: OutlookAnswer) -> None:
    """Write the customers beside the file first, then put them in its place."""
    from fuelplan.answers import save_file, spreadsheet_text

    frame = answer.customers.frame()
    if file.suffix.lower() == ".parquet":
        buffer = io.BytesIO()
        frame.to_parquet(buffer, index=False)
        save_file(file, buffer.getvalue())
        return
    for name in ("customer", "name"):
        frame[name] = [spreadsheet_text(str(text)) for text in frame[name]]
    save_file(file, frame.to_csv(index=False, lineterminator="\n").encode("utf-8"))


def as_text(answer: OutlookAnswer) -> str:
    """Return the outlook as a person reads it in a terminal."""
    from fuelplan.answers.who_is_due import presented
    from fuelplan.messages import Day, Own, message, render

    day = Day(answer.as_of, year=True)
    lines = [
        render(message("cli_outlook.title", "{round}, {day}", round=Own(answer.round), day=day)),
        "",
        *map(wrapped, answer.sentences),
        "",
        *_weeks(answer),
    ]
    for title, rows in ((presented.TOP_UP, answer.due), (presented.TO_RING, answer.to_ring)):
        if rows:
            lines += ["", f"  {render(title)}", *_rows(answer, rows)]
    if answer.readings_doubted:
        lines += ["", f"  {render(presented.READINGS)}", *_doubted(answer)]
    lines += ["", wrapped(presented.basis(answer), "  ")]
    lines += [wrapped(note, "! ") for note in answer.notes]
    return "\n".join(lines)


def _weeks(answer: OutlookAnswer) -> list[str]:
    from fuelplan.answers.who_is_due import presented
    from fuelplan.messages import as_text as shown

    if not answer.weekly_t.first_day:
        return []
    classes = len(answer.weekly_t_by_class)
    of_it = list(answer.weekly_t_by_class) if 1 < classes <= MOST_CLASSES else []
    widths = (14, 15, *(12 for _ in of_it), 12, 14)
    table = [presented.weeks_head(of_it), *presented.weeks_rows(answer, of_it, WEEKS)]
    return [
        f"  {shown(week):<14}" + "".join(f"{shown(cell):>{w}}" for cell, w in zip(cells, widths, strict=True))
        for week, *cells in table
    ]


def _doubted(answer: OutlookAnswer) -> list[str]:
    from fuelplan.messages import message, render

    rows = answer.readings_doubted
    lines = [wrapped(one.said, "  ") for one in rows[:MOST_ROWS]]
    more = len(rows) - MOST_ROWS
    if more <= 0:
        return lines
    said = message("cli_outlook.more", "… and {more} more; --json lists all", more=more)
    return [*lines, f"  {render(said)}"]


def _rows(answer: OutlookAnswer, rows: tuple[int, ...]) -> list[str]:
    from fuelplan.answers.who_is_due import presented
    from fuelplan.messages import as_text as shown
    from fuelplan.messages import message, render

    cells = [tuple(map(shown, row)) for row in presented.customer_rows(answer.customers, rows[:MOST_ROWS])]
    width = max([24, *(len(row[1]) for row in cells)]) + 2
    head = ("", "", *map(shown, presented.CUSTOMER_HEAD))
    lines = [
        f"  {number:<8}{name:<{width}}{by:<14}{left:>11}{span:>20}   {out:<12}"
        for number, name, by, left, span, out in (head, *cells)
    ]
    more = len(rows) - MOST_ROWS
    if more > 0:
        said = message(
            "cli_outlook.more_rows", "… and {more} more; --out FILE.csv or --json lists all", more=more
        )
        lines.append(f"  {render(said)}")
    return lines
