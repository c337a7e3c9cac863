"""`fuelplan runs`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any

import click

from fuelplan.cli import runs_noted
from fuelplan.cli.outcome import (
    OK,
    STOPPED,
    day_asked,
    progress,
    refetch_asked,
    show_json,
    wrapped,
)
from fuelplan.cli.stopping import first_one_asks

if TYPE_CHECKING:
    from fuelplan.answers import Crew, Round, RunsAnswer
    from fuelplan.answers.which_runs import Run
    from fuelplan.messages import Message, Said

TOLD_STEPS = 10
STOPPING = "stopping: the best plan so far gets its times; Ctrl-C again ends at once"


@dataclass(frozen=True)
class RunsAsked:
    """What the command line asked for."""

    days: int | None = None
    moves: int | None = None
    seconds: float | None = None
    publish: int = 0
    files: dict[str, str | None] = field(default_factory=dict)
    happened: Sequence[str] = ()
    wishes: Sequence[tuple[str, str]] = ()
    sound_only: bool = False
    by_depot: bool = False
    workers: int | None = None
    scheduler: str | None = None
    take_back: Sequence[str] = ()
    by: str | None = None
    plan: str | None = None


def run(path: str, as_of: str | None, seed: int, as_json: bool, asked: RunsAsked) -> int:
    """Print the run plan of a round."""
    from fuelplan import answers

    files = {kind: answers.export_place(out, path) for kind, out in asked.files.items() if out is not None}
    crew = answers.crew_of(asked.workers, asked.scheduler)
    if not (crew.here or asked.by_depot):
        from fuelplan.messages import Refusal, message

        raise Refusal(
            message(
                "cli.needs_by_depot",
                "one depot is planned in one piece; other workers need --by-depot as well",
            )
        )
    if asked.publish > 1:
        _refuse_publish(path, asked)
    round_, day, taken = _noted(path, as_of, asked)
    answer, stopped = _planned(round_, day, seed, asked, crew)
    for kind, file in files.items():
        answers.save_file(file, _content(kind, answer, round_))
    published = 0
    if asked.publish and not stopped:
        days = answer.days[: asked.publish]
        published = answers.publish_runs(round_, answer, days, by=name_of(asked.by), plan=asked.plan)
    if as_json:
        document = answer.to_json()
        document["files"] = {kind: str(file) for kind, file in files.items()}
        document["published_stops"] = published
        document["noted"] = runs_noted.as_json(round_)
        document["taken_back"] = taken
        document["stopped"] = stopped
        show_json(document)
    else:
        lines = [as_text(answer), *runs_noted.lines(round_), *taken, *(f"wrote {f}" for f in files.values())]
        if asked.publish:
            lines.append(_published(None if stopped else published, answer, asked.publish))
        click.echo("\n".join(lines))
    return STOPPED if stopped else OK


def _refuse_publish(path: str, asked: RunsAsked) -> None:
    """Raise where more days are to be published than planned, before anything is noted."""
    from fuelplan import answers

    days = answers.table_of_round(path).rules.horizon_days if asked.days is None else asked.days
    if asked.publish > days:
        from fuelplan.messages import Refusal, message

        raise Refusal(
            message(
                "cli.publish_too_many",
                "--publish {days}: {planned} working days are planned; plan more with --days",
                days=asked.publish, planned=days,
            )
        )  # fmt: skip


def _planned(round_: Round, day: date, seed: int, asked: RunsAsked, crew: Crew) -> tuple[RunsAnswer, bool]:
    """Return the plan, and whether a person has stopped the search; depots one by one are not stopped."""
    from fuelplan import answers

    weather = answers.weather_for_round(round_, day, progress, refetch=refetch_asked(round_.areas))
    plan = partial(answers.runs_by_depot, crew=crew) if asked.by_depot else answers.runs
    with nullcontext(_never) if asked.by_depot else first_one_asks(STOPPING) as ended:
        answer = plan(
            round_,
            weather,
            day,
            seed,
            days=asked.days,
            moves=asked.moves,
            seconds=asked.seconds,
            progress=_teller(ended),
        )
    return answer, ended()


def _noted(path: str, as_of: str | None, asked: RunsAsked) -> tuple[Round, date, list[str]]:
    """Write down, or take back, what was asked for; return the round, its day, and what was taken back."""
    from fuelplan import answers

    round_ = answers.open_round(path, sound_only=asked.sound_only)
    day = day_asked(round_, as_of)
    taken: list[str] = []
    if asked.take_back:
        taken = runs_noted.take_back(round_, asked.take_back)
        round_ = answers.open_round(path, sound_only=asked.sound_only)
    for text in asked.happened:
        _happened(round_, text, day)
    for wish, text in asked.wishes:
        _wish(round_, wish, text, name_of(asked.by))
    if asked.happened or asked.wishes:
        round_ = answers.open_round(path, sound_only=asked.sound_only)
    return round_, day, taken


def _published(stops: int | None, answer: RunsAnswer, days: int) -> str:
    """Return what was published; None: nothing, for the plan was stopped."""
    from fuelplan.messages import Day, counted_message, message, render

    if stops is None:
        return render(
            message(
                "cli.not_published", "nothing was published: the plan was stopped before it was finished"
            )
        )
    last = max(answer.days[:days], default=answer.as_of)
    return render(
        counted_message(
            "cli.published",
            "published {n} stop up to {day}; it stays as it is when you plan again",
            "published {n} stops up to {day}; they stay as they are when you plan again",
            stops, day=Day(last),
        )
    )  # fmt: skip


def name_of(by: str | None) -> str:
    """Return who does it: as said, else the login name; "" where the system knows none."""
    if by is not None:
        return by
    from getpass import getuser

    try:
        return getuser()
    except (KeyError, OSError, ImportError):
        return ""


def _never() -> bool:
    return False


def _teller(ended: Callable[[], bool]) -> Callable[[float, Said], bool]:
    """Return a progress call that tells each tenth once, and whether to go on."""
    told = -1

    def tell(share: float, what: Said) -> bool:
        from fuelplan.messages import as_text as said

        nonlocal told
        step = int(share * TOLD_STEPS)
        if step > told:
            told = step
            progress(f"{100 * share:.0f} %: {said(what)}")
        return not ended()

    return tell


def _content(kind: str, answer: RunsAnswer, round_: Round) -> bytes:
    """Return a file's bytes."""
    from fuelplan.papers import run_sheets_pdf, runs_calendar, runs_csv, runs_geojson

    if kind == "pdf":
        return run_sheets_pdf(answer)
    made: Any = {"csv": runs_csv, "geojson": runs_geojson}
    if kind == "calendar":
        return runs_calendar(answer, time_zone=round_.table.place.time_zone)
    return str(made[kind](answer)).encode("utf-8")


def _happened(round_: Round, text: str, as_of: date) -> None:
    """Write down what happened, from words such as "tanker out: Wren" or "slow roads: 2"."""
    from fuelplan import answers
    from fuelplan.messages import Own, Refusal, message

    what, _, rest = text.partition(":")
    what, parts = what.strip(), [p.strip() for p in rest.split(":")]
    about = parts[0] if parts and parts[0] else None
    more = parts[1] if len(parts) > 1 else ""
    day = answers.day_of_happening(round_, what, as_of, about)
    if what == "failed drop":
        answers.record_happening(round_, what, day, customer=about, reason=more)
    elif what == "came":
        answers.record_happening(round_, what, day, customer=about, kg=_kg(more, round_))
    elif what == "tanker out":
        answers.record_happening(round_, what, day, until=_until(more, day), tanker=about)
    elif what == "slow roads":
        try:
            factor = float((about or "").replace(",", "."))
        except ValueError:
            raise Refusal(
                message(
                    "cli.slow_roads", '"{text}": write slow roads: 2 for driving that takes twice as long',
                    text=Own(text),
                )
            ) from None  # fmt: skip
        answers.record_happening(round_, what, day, until=_until(more, day), factor=factor)
    elif what == "depot out of stock":
        answers.record_happening(round_, what, day, depot=about, grade=more or None)
    else:
        raise Refusal(
            message(
                "cli.happened",
                '"{text}": write one of "failed drop: CUSTOMER: REASON", "came: CUSTOMER: KG", "tanker '
                'out: NAME: '
                'UNTIL", "slow roads: FACTOR: UNTIL", "depot out of stock: DEPOT: CLASS"',
                text=Own(text),
            )
        )


def _kg(text: str, round_: Round) -> float | None:
    """Return an amount such as "3500" or "3.5 t", as it is meant where the round lies; None where nothing is
    said.
    """
    from fuelplan import units

    if not text:
        return None
    with units.bought_in(round_.table.place.country):
        return units.parse_mass(f"{text} kg" if text.replace(".", "").isdigit() else text)


def _until(text: str, day: date) -> date:
    """Return the last day of something; without one it is the day itself."""
    if not text:
        return day
    try:
        return date.fromisoformat(text)
    except ValueError:
        from fuelplan.messages import Own, Refusal, message

        raise Refusal(
            message("cli.not_a_day", '"{text}" is not a valid day; write it as 2026-01-19', text=Own(text))
        ) from None


def _wish(round_: Round, wish: str, text: str, by: str) -> None:
    """Write down a word on a stop, from "CUSTOMER", "CUSTOMER:DATE" or "CUSTOMER:DATE:TANKER"."""
    from fuelplan import answers

    customer, _, rest = text.partition(":")
    when, _, tanker = rest.partition(":")
    day = None
    if when:
        day = _until(when, date.min)
    if wish != "forbid" and day is None and not tanker:
        from fuelplan.messages import Own, Refusal, message

        raise Refusal(
            message(
                "cli.write_the_day", '"{text}": write the day, too, such as {customer}:2026-01-19',
                text=Own(text), customer=Own(customer or "Q001"),
            )
        )  # fmt: skip
    answers.record_wish(round_, customer.strip(), wish, day=day, tanker=tanker.strip() or None, by=by)


def how_to_say(answer: RunsAnswer) -> list[Message]:
    """Return how to answer the question whether published drops came."""
    from fuelplan.messages import Own, message

    if not answer.to_confirm:
        return []
    who = Own(answer.to_confirm[0].customer)
    return [
        message(
            "cli.say_whether_it_came",
            'Say so with --happened "came: {who}", "came: {who}: 3500 kg" or "failed drop: {who}: no '
            'access"; or '
            "enter the weigh note.",
            who=who,
        )
    ]


def as_text(answer: RunsAnswer) -> str:
    """Return the plan as people read it."""
    from fuelplan.answers.which_runs import presented
    from fuelplan.messages import Day, Own, message, paragraph, render

    day = Day(answer.as_of, year=True)
    head = message("cli.round_and_day", "{round}, {day}", round=Own(answer.round), day=day)
    lines = [render(head), "", wrapped(paragraph(answer.sentences)), ""]
    for run in answer.runs:
        lines += _run_lines(run)
    for listing in presented.listings(answer):
        lines += ["", render(message("cli.list", "{title}:", title=listing.title))]
        lines += [f"  {render(line)}" for line in listing.lines]
        if listing.title == presented.TO_CONFIRM:
            lines += [f"  {render(line)}" for line in how_to_say(answer)]
    if answer.notes:
        lines += ["", *(wrapped(note) for note in answer.notes)]
    return "\n".join(lines)


def _run_lines(run: Run) -> list[str]:
    """Return a run and its stops, a line each."""
    from fuelplan.answers.which_runs import presented
    from fuelplan.messages import Own, Quantity, TimeOfDay, message, render

    day, tanker = presented.day_named(run.day), Own(run.tanker)
    title = message("cli.run", "{day}  {tanker}, run {trip}", day=day, tanker=tanker, trip=run.trip)
    if run.frozen:
        title = message("cli.published_run", "{run} (published)", run=title)
    line = message(
        "cli.run_sums", "{run}: {leave}–{back}, {mass}, {road}",
        run=title, leave=TimeOfDay(run.leave_h), back=TimeOfDay(run.back_by_h),
        mass=Quantity(run.kg, "mass", 3, "t", 1), road=Quantity(run.km, "distance", 3, decimals=0),
    )  # fmt: skip
    first = message("cli.ring_first", "ring first")
    lines = [render(line)]
    for stop in run.stops:
        name = render(Own(f"{stop.customer} {stop.name}"))
        drop = render(presented.drop(stop.kg, stop.grade))
        call = f"  {render(first)}" if stop.call_ahead else ""
        at = render(TimeOfDay(stop.arrive_h))
        lines.append(f"    {at}  {name[:40]:<40} {drop:>12} {render(stop.why)}{call}")
    return [*lines, *(f"    ! {render(fault)}" for fault in run.faults)]
