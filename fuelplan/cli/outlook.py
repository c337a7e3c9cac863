"""`fuelplan outlook`."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import OK, day_asked, progress, refetch_asked, report_errors, show_json, wrapped

if TYPE_CHECKING:
    from fuelplan.answers import OutlookAnswer

MOST_ROWS = 20
WEEKS = 8
TELL_FROM = 5000  # customers; fewer are done before anybody wonders
MOST_CLASSES = 3
STEP = 512  # customers from one call of progress to the next


def run(
    path: str,
    as_of: str | None,
    seed: int,
    as_json: bool,
    days: int,
    out: str | None,
    sound_only: bool = False,
    workers: int | None = None,
    scheduler: str | None = None,
) -> int:
    """Print what lies ahead of all customers of a round."""
    return report_errors(
        lambda: _run(path, as_of, seed, as_json, days, out, sound_only, workers, scheduler), as_json=as_json
    )


def _run(
    path: str, as_of: str | None, seed: int, as_json: bool, days: int, out: str | None, sound_only: bool,
    workers: int | None, scheduler: str | None,
) -> int:  # fmt: skip
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
    if customers > TELL_FROM and done % (customers // 10) < max(customers // 100, STEP):
        progress(f"{done:,} of {customers:,} customers")


def _place_for(out: str, folder: str) -> Path:
    """Return where to write, refused before any work where that is no place."""
    from fuelplan.answers import export_place

    if Path(out).suffix.lower() not in (".csv", ".parquet"):
        raise ValueError(f'"{out}" must end in .csv or .parquet')
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
    from fuelplan import units

    lines = [
        f"{answer.round}, {units.show_date(answer.as_of, year=True)}",
        "",
        *map(wrapped, answer.sentences),
        "",
        *_weeks(answer),
    ]
    if answer.due:
        lines += ["", "  Top-up customers, deliver by", *_rows(answer, answer.due)]
    if answer.to_ring:
        lines += ["", "  On-request customers to ring", *_rows(answer, answer.to_ring)]
    if answer.readings_doubted:
        lines += ["", "  Readings to ask about", *_doubted(answer)]
    odds = units.show_odds(answer.risk_limit)
    lines += [
        "",
        wrapped(
            "  Up to the day to deliver by, the chance of a level below the reserve stays within "
            f"{odds}; the dates come from {answer.draws:,} draws over {answer.winters} real winters that all "
            "customers share."
        ),
    ]
    lines += [wrapped(f"! {note}") for note in answer.notes]
    return "\n".join(lines)


def _weeks(answer: OutlookAnswer) -> list[str]:
    from fuelplan import units

    need, burned = answer.weekly_t, answer.weekly_burned_t
    if not need.first_day:
        return []
    by_class = answer.weekly_t_by_class if 1 < len(answer.weekly_t_by_class) <= MOST_CLASSES else {}
    heads = "".join(f"{'of it ' + name:>12}" for name in by_class)
    lines = [
        f"  {'week from':<14}{'to deliver, t':>14}{'8 in 10':>15}{heads}{'burned, t':>12}{'8 in 10':>14}"
    ]
    for i, day in enumerate(need.first_day[:WEEKS]):
        classes = "".join(f"{weekly.p50[i]:>12.0f}" for weekly in by_class.values())
        lines.append(
            f"  {units.show_date(day):<14}{need.p50[i]:>14.0f}{_eight(need.p10[i], need.p90[i]):>15}"
            f"{classes}{burned.p50[i]:>12.0f}{_eight(burned.p10[i], burned.p90[i]):>14}"
        )
    return lines


def _doubted(answer: OutlookAnswer) -> list[str]:
    rows = answer.readings_doubted
    lines = [wrapped(one.said, "  ") for one in rows[:MOST_ROWS]]
    more = len(rows) - MOST_ROWS
    return [*lines, f"  … and {more:,} more; --json lists all"] if more > 0 else lines


def _eight(low: float, high: float) -> str:
    return f"{low:.0f} to {high:.0f}"


def _rows(answer: OutlookAnswer, rows: tuple[int, ...]) -> list[str]:
    from fuelplan import units
    from fuelplan.answers import day_of

    t = answer.customers
    width = max([24, *(len(str(t.name[i])) for i in rows[:MOST_ROWS])]) + 2
    lines = [f"  {'':<8}{'':<{width}}{'deliver by':<14}{'left, kg':>9}{'8 in 10':>18}   {'may run out':<12}"]
    for i in rows[:MOST_ROWS]:
        day, out = day_of(t.deliver_by[i]), day_of(t.run_out[i, 1])
        when = "at once" if t.overdue[i] else "later" if day is None else units.show_date(day)
        left = f"{t.level_kg[i, 0]:,.0f} to {t.level_kg[i, 2]:,.0f}"
        lines.append(
            f"  {t.customer[i]:<8}{t.name[i]:<{width}}{when:<14}{t.level_kg[i, 1]:>9,.0f}{left:>18}   "
            f"{'later' if out is None else units.show_date(out):<12}"
        )
    if len(rows) > MOST_ROWS:
        lines.append(f"  … and {len(rows) - MOST_ROWS:,} more; --out FILE.csv or --json lists all")
    return lines
